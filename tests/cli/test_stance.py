"""`evenground stance` from outside: its JSON, its table, its exit status."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from evenground.cli import app
from evenground.errors import EvengroundError

ROWS = "1,300,-4.1\n2,500,5.2\n3,400,0.3\n4,380,-0.4\n5,390,0.1\n6,410,0.6\n7,300,-3.8\n"


@pytest.fixture
def trials(tmp_path: Path) -> Path:
    path = tmp_path / "trials.csv"
    path.write_text("trial,width_mm,hip_line_deg\n" + ROWS, "utf-8")
    return path


def run(*given: str) -> str:
    done = CliRunner().invoke(app, ["stance", *given], catch_exceptions=False)
    assert done.exit_code == 0
    return done.stdout


def test_the_json_stands_alone_with_the_keys_that_others_rely_on(trials: Path) -> None:
    said = json.loads(run(str(trials), "--stature-mm", "1780", "--noise-deg", "1", "--json"))
    assert {"families", "square_bands_mm", "drift_deg_per_trial", "next", "stop", "curve"} <= set(said)
    irons = said["families"]["irons"]
    assert irons["answer"] == "square"
    assert irons["width_mm"]["unit"] == "mm"
    assert irons["carried_over"] is False
    assert said["next"] is None
    assert said["stop"]["done"] is True


def test_the_table_gives_answer_width_with_error_and_what_comes_next(trials: Path) -> None:
    said = run(str(trials), "--stature-mm", "1780", "--noise-deg", "1")
    assert "irons" in said
    assert "error" in said
    assert "Stop: " in said


def test_the_margin_decides_what_is_square(trials: Path) -> None:
    strict = json.loads(run(str(trials), "--margin-deg", "0.3", "--noise-deg", "1", "--json"))
    assert strict["families"]["irons"]["answer"] != "square"
    assert strict["margin_deg"] == 0.3


def test_hip_lines_are_open_for_the_player_whichever_hand(trials: Path) -> None:
    right = run(str(trials), "--handed", "right", "--json")
    assert run(str(trials), "--handed", "left", "--json") == right


def test_a_seed_gives_the_same_answer_again(trials: Path) -> None:
    assert run(str(trials), "--seed", "5", "--json") == run(str(trials), "--seed", "5", "--json")


def test_a_width_as_arrived_stretches_its_window(trials: Path) -> None:
    said = json.loads(run(str(trials), "--stature-mm", "1780", "--putter-mm", "520", "--json"))
    assert said["families"]["putter"]["window_mm"]["high_mm"] == 520.0


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("1,300,2\n2,400,2\n", "2 trials cannot show"),
        ("1,300,2\n2,400,2\n3,14,2\n", "Units are mixed: 14 in trial 3"),
        ("1,12,2\n2,14,2\n3,16,2\n", "looks like inches"),
        ("1,300,2\n1,400,2\n3,500,2\n", "Trial 1 already stands"),
    ],
)
def test_unusable_trials_end_in_one_sentence(tmp_path: Path, rows: str, said: str) -> None:
    path = tmp_path / "t.csv"
    path.write_text("trial,width_mm,hip_line_deg\n" + rows, "utf-8")
    done = CliRunner().invoke(app, ["stance", str(path)])
    assert done.exit_code == 1
    assert isinstance(done.exception, EvengroundError)
    assert said in str(done.exception)


@pytest.mark.parametrize("wrong", [["--handed", "both"], ["--seed", "-1"], ["--margin-deg", "wide"]])
def test_wrong_usage_has_its_own_exit_status(trials: Path, wrong: list[str]) -> None:
    assert CliRunner().invoke(app, ["stance", str(trials), *wrong]).exit_code == 2


def test_a_body_file_gives_the_stature_that_its_number_gives(trials: Path, tmp_path: Path) -> None:
    body = tmp_path / "body.toml"
    body.write_text('stature = "5 ft 11 in"\n', "utf-8")
    by_file = run(str(trials), "--body", str(body), "--json")
    assert by_file == run(str(trials), "--stature-mm", "1803.4", "--json")
    assert json.loads(by_file)["stature_assumed"] is False


def test_a_body_file_beside_a_stature_is_wrong_usage(trials: Path, tmp_path: Path) -> None:
    body = tmp_path / "body.toml"
    body.write_text("stature_mm = 1800\n", "utf-8")
    done = CliRunner().invoke(app, ["stance", str(trials), "--body", str(body), "--stature-mm", "1800"])
    assert done.exit_code == 2
