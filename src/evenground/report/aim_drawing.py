"""Aim against the hole from above, at true proportion: ball, hole, where the face looked."""

import math

from evenground.estimate import Estimate
from evenground.floor import Handed
from evenground.report.drawing import Drawing, Mark, Point, around, disc, line, mirrored, outline
from evenground.report.feet_drawing import BALL_RADIUS_MM
from evenground.sourced import Sourced

__all__ = ["HOLE_RADIUS_MM", "aim_drawing"]

HOLE_RADIUS_MM = Sourced(54.0, "mm", "half of 108 mm, Rules of Golf, definition of Hole")


def aim_drawing(
    bias_deg: Estimate, spread_deg: Estimate, window_deg: float, distance_m: float, handed: Handed
) -> Drawing:
    """Ball and hole with the cone of where the face looked; lengths along and across are to one scale.

    Solid: what the hole allows at the chosen pace (`window_deg` to each side). Hatched: where the average of
    the face lies, 95 % range. Dotted: where nineteen aims in twenty fall if bias and spread are as found.
    The hole is to the left for a right-handed player, as in the stance drawings; up is + open.
    """
    reach = distance_m * 1000.0
    half = bias_deg.half_width()
    marks: list[Mark] = [
        outline(_wedge(bias_deg.value - half, bias_deg.value + half, reach), style="hatch"),
        line((0.0, 0.0), _at(0.0, reach), style="hair"),
        *(line((0.0, 0.0), _at(side * window_deg, reach)) for side in (-1.0, 1.0)),
        *(
            line((0.0, 0.0), _at(bias_deg.value + side * 1.96 * spread_deg.value, reach), style="dots")
            for side in (-1.0, 1.0)
        ),
        disc((-reach, 0.0), HOLE_RADIUS_MM.value, style="bold"),
        disc((0.0, 0.0), BALL_RADIUS_MM.value, style="hollow"),
    ]
    plain = around(marks, pad_mm=4.0)
    return plain if handed == "right" else mirrored(plain)


def _at(open_deg: float, reach: float) -> Point:
    """Where a direction meets the line across the hole's centre; + open is up, the hole to the left."""
    return -reach, reach * math.tan(math.radians(open_deg))


def _wedge(low_deg: float, high_deg: float, reach: float) -> tuple[Point, Point, Point]:
    return (0.0, 0.0), _at(low_deg, reach), _at(high_deg, reach)
