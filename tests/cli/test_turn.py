"""`evenground turn` from outside."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from evenground.cli import app
from evenground.errors import EvengroundError

ROWS = (
    "toward,turn_deg,width,part,stopped_by_pain\n"
    "lead,52,300 mm,,\nlead,48,16 in,,\nlead,44,500 mm,,\nlead,51,300 mm,,\n"
    "trail,60,,trunk,no\ntrail,30,,trunk,yes\nlead,30,,pelvis,\n"
)


def run(tmp_path: Path, rows: str, *more: str) -> str:
    path = tmp_path / "turns.csv"
    path.write_text(rows, "utf-8")
    done = CliRunner().invoke(app, ["turn", str(path), *more], catch_exceptions=False)
    assert done.exit_code == 0
    return done.stdout


def test_the_json_has_the_keys_that_others_rely_on(tmp_path: Path) -> None:
    said = json.loads(run(tmp_path, ROWS, "--sd-deg", "2", "--json"))
    assert set(said) == {"parts", "response", "notes"}
    lead = said["parts"]["trunk"]["lead"]
    assert set(lead["mean_deg"]) == {"value", "se", "dof", "n", "unit"}
    assert lead["mean_deg"]["value"] == pytest.approx(48.75)
    assert said["parts"]["trunk"]["trail"]["stopped"] == 1
    assert said["parts"]["pelvis"]["lead"]["mean_deg"]["value"] == 30
    slope = said["response"]["slopes"][0]
    assert slope["varied"] == "stance width"
    assert slope["slope"]["value"] < 0
    assert slope["low"] == 300


def test_the_table_says_each_side_with_its_error(tmp_path: Path) -> None:
    said = run(tmp_path, ROWS, "--sd-deg", "2")
    assert "toward the target     48.8 ± 2.0  52.0 ± 3.9  4" in said
    assert "1, 1 stopped by pain" in said
    assert "less toward the target for each 100 mm of stance width (300 to 500 mm)" in said
    assert "Stop before any pain" in said


def test_one_turn_and_nothing_varied_have_plain_answers(tmp_path: Path) -> None:
    said = run(tmp_path, "toward,turn_deg\nlead,50\n")
    assert "50.0 ± 4.1" in said
    assert "not taken to this side" in said
    assert "Nothing was varied from turn to turn." in said


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (
            "toward,turn_deg\nleft,50\n",
            "turns.csv line 2, toward: 'left' is not allowed here. Give lead or trail",
        ),
        ("toward,turn_deg\nlead,520\n", "turn_deg: '520' is not allowed here. Give degrees from 0 to 180"),
        (
            "toward,turn_deg,width_mm\nlead,50,16\n",
            "width_mm: '16' is not allowed here. Give a stance width over",
        ),
        ("toward,turn_deg,part\nlead,50,hips\n", "Give trunk or pelvis"),
        ("toward,turn_deg,stopped_by_pain\nlead,50,yes\n", "Pain stopped 1 of 1 turns"),
        ("toward,turn_deg,width_mm,width\nlead,50,300,\n", "The columns do not fit"),
    ],
)
def test_what_cannot_be_used_is_said_in_one_sentence(tmp_path: Path, rows: str, words: str) -> None:
    path = tmp_path / "turns.csv"
    path.write_text(rows, "utf-8")
    done = CliRunner().invoke(app, ["turn", str(path)])
    assert isinstance(done.exception, EvengroundError)
    assert words in str(done.exception)


def test_the_fan_is_drawn(tmp_path: Path) -> None:
    chart = tmp_path / "fan.svg"
    run(tmp_path, ROWS, "--chart", str(chart), "--handed", "left")
    assert chart.read_text("utf-8").startswith("<?xml")
