"""The width strip, read back from the PDF: true to 0.2 mm, mirrored, joined, corrected."""

import io
from itertools import pairwise
from typing import Any, Literal

import pdfplumber
import pytest

from evenground.report.paper import width_strip_pdf
from evenground.report.strip_view import CheckBarError, StripView, strip_view
from evenground.visit import StudioSettings
from tests.report import samples

Paper = Literal["a4", "us-letter"]

MM = 25.4 / 72.0  # a PDF unit is 1/72 in: ISO 32000-1, 8.3.2.3
EXACT_MM = 0.2  # the issue's own limit
PAPER_MM = {"a4": (297.0, 210.0), "us-letter": (279.4, 215.9)}  # ISO 216; ANSI/ASME Y14.1


def strip(paper: Paper = "a4", check_bar_mm: float | None = None) -> StripView:
    studio = StudioSettings(paper=paper)
    return strip_view(samples.full_visit(), studio, samples.full_findings(), check_bar_mm=check_bar_mm)


def read(view: StripView) -> list[Any]:
    with pdfplumber.open(io.BytesIO(width_strip_pdf(view))) as pdf:
        return list(pdf.pages)


def uprights(page: Any) -> list[float]:
    """x of every tall upright line: edges of the hatched ranges and the centre line."""
    return sorted(
        {round(x["x0"] * MM, 3) for x in page.lines if x["x1"] - x["x0"] < 0.01 and x["height"] * MM > 20.0}
    )


def bars(page: Any) -> list[float]:
    """Lengths of the level lines between 80 and 130 mm: the check bars."""
    return sorted(w for x in page.lines if 80.0 < (w := (x["x1"] - x["x0"]) * MM) < 130.0)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_sheets_have_the_paper_s_size_on_its_side(paper: Paper) -> None:
    for page in read(strip(paper)):
        size = (float(page.width) * MM, float(page.height) * MM)
        assert size == pytest.approx(PAPER_MM[paper], abs=EXACT_MM)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_check_bars_are_100_mm_and_4_in_on_every_sheet(paper: Paper) -> None:
    for page in read(strip(paper)):
        assert bars(page) == pytest.approx([100.0, 101.6], abs=EXACT_MM)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_inside_edges_stand_half_the_stated_width_from_the_centre_line(paper: Paper) -> None:
    pages = read(strip(paper))
    reach = PAPER_MM[paper][0] - 28.0  # what the sheets share out, joint line to joint line
    middle = len(pages) // 2
    along = [
        x - 14.0 + (n - middle) * reach - reach / 2.0 for n, page in enumerate(pages) for x in uprights(page)
    ]
    for width in (230.0, 255.0, 355.0, 380.0, 400.0, 425.0):
        for side in (-1.0, 1.0):
            assert any(x == pytest.approx(side * width / 2.0, abs=EXACT_MM) for x in along), (width, side)
    assert any(x == pytest.approx(0.0, abs=EXACT_MM) for x in along)


def test_a_measured_check_bar_corrects_every_length_along_the_strip() -> None:
    plain, corrected = read(strip()), read(strip(check_bar_mm=97.0))
    assert bars(corrected[1]) == pytest.approx([100.0 / 0.97, 101.6 / 0.97], abs=EXACT_MM)
    gaps = [
        max(xs) - min(xs)
        for pages in (plain, corrected)
        for xs in [[x for x in uprights(pages[1]) if 15.0 < x < 282.0]]
    ]
    assert gaps[0] == pytest.approx(255.0, abs=EXACT_MM)
    assert gaps[1] == pytest.approx(255.0 / 0.97, abs=EXACT_MM)


def test_neighbouring_sheets_carry_the_same_joint_letter() -> None:
    sheets = strip().sheets
    for one, other in pairwise(sheets):
        right = one.join.rpartition("join ")[2].rstrip(".").split(" and ")[-1]
        left = other.join.rpartition("join ")[2].split(" and ")[0].rstrip(".")
        assert right.removesuffix(" on the right") == left.removesuffix(" on the left")


def test_the_rule_about_the_ground_stands_on_every_sheet() -> None:
    for page in read(strip()):
        assert "Nothing may lie on the ground" in page.extract_text()


def test_a_left_handed_player_s_lead_foot_is_the_right_one() -> None:
    view = strip_view(samples.full_visit("left"), StudioSettings(), samples.full_findings())
    labels = {m.text: m.points_mm[0][0] for m in view.sheets[1].drawing.marks if m.kind == "label"}
    centre = view.sheets[1].drawing.width_mm / 2.0
    assert labels["putter, lead foot"] > centre > labels["putter, trail foot"]


@pytest.mark.parametrize("measured", [0.0, 85.0, 111.0, 1000.0])
def test_a_check_bar_that_cannot_be_the_100_mm_one_is_refused(measured: float) -> None:
    with pytest.raises(CheckBarError, match=f"check bar: {measured:g} mm was measured"):
        strip(check_bar_mm=measured)


def test_a_visit_without_any_width_still_gets_one_sheet_that_says_so() -> None:
    view = strip_view(samples.sparse_visit(), StudioSettings(), samples.sparse_findings())
    (page,) = read(view)
    assert all("not measured" in row for row in view.rows)
    assert bars(page) == pytest.approx([100.0, 101.6], abs=EXACT_MM)
