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
    assert done.stdout.count("±") == 3
    assert "83 % of the start line from the face" in done.stdout


def test_a_dot_and_a_face_angle_and_an_offset_tell_one_story(tmp_path: Path) -> None:
    # A face turned 1 deg: 31.92 mm at 6 ft, and a mirrored dot 2 deg off, 104.76 mm at 3 m.
    said = []
    for name, rows in (
        ("offset_mm", "31.92\n2,31.92\n3,31.92"),
        ("dot_mm", "104.76\n2,104.76\n3,104.76"),
        ("face_deg", "1\n2,1\n3,1"),
    ):
        path = tmp_path / f"{name}.csv"
        path.write_text(f"trial,{name}\n1,{rows}\n", "utf-8")
        options = ["--distance-m", "1.8288", "--dot-at-m", "3", "--json"]
        done = CliRunner().invoke(app, ["aim", str(path), *options])
        said.append(json.loads(done.stdout)["bias_deg"]["value"])
    assert said == pytest.approx([1.0, 1.0, 1.0], abs=1e-3)


def test_a_board_nearer_than_the_hole_is_read_where_it_stands(tmp_path: Path) -> None:
    path = tmp_path / "aims.csv"
    path.write_text("trial,offset_mm\n1,10\n2,12\n3,11\n", "utf-8")
    for distance, more in (("3", ["--read-at-m", "1"]), ("1", [])):
        done = CliRunner().invoke(app, ["aim", str(path), "--distance-m", distance, *more, "--json"])
        assert json.loads(done.stdout)["bias_deg"]["value"] == pytest.approx(0.630, abs=1e-3)


def test_a_dot_without_its_distance_says_what_is_missing(tmp_path: Path) -> None:
    path = tmp_path / "aims.csv"
    path.write_text("trial,dot_mm\n1,10\n2,12\n3,11\n", "utf-8")
    done = CliRunner().invoke(app, ["aim", str(path), "--distance-m", "2"])
    assert "not how far the board is from the mirror" in str(done.exception)


def test_two_full_swing_clubs_and_the_eyes_are_told(tmp_path: Path) -> None:
    path = tmp_path / "aims.csv"
    rows = "trial,face_deg,club,target_m\n1,1,7 iron,137.16\n2,1,7 iron,137.16\n1,-2,driver,220\n"
    path.write_text(rows, "utf-8")
    command = [
        "aim",
        str(path),
        "--distance-m",
        "2",
        "--eyes-mm",
        "-20",
        "--eyes-mm",
        "-30",
        "--eyes-deg",
        "2",
    ]
    said = json.loads(CliRunner().invoke(app, [*command, "--json"]).stdout)
    assert said["full_swing"]["clubs"][0]["miss_m"]["value"] == pytest.approx(2.394, abs=1e-3)
    assert said["full_swing"]["clubs"][1]["once_m"] == pytest.approx(-7.68, abs=0.01)
    assert said["eyes"]["offset_mm"]["value"] == -25
    assert "bias_deg" not in said  # no putt was aimed
    text = CliRunner().invoke(app, command).stdout
    assert "7 iron at 137.16 m: 2.4 ± " in text
    assert "driver at 220 m: one aim looks 7.7 m left." in text
    assert "line through the eyes: +2.0 ± 5.9 deg" in text


def test_one_aim_and_two_are_too_few_and_all_alike_keep_a_spread(tmp_path: Path) -> None:
    path = tmp_path / "aims.csv"
    for rows, words in (("1,5\n", "1 aim cannot show"), ("1,5\n2,5\n", "2 aims cannot show")):
        path.write_text(f"trial,offset_mm\n{rows}", "utf-8")
        done = CliRunner().invoke(app, ["aim", str(path), "--distance-m", "2"])
        assert words in str(done.exception)
    path.write_text("trial,offset_mm\n1,5\n2,5\n3,5\n", "utf-8")
    assert "agree more closely than they can be read" in _said(path)


def test_an_aim_of_ten_times_the_others_is_named_and_counted(tmp_path: Path) -> None:
    path = tmp_path / "aims.csv"
    path.write_text("trial,offset_mm\n1,12\n2,14\n3,130\n4,11\n5,15\n6,13\n", "utf-8")
    said = _said(path)
    assert "aim 3 reads 3.72 deg, ten times the others (about 0.372): check it" in said
    path.write_text("trial,offset_mm\n1,5\n2,5\n3,50\n4,5\n5,5\n", "utf-8")
    assert "aim 3 reads 1.43 deg, ten times the others" in _said(path)


def _said(path: Path) -> str:
    return CliRunner().invoke(app, ["aim", str(path), "--distance-m", "2"], catch_exceptions=False).stdout


def test_each_condition_is_drawn_into_its_file(file: str, tmp_path: Path) -> None:
    chart = tmp_path / "aim.svg"
    done = CliRunner().invoke(app, ["aim", file, "--distance-m", "1.8288", "--chart", str(chart)])
    assert done.exit_code == 0
    assert sorted(p.name for p in tmp_path.glob("*.svg")) == ["aim-2.svg", "aim.svg"]


def test_wrong_usage_and_unusable_data_are_told_apart(file: str) -> None:
    assert CliRunner().invoke(app, ["aim", file]).exit_code == 2
    assert CliRunner().invoke(app, ["aim", file, "--distance-m", "2", "--handed", "both"]).exit_code == 2
    done = CliRunner().invoke(app, ["aim", file, "--distance-m", "1828"])
    assert isinstance(done.exception, EvengroundError)
    assert "outside 0.2 to 400 m" in str(done.exception)
