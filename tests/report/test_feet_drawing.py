"""The drawing from above says what the row says: width, toe-out, ball, target, handedness."""

import math
from dataclasses import replace

import pytest

from evenground.findings import FamilySetup
from evenground.report.drawing import Drawing, Mark, mirrored
from evenground.report.feet_drawing import feet_drawing
from evenground.visit import Shoes
from tests.report import samples

SHOES = Shoes(name="own", length_mm=290.0, heel_breadth_mm=66.0)
IRONS = samples.setup("irons", 355.0, 380.0, (150.0, 395.0))


def drawn(setup: FamilySetup = IRONS, handed: str = "right") -> Drawing:
    drawing = feet_drawing(setup, SHOES, handed)  # type: ignore[arg-type]
    assert drawing is not None
    return drawing


def soles(drawing: Drawing) -> list[Mark]:
    """Left foot, right foot."""
    return sorted(
        (m for m in drawing.marks if m.kind == "outline" and len(m.points_mm) > 10),
        key=lambda m: m.points_mm[0][0],
    )


def heel_part(sole: Mark) -> list[float]:
    low = min(y for _, y in sole.points_mm)
    return [x for x, y in sole.points_mm if y < low + 0.3 * SHOES.length_mm]  # type: ignore[operator]


def ball(drawing: Drawing) -> tuple[float, float]:
    return next(m.points_mm[0] for m in drawing.marks if m.kind == "disc")


def heel(side_x: float, drawing: Drawing) -> tuple[float, float]:
    """Where the two toe-out lines of a foot start."""
    starts = [m.points_mm[0] for m in drawing.marks if m.style == "hair" and m.points_mm[0][1] == 0.0]
    return min(starts, key=lambda p: abs(p[0] - side_x))


def test_heels_stand_as_far_apart_inside_as_the_middle_of_the_stated_range() -> None:
    left, right = soles(drawn())
    assert min(heel_part(right)) - max(heel_part(left)) == pytest.approx(367.5, abs=0.5)  # mm


def test_each_sole_is_as_long_as_the_shoe_and_turned_out_as_stated() -> None:
    left, right = soles(drawn())
    for sole, side, toe_out in ((left, -1.0, 18.0), (right, 1.0, 8.0)):
        t = math.radians(-side * toe_out)
        along = [-math.sin(t) * x + math.cos(t) * y for x, y in sole.points_mm]
        assert max(along) - min(along) == pytest.approx(290.0, abs=0.5)  # mm


def test_ball_lies_where_its_two_figures_put_it() -> None:
    drawing = drawn()
    x, y = ball(drawing)
    lead_heel = heel(-200.0, drawing)
    assert x - lead_heel[0] == pytest.approx(150.0)
    toes = next(
        m
        for m in drawing.marks
        if m.style == "hair"
        and m.kind == "line"
        and m.points_mm[0][1] > 200.0
        and abs(m.points_mm[0][0] - m.points_mm[1][0]) > 200.0
    )
    (x0, y0), (x1, y1) = toes.points_mm
    assert y - (y0 + (y1 - y0) * (x - x0) / (x1 - x0)) == pytest.approx(395.0)


@pytest.mark.parametrize(("handed", "side"), [("right", -1.0), ("left", 1.0)])
def test_arrow_points_to_the_target(handed: str, side: float) -> None:
    arrow = next(m for m in drawn(handed=handed).marks if m.style == "arrow")
    tip, *back = arrow.points_mm
    assert all(side * tip[0] > side * x for x, _ in back)


def marks_of(drawing: Drawing) -> list[tuple[object, ...]]:
    flat = [
        (
            m.kind,
            m.style,
            m.text,
            m.anchor,
            tuple(sorted((round(x, 6) + 0.0, round(y, 6)) for x, y in m.points_mm)),
        )
        for m in drawing.marks
    ]
    return sorted(flat, key=repr)


def test_left_handed_player_gets_the_mirror_image() -> None:
    assert marks_of(drawn(handed="left")) == marks_of(mirrored(drawn(handed="right")))


def test_one_scale_serves_all_rows_since_drawings_are_in_millimetres_of_floor() -> None:
    wide = drawn(replace(IRONS, width_inside_mm=replace(IRONS.width_inside_mm, low=555.0, high=580.0)))  # type: ignore[type-var]
    assert wide.width_mm - drawn().width_mm == pytest.approx(200.0)


def test_without_a_proposed_width_the_own_stance_is_drawn_dashed() -> None:
    own = replace(IRONS, width_inside_mm=None, width_heel_range_mm=None)
    left, right = soles(drawn(own))
    assert {left.style, right.style} == {"dash"}
    assert min(heel_part(right)) - max(heel_part(left)) == pytest.approx(315.0, abs=0.5)  # was_inside_mm


def test_nothing_is_drawn_where_no_width_is_known() -> None:
    bare = replace(IRONS, width_inside_mm=None, width_heel_range_mm=None, was_inside_mm=None)
    assert feet_drawing(bare, SHOES, "right") is None


def test_heel_centres_stand_in_where_no_shoe_was_measured() -> None:
    bare = replace(IRONS, width_inside_mm=None)
    drawing = feet_drawing(bare, None, "right")
    assert drawing is not None
    assert heel(220.0, drawing)[0] - heel(-220.0, drawing)[0] == pytest.approx(433.5)  # middle of 421 to 446
