"""The hole from above with the cone of aims across it, all to one scale: what is allowed, and where aims end.

::

              target, away from the ball
            .  .  :  .  .          dotted: nineteen aims in twenty
           :      hatch     :      hatched: the average, 95 % range
        |  (    hole    )  |       plain lines: what the hole allows at the chosen pace
           x x  x   x x            each aim where its line crosses the hole's middle
              up from the ball
"""

import math

from evenground.fit.aim import AimFit
from evenground.fit.aim_angle import miss_mm
from evenground.fit.aim_constants import HOLE_DIAMETER_MM
from evenground.fit.full_swing import right_deg
from evenground.floor import Handed
from evenground.report.drawing import Drawing, Mark, Style, disc, label, line, outline
from evenground.visit import AimCheck

__all__ = ["aim_hole_drawing"]

LEAST_HALF_MM, MOST_HALF_MM = 90.0, 400.0
SCALE_MM = 50.0


def aim_hole_drawing(fit: AimFit, check: AimCheck, handed: Handed) -> Drawing:
    """Aims across the hole as seen from behind the ball: right of the target is right on paper.

    Parameters
    ----------
    fit
        Aim under one condition.
    check
        How far the hole is, and how wide.
    handed
        The player's golfing hand, which says whether open is right or left.

    Returns
    -------
    drawing
        In millimetres at the hole. An aim beyond the paper's edge is an arrow there with its distance.
    """
    radius = (HOLE_DIAMETER_MM.value if check.hole_mm is None else check.hole_mm) / 2.0

    def across(open_deg: float) -> float:
        return miss_mm(right_deg(open_deg, handed), check.distance_m)

    middle, half = fit.bias_deg.value, fit.bias_deg.half_width()
    most = abs(across(abs(middle) + max(half, 1.96 * fit.spread_deg.value)))
    wide = min(MOST_HALF_MM, max(LEAST_HALF_MM, 1.6 * radius, 1.1 * most))
    tall = 0.62 * wide
    marks: list[Mark] = [
        _cone(across(middle - half), across(middle + half), tall, check.distance_m, wide),
        disc((0.0, 0.0), radius, style="bold"),
        line((0.0, -tall), (0.0, tall), style="hair"),
        *(_ray(across(s * fit.window_deg), tall, check.distance_m, "ink", wide) for s in (-1.0, 1.0)),
        *(
            _ray(across(middle + s * 1.96 * fit.spread_deg.value), tall, check.distance_m, "dots", wide)
            for s in (-1.0, 1.0)
        ),
    ]
    for aim in fit.aims_deg:
        marks += _aim(across(aim), wide, tall)
    marks += _words(wide, tall)
    return Drawing(
        left_mm=-wide, right_mm=wide, bottom_mm=-1.62 * tall, top_mm=1.2 * tall, marks=tuple(marks)
    )


def _at(x_mm: float, y_mm: float, distance_m: float) -> float:
    """Where a line from the ball that crosses the hole's middle at `x_mm` is, `y_mm` past the middle."""
    return x_mm * (1.0 + y_mm / (1000.0 * distance_m))


def _kept(x_mm: float, wide_mm: float) -> float:
    return max(-wide_mm, min(wide_mm, x_mm))


def _ray(x_mm: float, tall_mm: float, distance_m: float, style: Style, wide_mm: float) -> Mark:
    ends = [(_kept(_at(x_mm, y, distance_m), wide_mm), y) for y in (-tall_mm, tall_mm)]
    return line(*ends, style=style)


def _cone(low_mm: float, high_mm: float, tall_mm: float, distance_m: float, wide_mm: float) -> Mark:
    corners = [(low_mm, -tall_mm), (high_mm, -tall_mm), (high_mm, tall_mm), (low_mm, tall_mm)]
    return outline(((_kept(_at(x, y, distance_m), wide_mm), y) for x, y in corners), style="hatch")


def _aim(x_mm: float, wide_mm: float, tall_mm: float) -> list[Mark]:
    """A short line under the picture; beyond the edge an arrow, with how far beyond the middle it is."""
    low, high = -1.32 * tall_mm, -1.12 * tall_mm
    if abs(x_mm) <= wide_mm:
        return [line((x_mm, low), (x_mm, high), style="bold")]
    side = math.copysign(1.0, x_mm)
    tip, back, middle = side * wide_mm, side * 0.95 * wide_mm, (low + high) / 2.0
    arrow = outline([(tip, middle), (back, high), (back, low)], style="arrow")
    words = label((back, middle), f"{abs(x_mm):.0f} mm", "left" if side > 0 else "right")
    return [arrow, words]


def _words(wide_mm: float, tall_mm: float) -> list[Mark]:
    """A scale bar, and where one stands."""
    top = 1.12 * tall_mm
    ends = (-wide_mm, top), (-wide_mm + SCALE_MM, top)
    return [
        line(*ends, style="ink"),
        *(line((x, top - 0.02 * wide_mm), (x, top + 0.02 * wide_mm)) for x, _ in ends),
        label((ends[1][0] + 0.04 * wide_mm, top), f"{SCALE_MM:.0f} mm", "right", style="soft"),
        label((0.0, -1.36 * tall_mm), "seen from behind the ball", "below", style="soft"),
    ]
