"""A mat from above: ink where it presses, the right way round, sides named by the player's hand."""

import numpy as np
import pytest

from evenground.floor import Handed
from evenground.report.mat_drawing import mat_drawing, mat_letters

CORNER = np.zeros((6, 10))
CORNER[4, 1] = 40.0  # ahead and to the left
CORNER[0, 8] = 10.0  # behind and to the right


def test_ink_lies_where_the_cell_lies_and_its_area_is_its_pressure() -> None:
    drawing = mat_drawing(CORNER, 10.0, 20.0, "right")
    ink = [np.array(m.points_mm) for m in drawing.marks if m.kind == "outline" and len(m.points_mm) == 4][1:]
    middles = sorted(tuple(cell.mean(axis=0)) for cell in ink)
    assert middles == [(15.0, 90.0), (85.0, 10.0)]
    areas = {cell.mean(axis=0)[0]: np.prod(np.ptp(cell, axis=0)) for cell in ink}
    assert areas[85.0] / areas[15.0] == pytest.approx(0.25)


@pytest.mark.parametrize(
    ("handed", "lead", "tip_mm"), [("right", "left foot, lead", -1), ("left", "right foot, lead", 1)]
)
def test_the_lead_foot_and_the_target_are_on_one_side(handed: Handed, lead: str, tip_mm: int) -> None:
    drawing = mat_drawing(CORNER, 10.0, 20.0, handed)
    marks = {m.text: m.points_mm[0] for m in drawing.marks if m.kind == "label"}
    assert np.sign(marks[lead][0] - 50.0) == tip_mm
    assert np.sign(marks["target"][0] - 50.0) == tip_mm


def test_letters_show_the_same_the_same_way_round() -> None:
    lines = mat_letters(np.repeat(CORNER, 4, axis=1), 2.5, 20.0, "left").split("\n")
    assert lines[0].strip() == "toes"
    body = [line[1:-1] for line in lines if line.startswith("|")]
    assert [(k, line.index("@")) for k, line in enumerate(body) if "@" in line] == [(1, 4)]
    assert body[-1][32] not in " @"
    assert lines[-1].split() == ["left", "foot", "right", "foot", "(lead)"]
