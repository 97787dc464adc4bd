"""`evenground bag` from outside: one table, one picture, sentences, the keys of its page."""

import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from evenground.cli import app
from evenground.errors import EvengroundError
from evenground.example import example_bundle

PAGE = (Path(__file__).parents[2] / "docs" / "formats" / "clubs.md").read_text("utf-8")
CSV = PAGE.partition("```csv\n")[2].partition("```")[0]


@pytest.fixture
def clubs(tmp_path: Path) -> Path:
    path = tmp_path / "clubs.csv"
    path.write_text(CSV, "utf-8")
    return path


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(app, ["bag", *map(str, arguments)])


def test_the_json_has_the_keys_of_its_page(clubs: Path) -> None:
    said = json.loads(run(clubs, "--counterweight-g", "20", "--json").stdout)
    named = set(re.findall(r"`([a-z_0-9]+)`", PAGE.partition("--json`")[2]))
    assert set(said) == {"clubs", "notes"}
    for club in said["clubs"]:
        assert set(club) <= named
        assert set(club["counterweight"]) <= named
        assert set(club["verdicts"][0]) <= named


def test_the_table_has_a_line_a_club_and_no_empty_column(clubs: Path) -> None:
    done = run(clubs)
    assert done.exit_code == 0
    head, putter, iron = done.stdout.splitlines()[:3]
    assert "held at" not in head  # no cap height was measured
    assert putter.startswith("putter")
    assert "D" in iron or "C" in iron
    assert "swing weight" in head


def test_the_example_s_bag_is_described_whole() -> None:
    done = run(example_bundle())
    assert "held at" in done.stdout
    assert "ball from heels" in done.stdout
    assert re.search(r"driver: held \d\.\d ± \d\.\d° flatter than its lie, the toe up", done.stdout)
    assert "would make it 556 g" in done.stdout


def test_the_bag_is_drawn_at_address(clubs: Path, tmp_path: Path) -> None:
    picture = tmp_path / "bag.svg"
    assert run(clubs, "--picture", picture).exit_code == 0
    assert picture.read_text("utf-8").startswith("<?xml")
    clubs.write_text("mark,family\n7,irons\n", "utf-8")
    assert run(clubs, "--picture", picture).exit_code == 2


def test_a_bad_list_is_one_sentence(clubs: Path) -> None:
    clubs.write_text("mark,family,length\n7,irons,37\n", "utf-8")
    done = run(clubs)
    assert isinstance(done.exception, EvengroundError)
    assert "clubs.csv line 2, length" in str(done.exception)
