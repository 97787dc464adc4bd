"""One family's stance from above: soles, ball and target line, where the numbers of the row put them.

Floor frame of `floor.py`: x along the target line to the player's right, y ahead, origin midway between the
heel centres. A right-handed player's target is to the left.
"""

import math
from dataclasses import dataclass

from evenground.findings import FamilySetup
from evenground.floor import Handed, turned
from evenground.report.drawing import Drawing, Mark, Point, around, disc, label, line, outline
from evenground.report.words import toe_out_range
from evenground.sourced import Sourced
from evenground.visit import Shoes

__all__ = ["BALL_RADIUS_MM", "feet_drawing", "lead_sign"]

BALL_RADIUS_MM = Sourced(21.335, "mm", "half of 42.67 mm, Equipment Rules, part 4 (least diameter of a ball)")
SOLE_LENGTH_MM = Sourced(290.0, "mm", "ours: a middling golf shoe, drawn only where the shoe is not measured")
HEEL_FROM_BACK = Sourced(0.14, "", "ours: heel centre as a share of the sole's length, for the drawing")
HEEL_BREADTH = Sourced(0.23, "", "ours: heel breadth as a share of the sole's length, for the drawing")
EMPTY_GAP_MM = Sourced(150.0, "mm", "ours: target line ahead of the toes where no ball was measured")
PART_OF_HEEL = 0.35

# Ours, drawn by eye: share of the sole's length from the back, half breadth toward the other foot, half
# breadth away from it.
SOLE = (
    (0.000, 0.022, 0.022), (0.010, 0.058, 0.058), (0.035, 0.088, 0.088), (0.080, 0.108, 0.108),
    (0.140, 0.115, 0.115), (0.220, 0.112, 0.116), (0.300, 0.101, 0.118), (0.380, 0.091, 0.121),
    (0.460, 0.090, 0.127), (0.540, 0.103, 0.136), (0.620, 0.127, 0.145), (0.700, 0.150, 0.149),
    (0.760, 0.160, 0.146), (0.820, 0.161, 0.136), (0.880, 0.150, 0.116), (0.930, 0.128, 0.090),
    (0.970, 0.092, 0.056), (0.992, 0.050, 0.020), (1.000, 0.020, -0.010),
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class _Foot:
    """A sole on the floor: outline, heel centre, toe tip, innermost point of the heel."""

    points_mm: tuple[Point, ...]
    heel_mm: Point
    toe_mm: Point
    inner_x_mm: float

    def moved(self, x_mm: float) -> "_Foot":
        return _Foot(
            points_mm=tuple((x + x_mm, y) for x, y in self.points_mm),
            heel_mm=(self.heel_mm[0] + x_mm, self.heel_mm[1]),
            toe_mm=(self.toe_mm[0] + x_mm, self.toe_mm[1]),
            inner_x_mm=self.inner_x_mm + x_mm,
        )


def lead_sign(handed: Handed) -> float:
    """Direction of the target along x: -1 for a right-handed player."""
    return -1.0 if handed == "right" else 1.0


def feet_drawing(setup: FamilySetup, shoes: Shoes | None, handed: Handed) -> Drawing | None:
    """The stance of one row, or None when no width is known, not even the player's own.

    Feet stand in the middle of the range with the hatched part of it at each inside edge; where there is no
    range, the as-arrived width is drawn dashed. Toe-out and ball stand at their mean, the ball in a hatched
    rectangle as large as its two ranges. Without a measured ball the target line has none on it.
    """
    sign = lead_sign(handed)
    proposed = setup.width_inside_mm or setup.width_heel_range_mm
    feet = _feet(setup, shoes, handed)
    if feet is None:
        return None
    style = "ink" if proposed is not None else "dash"
    marks = [outline(foot.points_mm, style=style) for foot in feet]  # type: ignore[arg-type]
    marks += _width_marks(setup, feet)
    marks += _toe_out_marks(setup, feet, sign)
    marks += _target_marks(setup, feet, sign)
    return around(marks, pad_mm=2.0)


def _feet(setup: FamilySetup, shoes: Shoes | None, handed: Handed) -> tuple[_Foot, _Foot] | None:
    """Left and right foot of the player in place."""
    lead, trail = setup.toe_out_lead_deg, setup.toe_out_trail_deg
    left_deg, right_deg = (lead, trail) if handed == "right" else (trail, lead)
    left = _sole(shoes, 0.0 if left_deg is None else left_deg.value, side=-1.0)
    right = _sole(shoes, 0.0 if right_deg is None else right_deg.value, side=1.0)
    if setup.width_inside_mm is not None:
        half = (setup.width_inside_mm.low + setup.width_inside_mm.high) / 4.0
        return left.moved(-half - left.inner_x_mm), right.moved(half - right.inner_x_mm)
    if setup.width_heel_range_mm is not None:
        half = (setup.width_heel_range_mm.low + setup.width_heel_range_mm.high) / 4.0
        return left.moved(-half), right.moved(half)
    if setup.was_inside_mm is not None:
        half = setup.was_inside_mm.value / 2.0
        return left.moved(-half - left.inner_x_mm), right.moved(half - right.inner_x_mm)
    return None


def _sole(shoes: Shoes | None, toe_out_deg: float, *, side: float) -> _Foot:
    """A sole with its heel centre at the origin, toes ahead; `side` is -1 for the player's left foot."""
    length = (shoes.length_mm if shoes is not None else None) or SOLE_LENGTH_MM.value
    breadth = (shoes.heel_breadth_mm if shoes is not None else None) or HEEL_BREADTH.value * length
    wide = breadth / HEEL_BREADTH.value
    back = HEEL_FROM_BACK.value
    inner = [(-side * m * wide, (t - back) * length) for t, m, _ in SOLE]
    outer = [(side * o * wide, (t - back) * length) for t, _, o in reversed(SOLE)]
    turn = -side * toe_out_deg  # counter-clockwise: outwards for the left foot
    points = tuple(turned(x, y, turn) for x, y in inner + outer)
    heel_end = (PART_OF_HEEL - back) * length
    heel = [turned(x, y, turn)[0] for x, y in inner if y <= heel_end]
    return _Foot(
        points_mm=points,
        heel_mm=(0.0, 0.0),
        toe_mm=turned(0.0, (1.0 - back) * length, turn),
        inner_x_mm=min(heel, key=lambda x: side * x),
    )


def _width_marks(setup: FamilySetup, feet: tuple[_Foot, _Foot]) -> list[Mark]:
    """The range at each inside edge (or heel centre), hatched, with a line between under the heels."""
    shown = setup.width_inside_mm or setup.width_heel_range_mm
    low_y = min(y for foot in feet for _, y in foot.points_mm)
    if shown is None:
        return []
    marks: list[Mark] = []
    for side in (-1.0, 1.0):
        near, far = side * shown.low / 2.0, side * shown.high / 2.0
        marks.append(
            outline(
                [(near, low_y - 34.0), (far, low_y - 34.0), (far, low_y - 2.0), (near, low_y - 2.0)],
                style="hatch",
            )
        )
    base = low_y - 18.0
    half = (shown.low + shown.high) / 4.0
    marks.append(line((-half, base), (half, base)))
    marks += [line((x, base - 10.0), (x, base + 10.0)) for x in (-half, half)]
    return marks


def _toe_out_marks(setup: FamilySetup, feet: tuple[_Foot, _Foot], sign: float) -> list[Mark]:
    """Each foot's axis at both ends of its toe-out range, and the range in figures outside the foot."""
    marks: list[Mark] = []
    for foot, side in zip(feet, (-1.0, 1.0), strict=True):
        angle = setup.toe_out_lead_deg if side == sign else setup.toe_out_trail_deg
        if angle is None:
            continue
        reach = math.dist(foot.heel_mm, foot.toe_mm)
        ends = angle.interval()
        for deg in (ends.low, ends.high):
            x, y = turned(0.0, reach * 0.92, -side * deg)
            marks.append(line(foot.heel_mm, (foot.heel_mm[0] + x, foot.heel_mm[1] + y), style="hair"))
        widest = max(foot.points_mm, key=lambda p: side * p[0])
        where = "left" if side < 0 else "right"
        at = (widest[0] + side * 12.0, foot.heel_mm[1] + reach * 0.55)
        marks.append(label(at, toe_out_range(angle), where))  # type: ignore[arg-type]
    return marks


def _target_marks(setup: FamilySetup, feet: tuple[_Foot, _Foot], sign: float) -> list[Mark]:
    """The target line with its arrow, the ball in the middle of its two ranges, and what they start from."""
    lead, trail = (feet[0], feet[1]) if sign < 0 else (feet[1], feet[0])
    inside, ahead = setup.ball_inside_lead_heel_mm, setup.ball_from_toe_line_mm
    ball_x = None if inside is None else lead.heel_mm[0] - sign * inside.value
    toe_y = _on_line(lead.toe_mm, trail.toe_mm, 0.0 if ball_x is None else ball_x)
    y = toe_y + (EMPTY_GAP_MM.value if ahead is None else ahead.value)
    far = max(abs(x) for foot in feet for x, _ in foot.points_mm) + 60.0
    tip, tail = (sign * far, y), (-sign * far, y)
    marks = [line(tail, (tip[0] - sign * 26.0, y), style="dots")]
    marks.append(
        outline([tip, (tip[0] - sign * 28.0, y + 10.0), (tip[0] - sign * 28.0, y - 10.0)], style="arrow")
    )
    marks.append(label((tip[0] + sign * 8.0, y), "target", "left" if sign < 0 else "right", style="soft"))
    if ball_x is None or inside is None or ahead is None:
        return marks
    toes = [(foot.toe_mm[0], foot.toe_mm[1]) for foot in feet]
    marks += [line(toes[0], toes[1], style="hair"), line((ball_x, toe_y), (ball_x, y), style="hair")]
    marks.append(line(lead.heel_mm, (lead.heel_mm[0], y), style="hair"))
    wide, deep = max(inside.half_width(), 2.5), max(ahead.half_width(), 2.5)
    corners = [(ball_x + i * wide, y + j * deep) for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    marks += [disc((ball_x, y), BALL_RADIUS_MM.value, style="hollow"), outline(corners, style="hatch")]
    return marks


def _on_line(one: Point, other: Point, x: float) -> float:
    """Height of the line through two points at `x`."""
    return one[1] + (other[1] - one[1]) * (x - one[0]) / (other[0] - one[0])
