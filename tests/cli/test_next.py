"""`evenground next`: the example visit says what is open and why."""

import json
from pathlib import Path

from typer.testing import CliRunner

from evenground.cli import app
from evenground.example import example_bundle


def run(*words: str) -> str:
    return CliRunner().invoke(app, ["next", *words]).stdout


def test_the_example_says_what_to_do_next_and_why() -> None:
    told = run(str(example_bundle()))
    assert told.startswith("own clubs: Measure the butt of hybrid at both stations.\nWithout it")
    assert "Left out or ended here: No tape layers for hybrid" in told


def test_the_json_holds_every_check_and_what_the_hour_leaves() -> None:
    told = json.loads(run(str(example_bundle()), "--gone-min", "57", "--json"))
    assert len(told["checks"]) == 12
    assert told["minutes_left"] == 3
    assert told["leave_out"] == ["own clubs", "ground"]
    assert told["checks"]["ball"]["step"]["ended"] == "no time left"


def test_a_folder_without_a_visit_is_one_sentence(tmp_path: Path) -> None:
    refused = CliRunner().invoke(app, ["next", str(tmp_path / "nowhere")])
    assert "Give the folder that holds visit.toml" in str(refused.exception)
