"""`evenground aim` from outside."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from evenground.cli import app
from evenground.errors import EvengroundError

ROWS = "trial,offset_mm,condition\n1,30,\n2,22,\n3,41,\n4,5,line\n5,-4,line\n6,9,line\n"


@pytest.fixture
def file(tmp_path: Path) -> str:
    path = tmp_path / "aims.csv"
    path.write_text(ROWS, "utf-8")
    return str(path)


def test_the_json_has_the_keys_that_others_rely_on(file: str) -> None:
    done = CliRunner().invoke(app, ["aim", file, "--distance-m", "1.8288", "--json"])
    assert done.exit_code == 0
    said = json.loads(done.stdout)
    for key in ("bias_deg", "spread_deg", "inside_probability"):
        assert set(said[key]) == {"value", "se", "dof", "n", "unit"}
    assert said["window_deg"] == pytest.approx(1.287, abs=0.003)
    assert set(said["conditions"]) == {"as arrived", "line"}
    assert said["changes"][0]["to"] == "line"


def test_the_options_reach_the_figures(file: str) -> None:
    def said(*more: str) -> float:
        done = CliRunner().invoke(app, ["aim", file, "--distance-m", "1.8288", "--json", *more])
        return float(json.loads(done.stdout)["window_deg"])

    assert said("--past-m", "0") == pytest.approx(1.691, abs=1e-3)
    assert said("--green-m", "2.4") < said() < said("--green-m", "4")
    assert said("--hole-mm", "90") < said()


def test_left_handed_means_the_other_sign(file: str) -> None:
    both = [
        json.loads(
            CliRunner().invoke(app, ["aim", file, "--distance-m", "2", "--handed", h, "--json"]).stdout
        )
        for h in ("right", "left")
    ]
    assert both[0]["bias_deg"]["value"] == -both[1]["bias_deg"]["value"]


def test_the_table_gives_every_figure_its_error(file: str) -> None:
    done = CliRunner().invoke(app, ["aim", file, "--distance-m", "1.8288"])
    assert "line against as arrived: " in done.stdout
    assert done.stdout.count("±") == 5


def test_wrong_usage_and_unusable_data_are_told_apart(file: str) -> None:
    assert CliRunner().invoke(app, ["aim", file]).exit_code == 2
    assert CliRunner().invoke(app, ["aim", file, "--distance-m", "2", "--handed", "both"]).exit_code == 2
    done = CliRunner().invoke(app, ["aim", file, "--distance-m", "1828"])
    assert isinstance(done.exception, EvengroundError)
    assert "outside 0.2 to 400 m" in str(done.exception)
