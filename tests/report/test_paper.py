"""PDFs that the typesetter makes: pages, sizes, text, sameness."""

import io

import pdfplumber

from evenground.report.card_view import card_view
from evenground.report.paper import setup_card_pdf
from evenground.visit import StudioSettings
from tests.report import samples


def test_card_of_equal_findings_is_the_same_to_the_byte() -> None:
    views = [card_view(samples.full_visit(), StudioSettings(), samples.full_findings()) for _ in range(2)]
    assert setup_card_pdf(views[0]) == setup_card_pdf(views[1])


def test_page_one_holds_name_answers_and_ranges_and_the_evidence_starts_overleaf() -> None:
    pdf = setup_card_pdf(card_view(samples.full_visit(), StudioSettings(), samples.full_findings()))
    with pdfplumber.open(io.BytesIO(pdf)) as read:
        first, second = (read.pages[n].extract_text() for n in (0, 1))
    for said in ("Tamsin Orrelford", "355 to 380 mm", "likely, carried over from irons", "16 to 20°"):
        assert said in first
    assert second.startswith("Evidence")
