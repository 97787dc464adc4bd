"""The printable sheets: true scale in the PDF, and tags that the detector reads off the page."""

import io

import numpy as np
import pdfplumber
import pytest

from evenground.capture.sheets import sheets
from evenground.report.print_sheets import SHEETS, NoSuchSheetError, print_sheet_pdf

POINT_MM = 25.4 / 72.0


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("sheet", SHEETS)
def test_check_bar_is_100_mm_and_nothing_leaves_the_page(sheet: str, paper: str) -> None:
    with pdfplumber.open(io.BytesIO(print_sheet_pdf(sheet, paper))) as pdf:
        for page in pdf.pages:
            lengths = [abs(line["x1"] - line["x0"]) * POINT_MM for line in page.lines]
            assert any(abs(length - 100.0) < 0.05 for length in lengths)
            for thing in [*page.rects, *page.lines]:
                assert 0.0 <= thing["x0"] <= thing["x1"] <= page.width
                assert 0.0 <= thing["top"] <= thing["bottom"] <= page.height


def test_strip_tags_lie_where_detection_looks_for_them() -> None:
    plan = sheets()
    with pdfplumber.open(io.BytesIO(print_sheet_pdf("strip"))) as pdf:
        page = pdf.pages[0]
        black = page.rects
        left = min(r["x0"] for r in black) * POINT_MM
        right = max(r["x1"] for r in black) * POINT_MM
        tall = (max(r["bottom"] for r in black) - min(r["top"] for r in black)) * POINT_MM
    corners = np.vstack([plan.strip_mm[i] for i in range(20, 24)])
    assert right - left == pytest.approx(np.ptp(corners[:, 0]), abs=0.05)
    assert tall == pytest.approx(np.ptp(corners[:, 1]), abs=0.05)


def test_every_printed_tag_is_read_back_the_right_way_round() -> None:
    import cv2

    family = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    wanted = {tag for first, last, _ in sheets().ends.values() for tag in (first, last)} | {sheets().ball[0]}
    found: set[int] = set()
    with pdfplumber.open(io.BytesIO(print_sheet_pdf("tags"))) as pdf:
        for page in pdf.pages:
            picture = np.full((int(page.height * 3), int(page.width * 3)), 255, np.uint8)
            for r in page.rects:
                low = (round(r["x0"] * 3), round(r["top"] * 3))
                cv2.rectangle(picture, low, (round(r["x1"] * 3) - 1, round(r["bottom"] * 3) - 1), 0, -1)
            corners, ids, _ = cv2.aruco.ArucoDetector(family).detectMarkers(picture)
            for tag, at in zip(np.asarray(ids).ravel(), corners, strict=True):
                found.add(int(tag))
                top_left, top_right = np.asarray(at).reshape(4, 2)[:2]
                assert top_right[0] > top_left[0]
    assert found == wanted


def test_an_unknown_sheet_is_refused() -> None:
    with pytest.raises(NoSuchSheetError, match="There is no sheet called 'poster'"):
        print_sheet_pdf("poster")
