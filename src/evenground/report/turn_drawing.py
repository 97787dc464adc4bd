r"""The turn as a fan seen from above: both sides of trunk and pelvis, a band as wide as the error.

::

           toward        ahead        away
          the target       |       from it
               \  hatch    |     /         line: mean; hatched: its 95 % range; dotted: best
                 \.        |   ./
                    \.     | ./
                       ( player )
"""

import math
from collections.abc import Sequence
from typing import Literal

from evenground.estimate import Estimate
from evenground.floor import Handed
from evenground.measure.turn import TurnRanges, TurnSide
from evenground.report.drawing import Anchor, Drawing, Mark, Point, disc, label, line, mirrored, outline

__all__ = ["turn_drawing"]

RADII_MM = {"trunk": 33.0, "pelvis": 22.0}
WIDE_MM, HIGH_MM = 40.0, 38.0
FIRST_MM, ROW_MM = -5.5, 4.2
SIDES: tuple[Literal["lead", "trail"], ...] = ("lead", "trail")
STEP_DEG = 2.0


def turn_drawing(ranges: Sequence[TurnRanges], handed: Handed) -> Drawing:
    """A fan for each part, trunk outside, pelvis inside; 80 mm wide.

    Parameters
    ----------
    ranges
        One or two, each of its own part; a side that was not taken, or that pain stopped, has no line.
    handed
        The target is to the left on paper for a right-handed player, who looks up the page.
    """
    marks: list[Mark] = [
        line((0.0, 0.0), (0.0, HIGH_MM - 2.0), style="hair"),
        line((-WIDE_MM + 3.0, 0.0), (WIDE_MM - 3.0, 0.0), style="hair"),
        disc((0.0, 0.0), 3.2, style="hollow"),
    ]
    for found in ranges:
        radius = RADII_MM[found.part]
        for side in (found.lead, found.trail):
            marks += _side(side, radius)
    for toward in SIDES:
        marks += _words(ranges, toward)
    lowest = FIRST_MM - ROW_MM * (1 + max(1, len(ranges))) - 1.0
    plain = Drawing(left_mm=-WIDE_MM, right_mm=WIDE_MM, bottom_mm=lowest, top_mm=HIGH_MM, marks=tuple(marks))
    return plain if handed == "right" else mirrored(plain)


def _at(turn_deg: float, radius_mm: float, toward: Literal["lead", "trail"] = "lead") -> Point:
    """Where a turned player looks: ahead is up, toward the target left."""
    side = -1.0 if toward == "lead" else 1.0
    angle = math.radians(turn_deg)
    return side * radius_mm * math.sin(angle), radius_mm * math.cos(angle)


def _side(side: TurnSide, radius_mm: float) -> list[Mark]:
    if side.mean_deg is None or side.best_deg is None:
        return []
    mean, best = side.mean_deg, side.best_deg.value
    low, high = max(0.0, mean.interval().low), min(180.0, mean.interval().high)
    count = max(2, math.ceil((high - low) / STEP_DEG) + 1)
    arc = [_at(low + (high - low) * i / (count - 1), radius_mm, side.toward) for i in range(count)]
    sweep = [_at(mean.value * i / 24, radius_mm * 0.35, side.toward) for i in range(25)]
    return [
        outline([(0.0, 0.0), *arc], style="hatch"),
        line((0.0, 0.0), _at(mean.value, radius_mm, side.toward), style="bold"),
        line(
            _at(best, 0.55 * radius_mm, side.toward), _at(best, 1.06 * radius_mm, side.toward), style="dots"
        ),
        line(*sweep, style="hair"),
    ]


def _words(ranges: Sequence[TurnRanges], toward: Literal["lead", "trail"]) -> list[Mark]:
    """The figures of one side under the fan, a row a part, with what pain stopped."""
    lead = toward == "lead"
    x = -WIDE_MM + 1.0 if lead else WIDE_MM - 1.0
    anchor: Anchor = "right" if lead else "left"
    rows = ["toward the target" if lead else "away from it"]
    for found in ranges:
        side = found.lead if lead else found.trail
        where = {"trunk": "outer, ", "pelvis": "inner, "}[found.part] if len(ranges) > 1 else ""
        said = "no range" if side.mean_deg is None else _figure(side.mean_deg)
        pain = f", {side.stopped} stopped by pain" if side.stopped else ""
        rows.append(f"{where}{found.part} {said}{pain}")
    return [
        label((x, FIRST_MM - ROW_MM * i), words, anchor, style="soft" if i == 0 else "ink")
        for i, words in enumerate(rows)
    ]


def _figure(mean: Estimate) -> str:
    return f"{mean.value:.0f}° ± {mean.half_width():.0f}"
