"""The pictures of turn, grips and aim: sides, signs, scale, and words that fit the figures."""

from dataclasses import replace
from typing import Literal

import pytest

from evenground.estimate import Estimate
from evenground.fit.aim import fit_aim
from evenground.fit.aim_angle import miss_mm
from evenground.fit.grip_check import grip_verdict
from evenground.floor import Handed
from evenground.measure.turn import TurnRanges, turn_ranges
from evenground.report.aim_hole import aim_hole_drawing
from evenground.report.drawing import Drawing, Mark
from evenground.report.grip_slopes import grip_slopes
from evenground.report.slopes_drawing import Slopes, slopes_drawing
from evenground.report.turn_drawing import turn_drawing
from evenground.visit import AimCheck, AimTrial, GripTrial, TurnReading

GRIPS: tuple[Literal["own", "proposed"], ...] = ("own", "proposed")
CHECK = AimCheck(distance_m=2.0, trials=())


def ranges(lead: float, trail: float) -> TurnRanges:
    turns = [TurnReading(toward="lead", turn_deg=lead + d) for d in (-1, 0, 1)]
    turns += [TurnReading(toward="trail", turn_deg=trail + d) for d in (-1, 0, 1)]
    return turn_ranges(turns, known_sd_deg=2.0)


def of(drawing: Drawing, style: str, kind: str = "line") -> list[Mark]:
    return [m for m in drawing.marks if (m.kind, m.style) == (kind, style)]


@pytest.mark.parametrize(("handed", "side"), [("right", -1.0), ("left", 1.0)])
def test_the_turn_toward_the_target_is_on_the_targets_side(handed: Handed, side: float) -> None:
    drawing = turn_drawing([ranges(90.0, 30.0)], handed)
    across, away = (m.points_mm[1] for m in of(drawing, "bold"))
    assert across == pytest.approx(
        (side * 33.0, 0.0), abs=1e-9
    )  # a quarter turn looks straight at the target
    assert away[0] * side < 0.0
    assert away[1] > 0.0


def test_the_fans_band_is_as_wide_as_the_error() -> None:
    narrow, wide = ranges(50.0, 50.0), ranges(50.0, 50.0)
    assert wide.lead.mean_deg is not None
    rough = replace(wide.lead, mean_deg=wide.lead.mean_deg.widened(5.0))
    one = turn_drawing([narrow], "right")
    other = turn_drawing([replace(wide, lead=rough)], "right")
    spans = [_span(of(d, "hatch", "outline")[0]) for d in (one, other)]
    assert spans[1] > 3.0 * spans[0]


def _span(mark: Mark) -> float:
    xs = [x for x, _ in mark.points_mm[1:]]
    return max(xs) - min(xs)


def test_a_side_without_a_range_has_words_and_no_line() -> None:
    hurt = TurnReading(toward="trail", turn_deg=20.0, stopped_by_pain=True)
    drawing = turn_drawing([turn_ranges([TurnReading(toward="lead", turn_deg=50.0), hurt])], "right")
    assert len(of(drawing, "bold")) == 1
    assert "trunk no range, 1 stopped by pain" in [m.text for m in drawing.marks]


@pytest.mark.parametrize(("handed", "side"), [("right", 1.0), ("left", -1.0)])
def test_an_open_face_crosses_the_hole_on_its_own_side(handed: Handed, side: float) -> None:
    trials = [AimTrial(trial=i, face_deg=d) for i, d in enumerate((0.9, 1.0, 1.1), 1)]
    drawing = aim_hole_drawing(fit_aim(trials, CHECK, handed=handed), CHECK, handed)
    marks = [m.points_mm[0][0] for m in of(drawing, "bold") if len(m.points_mm) == 2]
    assert marks == pytest.approx([side * miss_mm(d, 2.0) for d in (0.9, 1.0, 1.1)])
    hole = of(drawing, "bold", "disc")[0]
    assert hole.radius_mm == 54.0  # the hole, the aims and the bar of 50 mm are to one scale


def test_an_aim_far_beside_the_hole_is_an_arrow_with_its_distance() -> None:
    trials = [AimTrial(trial=i, offset_mm=o) for i, o in enumerate((0, 10, -5, 4, 900), 1)]
    drawing = aim_hole_drawing(fit_aim(trials, CHECK, handed="right"), CHECK, "right")
    assert len(of(drawing, "arrow", "outline")) == 1
    assert "900 mm" in [m.text for m in drawing.marks]
    inside = [x for m in drawing.marks for x, _ in m.points_mm]
    assert max(inside) <= drawing.right_mm
    assert min(inside) >= drawing.left_mm


def test_each_pair_of_grips_is_a_line_and_square_is_marked() -> None:
    trials = [
        GripTrial(pair=n, club="7", grip=grip, hip_line_deg=deg)
        for n, pair in enumerate(((4.0, 1.0), (5.0, 2.0), (4.5, 0.5)), 1)
        for grip, deg in zip(GRIPS, pair, strict=True)
    ]
    drawing = grip_slopes(grip_verdict(trials, glove=True))
    assert len(of(drawing, "soft")) == 3
    down = [m.points_mm[0][1] > m.points_mm[1][1] for m in of(drawing, "soft")]
    assert down == [True, True, True]
    assert {"1", "2", "3", "square", "own", "proposed"} <= {m.text for m in drawing.marks}


def test_slopes_that_are_all_alike_still_have_a_scale() -> None:
    mean = Estimate(value=0.0, se=0.0, unit="deg")
    same = Slopes(
        left="a", right="b", pairs=[("1", 0.0, 0.0)], left_mean=mean, right_mean=mean, measured="x", zero="0"
    )
    drawing = slopes_drawing(same)
    assert drawing.height_mm > 0.0
