"""Drawings as pictures of a page: which of them take the page's whole width."""

import pytest

from evenground.report.drawing import Drawing
from evenground.studio.svg import picture


@pytest.mark.parametrize(("high_mm", "wide"), [(30.0, True), (200.0, False)])
def test_a_picture_much_wider_than_high_takes_the_whole_width(high_mm: float, wide: bool) -> None:
    grip = Drawing(left_mm=0.0, right_mm=280.0, bottom_mm=0.0, top_mm=high_mm, marks=())
    assert picture(grip, says="a grip", name="grip").is_wide is wide
