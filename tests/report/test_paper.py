"""PDFs that the typesetter makes: pages, sizes, text, glyphs, sameness."""

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from fontTools.ttLib import TTFont

from evenground.errors import ReportError
from evenground.plain import to_plain
from evenground.report import paper
from evenground.report.build_view import build_view
from evenground.report.card_view import CardView, card_view
from evenground.report.paper import build_sheet_pdf, font_folders, setup_card_pdf, width_strip_pdf
from evenground.report.strip_view import strip_view
from evenground.visit import StudioSettings
from tests.report import samples

VISITS = {
    "full": (samples.full_visit(), samples.full_findings()),
    "left": (samples.full_visit("left"), samples.full_findings()),
    "sparse": (samples.sparse_visit(), samples.sparse_findings()),
    "crowded": (samples.crowded_visit(), samples.crowded_findings()),
}
STUDIOS = (StudioSettings(), StudioSettings(paper="us-letter", units="inch eighths"))
SIZE_NAMES = re.compile(
    r"\b(standard|mid-?size|jumbo|oversize|undersize|small|medium|large|x-?large)\b", re.I
)


def card(name: str, studio: StudioSettings = STUDIOS[0]) -> CardView:
    visit, findings = VISITS[name]
    return card_view(visit, studio, findings)


def pages(pdf: bytes) -> list[Any]:
    with pdfplumber.open(io.BytesIO(pdf)) as read:
        for page in read.pages:
            page.chars  # noqa: B018 (read while the file is open)
        return list(read.pages)


def strings(plain: Any) -> Iterator[str]:
    """Every string inside a view."""
    if isinstance(plain, str):
        yield plain
    elif isinstance(plain, dict):
        for value in plain.values():
            yield from strings(value)
    elif isinstance(plain, list):
        for value in plain:
            yield from strings(value)


def test_papers_of_equal_findings_are_the_same_to_the_byte() -> None:
    visit, findings = VISITS["full"]

    def made() -> tuple[bytes, bytes, bytes]:
        return (
            setup_card_pdf(card_view(visit, STUDIOS[0], findings)),
            width_strip_pdf(strip_view(visit, STUDIOS[0], findings)),
            build_sheet_pdf(build_view(visit, STUDIOS[0], findings)),
        )

    assert made() == made()


@pytest.mark.parametrize("studio", STUDIOS, ids=["a4", "letter"])
@pytest.mark.parametrize("name", sorted(VISITS))
def test_page_one_is_one_page_and_the_evidence_starts_overleaf(name: str, studio: StudioSettings) -> None:
    first, second, *_ = pages(setup_card_pdf(card(name, studio)))
    assert "At home" in first.extract_text()
    assert "Rule 10.2b" in first.extract_text()
    assert second.extract_text().startswith("Evidence")


@pytest.mark.parametrize("name", sorted(VISITS))
def test_nothing_on_page_one_is_smaller_than_9_5_points_or_off_the_page(name: str) -> None:
    first = pages(setup_card_pdf(card(name, STUDIOS[1])))[0]
    assert min(c["size"] for c in first.chars) >= 9.5
    for c in first.chars:
        assert 0.0 < c["x0"] < c["x1"] < float(first.width)
        assert 0.0 < c["top"] < c["bottom"] < float(first.height)


def test_page_one_says_what_was_fitted() -> None:
    first = pages(setup_card_pdf(card("full")))[0].extract_text()
    for said in (
        "Tamsin Orrelford",
        "355 to 380 mm",
        "likely, carried over from irons",
        "16 to 20°",
        "stays",
    ):
        assert said in first


@pytest.mark.parametrize("name", sorted(VISITS))
def test_everything_not_measured_stands_in_the_card_with_its_reason(name: str) -> None:
    view = card(name)
    text = " ".join(p.extract_text() for p in pages(setup_card_pdf(view))).replace("\n", " ")
    assert view.not_measured
    for gone in view.not_measured:
        assert gone.what in text
        assert gone.why in text


# What may stand on page one without a range: days, the Rule's number, the distance that was set, the unit
# of 64ths, and names that people gave.
WITHOUT_RANGE = (
    r"\d{1,2} [A-Z][a-z]+ \d{4}", r"Rule 10\.2b", r"At [\d /.]+ (m|in)\b", r"\b64ths",
    r"7-iron", r"club number \d+",
)  # fmt: skip
NUMBER = r"\d+(?:[ \u00a0]\d/\d|\.\d+|/\d)?"
RANGES = (
    rf"{NUMBER}[ \u00a0](mm|in) outside to {NUMBER}[ \u00a0](mm|in) inside",
    rf"between {NUMBER}° left and {NUMBER}° right",
    rf"{NUMBER}°? ?(?:in )?[ \u00a0]?to[ \u00a0]{NUMBER}",
)


@pytest.mark.parametrize("studio", STUDIOS, ids=["metric", "inches"])
@pytest.mark.parametrize("name", sorted(VISITS))
def test_no_figure_on_page_one_stands_without_its_range(name: str, studio: StudioSettings) -> None:
    plain = to_plain(card(name, studio))
    del plain["evidence"], plain["paper"]
    for said in strings(plain):
        rest = said
        for pattern in (*WITHOUT_RANGE, *RANGES):
            rest = re.sub(pattern, "", rest)
        assert not re.search(r"\d", rest), said


@pytest.mark.parametrize("name", sorted(VISITS))
def test_no_size_names_on_any_paper(name: str) -> None:
    visit, findings = VISITS[name]
    for pdf in (
        setup_card_pdf(card(name)),
        width_strip_pdf(strip_view(visit, STUDIOS[0], findings)),
        build_sheet_pdf(build_view(visit, STUDIOS[0], findings)),
    ):
        text = " ".join(p.extract_text() for p in pages(pdf))
        assert not SIZE_NAMES.search(text.replace("standard deviation", ""))


def test_every_row_has_its_answer_word() -> None:
    for name in VISITS:
        for row in card(name).rows:
            assert row.answer in {"square", "likely", "none", "cannot tell", "not measured"}
            assert row.width is None or row.answer in {"square", "likely"}
        assert all(line.answer in {"stays", "changes", "not measured"} for line in card(name).grip.lines)


def test_markup_in_a_name_is_printed_as_it_is() -> None:
    visit, findings = VISITS["full"]
    name = "#panic() *Ann* _O'H_ $x$ @b <c>"
    view = card_view(replace(visit, player=replace(visit.player, name=name)), STUDIOS[0], findings)
    assert name in pages(setup_card_pdf(view))[0].extract_text()


def test_a_page_that_can_hold_no_more_says_so() -> None:
    visit, findings = VISITS["full"]
    view = card_view(replace(visit, player=replace(visit.player, name="Ann " * 2000)), STUDIOS[0], findings)
    with pytest.raises(paper.PageTooSmallError, match="setup card: The page does not fit"):
        setup_card_pdf(view)
    assert issubclass(paper.PageTooSmallError, ReportError)


def test_only_the_two_families_are_embedded() -> None:
    fonts = {c["fontname"].partition("+")[2] for p in pages(setup_card_pdf(card("full"))) for c in p.chars}
    assert fonts
    assert all(f.startswith(("SourceSansPro", "SourceSerifPro")) for f in fonts)


def test_every_character_that_is_printed_has_a_glyph() -> None:
    # The typesetter gives no warning for a missing glyph, so the fonts' own tables are asked.
    cmaps = [
        set(TTFont(file).getBestCmap())
        for folder in font_folders()
        for file in sorted(Path(folder).glob("Source*-Regular.otf"))
    ]
    assert len(cmaps) == 2
    used: set[str] = set()
    for visit, findings in VISITS.values():
        for studio in STUDIOS:
            for view in (
                card_view(visit, studio, findings),
                strip_view(visit, studio, findings),
                build_view(visit, studio, findings),
            ):
                used |= set("".join(strings(to_plain(view))))
    for template in paper.TEMPLATES.glob("*.typ"):
        used |= set(template.read_text("utf-8"))
    missing = {c for c in used - {"\n"} if not all(ord(c) in cmap for cmap in cmaps)}
    assert not missing
