"""`evenground routine`: the list, its JSON, its paper, and the screening's word."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from evenground.capture.bundle_writer import write_bundle
from evenground.cli import app
from evenground.needs import NotOfferedError, load_not_offered, routine_form
from evenground.visit import BodyCheck, Limb, StudioSnapshot, Visit
from tests.report.samples import full_visit


def visit(screening: str | None = "cleared", **body: object) -> Visit:
    from dataclasses import replace

    changed: dict[str, object] = {"screening": screening, "body": BodyCheck(**body), "ground": ()}  # type: ignore[arg-type]
    return replace(full_visit(), **changed)  # type: ignore[arg-type]


def run(*said: str) -> str:
    answer = CliRunner().invoke(app, ["routine", *said])
    assert answer.exit_code == 0, answer.output
    return answer.stdout


def test_the_list_holds_every_move_with_cautions_first() -> None:
    said = run()
    assert said.index("Stop at pain") < said.index("1. ")
    assert "7. " in said


def test_json_and_the_file_hold_the_same_routine(tmp_path: Path) -> None:
    plain = json.loads(run("--json"))
    own = tmp_path / "routine.toml"
    own.write_text(run("--toml"), "utf-8")
    assert json.loads(run("--file", str(own), "--json")) == plain
    assert (plain["form"], plain["seconds"], len(plain["routine"]["moves"])) == ("usual", 160, 7)


def test_paper_has_every_move(tmp_path: Path) -> None:
    import pdfplumber

    run("--out", str(tmp_path / "r.pdf"))
    with pdfplumber.open(tmp_path / "r.pdf") as pdf:
        text = "".join(page.extract_text() for page in pdf.pages)
    assert all(name in text for name in ("Walk on the spot", "Half a squat", "licensed practitioner"))


def test_a_visit_that_was_not_cleared_gets_none_and_is_told_why(tmp_path: Path) -> None:
    write_bundle(tmp_path / "b", visit("measuring only"), StudioSnapshot(), {})
    answer = CliRunner().invoke(app, ["routine", "--visit", str(tmp_path / "b")])
    assert isinstance(answer.exception, NotOfferedError)
    assert "did not clear" in str(answer.exception)


@pytest.mark.parametrize("limb", ["left leg", "right foot"])
def test_who_does_not_stand_on_two_own_legs_sits(limb: Limb) -> None:
    assert routine_form(visit(limbs={limb: "prosthetic"})) == "seated"
    assert routine_form(visit(seated=True)) == "seated"
    assert routine_form(visit()) == "usual"


def test_no_load_without_two_arms_two_feet_and_a_screening() -> None:
    assert load_not_offered(visit()) is None
    assert load_not_offered(visit(None)) == "the screening is not answered yet"
    assert load_not_offered(visit(limbs={"left hand": "absent"})) == "left hand absent"
    assert load_not_offered(visit(seated=True)) == "the player is seated"
