"""Overridden lines: the teacher's words on page one, why overleaf, no fitted answer beside them."""

import io
from dataclasses import replace

import pdfplumber
import pytest

from evenground.findings import Findings
from evenground.report.card_view import card_view
from evenground.report.choices import CHOSEN, LineChoice, chosen_findings, teachers_card
from evenground.report.paper import setup_card_pdf
from evenground.report.proposal import card_lines
from evenground.report.read import setup_of
from evenground.report.strip_view import strip_view
from evenground.visit import StudioSettings, StudioSnapshot, Visit
from tests.report.samples import full_findings, full_visit, sparse_findings, sparse_visit

STUDIO = StudioSettings()
WIDE = LineChoice(
    key="irons.width",
    text="455 to 475 mm",
    reason="his knee is easier a little wider",
    by="R. Tall",
    low_mm=455.0,
    high_mm=475.0,
    between="inside edges",
)


def findings_with_lines(visit: Visit) -> Findings:
    found = full_findings()
    return replace(found, card=card_lines(visit, StudioSnapshot(), found))


def pages(visit: Visit, *choices: LineChoice) -> list[str]:
    pdf = setup_card_pdf(teachers_card(visit, STUDIO, findings_with_lines(visit), choices))
    with pdfplumber.open(io.BytesIO(pdf)) as opened:
        return [" ".join((page.extract_text() or "").split()) for page in opened.pages]


def test_without_choices_the_card_is_the_fits_own() -> None:
    visit, found = full_visit(), full_findings()
    assert teachers_card(visit, STUDIO, found, ()) == card_view(visit, STUDIO, found)


def test_a_chosen_width_stands_on_page_one_and_its_reason_overleaf() -> None:
    first, *rest = pages(full_visit(), WIDE)
    assert "455 to 475 mm" in first
    assert CHOSEN in first
    assert WIDE.reason not in first
    overleaf = " ".join(rest)
    assert WIDE.reason in overleaf
    assert "Set by the teacher" in overleaf


def test_no_answer_of_the_fit_stands_beside_a_width_it_did_not_give() -> None:
    visit, found = full_visit(), full_findings()
    fitted = card_view(visit, STUDIO, found).rows[1]
    row = teachers_card(visit, STUDIO, found, [WIDE]).rows[1]
    assert fitted.answer in {"square", "likely"}
    assert (row.answer, row.width) == (CHOSEN, "455 to 475 mm")
    assert fitted.answer not in f"{row.answer} {row.answer_note}"
    assert "confirmed" not in row.answer_note


def test_the_fits_own_evidence_stays_overleaf_as_it_was() -> None:
    visit, found = full_visit(), full_findings()
    assert teachers_card(visit, STUDIO, found, [WIDE]).evidence == card_view(visit, STUDIO, found).evidence


def test_feet_and_strip_are_drawn_at_the_chosen_width() -> None:
    visit, found = full_visit(), full_findings()
    chosen = chosen_findings(found, [WIDE], visit.shoes)
    setup = setup_of(chosen, "irons")
    assert setup is not None
    assert setup.width_inside_mm is not None
    assert (setup.width_inside_mm.low, setup.width_inside_mm.high) == (455.0, 475.0)
    assert setup.probability is None
    row = next(r for r in strip_view(visit, STUDIO, chosen).rows if r.startswith("Irons"))
    assert "455 to 475 mm" in row
    assert CHOSEN in row


def test_a_family_that_was_not_measured_can_still_be_given_a_width() -> None:
    visit, found = sparse_visit(), sparse_findings()
    view = teachers_card(visit, STUDIO, found, [WIDE])
    assert view.rows[1].width == "455 to 475 mm"
    assert view.rows[1].answer == CHOSEN
    assert view.not_measured == card_view(visit, STUDIO, found).not_measured


@pytest.mark.parametrize("key", ["irons.toe-out", "irons.ball", "posture", "aim"])
def test_words_chosen_for_any_other_line_stand_on_page_one(key: str) -> None:
    choice = LineChoice(key=key, text="a touch more than before", reason="to be tried", by="R. Tall")
    first, *_ = pages(full_visit(), choice)
    assert "a touch more than before" in first
    assert CHOSEN in first.lower()


def test_a_chosen_grip_line_keeps_its_clubs() -> None:
    visit, found = full_visit(), findings_with_lines(full_visit())
    key = next(line.key for line in found.card if line.key.startswith("grip."))
    view = teachers_card(visit, STUDIO, found, [LineChoice(key=key, text="leave it", reason="new", by="")])
    line = next(line for line in view.grip.lines if line.clubs == key.removeprefix("grip."))
    assert (line.answer, line.text) == (CHOSEN, "leave it")
