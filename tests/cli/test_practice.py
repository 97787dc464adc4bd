"""`evenground practice` and `evenground held-load`: files in, words and JSON out, and what is refused."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from evenground.capture.csv_table import TableCellError
from evenground.capture.fields import UnreadableFieldError
from evenground.cli import app
from evenground.fit.held_load import LoadTooHeavyError
from evenground.needs import NotOfferedError

SHEET = "day,distance_m,gate_mm,rolled,passed\n2026-05-16,1.5,80,10,7\n2026-05-18,1.5,80,20,13\n"
PAIRS = "load_kg,load_ahead_mm,without_mm,with_mm\n4,320,92,96\n4,320,88,93\n4,320,95,101\n4,320,90,94\n"
AIMS = "trial,offset_mm\n" + "".join(f"{i},{mm}\n" for i, mm in enumerate((-12, 8, -20, 5, -3, -15), 1))


def file(folder: Path, name: str, text: str) -> str:
    path = folder / name
    path.write_text(text, "utf-8")
    return str(path)


def test_practice_is_scored_and_held_against_the_cards_aims(tmp_path: Path) -> None:
    said = [file(tmp_path, "s.csv", SHEET), "--aims", file(tmp_path, "a.csv", AIMS), "--aims-at-m", "2.5"]
    plain = json.loads(CliRunner().invoke(app, ["practice", *said, "--json"]).stdout)
    (score,), (compared,) = plain["scores"], plain["compared"]
    assert (score["passed"], score["rolled"], score["days"]) == (20, 30, 2)
    assert compared["word"] == "fewer than expected"
    text = CliRunner().invoke(app, ["practice", *said, "--chart", str(tmp_path / "p.svg")]).stdout
    assert "20 of 30 passed" in text
    assert (tmp_path / "p.svg").read_text().startswith("<?xml")


def test_an_empty_sheet_is_printed_without_any_practice(tmp_path: Path) -> None:
    import pdfplumber

    answer = CliRunner().invoke(app, ["practice", "--print", str(tmp_path / "s.pdf"), "--gate-mm", "70"])
    assert answer.exit_code == 0
    with pdfplumber.open(tmp_path / "s.pdf") as pdf:
        text = pdf.pages[0].extract_text()
    assert "70 mm" in text
    assert "balls rolled" in text


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("13\n", "23\n", "23 balls passed of 20 rolled"),
        ("2026-05-18", "18 May", "a date such as 2026-05-09"),
        ("80,20", "40,20", "more than 42.67"),
        ("20,13", ",13", "something in this cell"),
    ],
)
def test_a_line_that_is_wrong_is_named(tmp_path: Path, old: str, new: str, said: str) -> None:
    answer = CliRunner().invoke(app, ["practice", file(tmp_path, "s.csv", SHEET.replace(old, new))])
    assert isinstance(answer.exception, TableCellError | UnreadableFieldError)
    assert said in str(answer.exception)
    assert "line 3" in str(answer.exception)


def load(*said: str) -> object:
    answer = CliRunner().invoke(app, ["held-load", *said])
    return answer.exception or answer.stdout


def test_a_held_load_is_tested_with_its_cautions_first(tmp_path: Path) -> None:
    said = [file(tmp_path, "p.csv", PAIRS), "--mass-kg", "80", "--years", "45", "--cleared"]
    text = str(load(*said, "--chart", str(tmp_path / "l.pdf")))
    assert text.index("Stop at pain") < text.index("does not agree")
    assert "The body itself went 6 mm" in text
    (tested,) = json.loads(str(load(*said, "--json")))["tested"]
    assert tested["predicted_mm"]["value"] == pytest.approx(4.0 * (320.0 - 91.25) / 84.0)
    assert (tmp_path / "l.pdf").read_bytes().startswith(b"%PDF")


def test_without_a_screening_nothing_is_predicted_and_a_minor_holds_a_kilogram_at_most() -> None:
    assert isinstance(load("--mass-kg", "80", "--years", "45"), NotOfferedError)
    assert isinstance(
        load("--mass-kg", "60", "--years", "15", "--load-kg", "2", "--cleared"), LoadTooHeavyError
    )
    assert isinstance(load("--mass-kg", "60", "--load-kg", "2", "--cleared"), LoadTooHeavyError)
    assert "should move the balance" in str(load("--mass-kg", "80", "--years", "45", "--cleared"))
