"""The player's address from the side, a stick figure drawn with the measured angles."""

import math
from dataclasses import dataclass

from evenground.estimate import Estimate
from evenground.floor import Handed
from evenground.report.drawing import Drawing, Mark, Point, Style, around, disc, label, line, mirrored
from evenground.report.words import angle_range
from evenground.sourced import Sourced

__all__ = ["PostureAngles", "figure_drawing"]

SHANK = Sourced(430.0, "mm", "ours: a limb of the drawing, no measure of anybody")
THIGH = Sourced(430.0, "mm", "ours: a limb of the drawing, no measure of anybody")
TRUNK = Sourced(520.0, "mm", "ours: a limb of the drawing, no measure of anybody")
ARM = Sourced(600.0, "mm", "ours: a limb of the drawing, no measure of anybody")
HEAD = Sourced(110.0, "mm", "ours: radius of the drawing's head")
FOOT = Sourced(260.0, "mm", "ours: a limb of the drawing, no measure of anybody")

# Where an angle was not measured its limb is drawn dotted at these, so that the figure stands up.
ASSUMED_DEG = {"trunk": 35.0, "thigh": 18.0, "knee": 25.0, "arm": 5.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class PostureAngles:
    """Angles of one address; None was not measured. Trunk, thigh and arm from the vertical."""

    trunk_deg: Estimate | None = None
    thigh_deg: Estimate | None = None
    knee_flex_deg: Estimate | None = None
    arm_hang_deg: Estimate | None = None

    @property
    def any(self) -> bool:
        """Whether there is anything to draw."""
        return any((self.trunk_deg, self.thigh_deg, self.knee_flex_deg, self.arm_hang_deg))


def figure_drawing(angles: PostureAngles, handed: Handed) -> Drawing | None:
    """The figure seen along the target line from behind the ball; None with no angle at all.

    A right-handed player faces right, a left-handed one left. A limb whose angle was not measured is dotted.
    """
    if not angles.any:
        return None
    trunk, trunk_style = _angle(angles.trunk_deg, "trunk")
    thigh, thigh_style = _angle(angles.thigh_deg, "thigh")
    knee, knee_style = _angle(angles.knee_flex_deg, "knee")
    arm, arm_style = _angle(angles.arm_hang_deg, "arm")
    ankle = (0.0, 60.0)
    knees = _along(ankle, knee - thigh, SHANK.value)
    hip = _along(knees, -thigh, THIGH.value)
    shoulder = _along(hip, trunk, TRUNK.value)
    hand = _along(shoulder, 180.0 - arm, ARM.value)
    head = _along(shoulder, trunk, HEAD.value * 1.35)
    marks = [
        line((-FOOT.value * 0.25, 0.0), (FOOT.value * 0.75, 0.0), style="bold"),
        line((-330.0, -14.0), (560.0, -14.0), style="hair"),
        line((0.0, 0.0), ankle, knees, style=knee_style),
        line(knees, hip, style=thigh_style),
        line(hip, shoulder, style=trunk_style),
        line(shoulder, hand, style=arm_style),
        disc(head, HEAD.value, style="hollow"),
        line(hip, (hip[0], hip[1] + TRUNK.value * 0.8), style="dots"),
    ]
    marks += _labels(angles, knees=knees, hip=hip, shoulder=shoulder, hand=hand)
    plain = around(marks, pad_mm=8.0)
    return plain if handed == "right" else mirrored(plain)


def _angle(measured: Estimate | None, limb: str) -> tuple[float, Style]:
    return (ASSUMED_DEG[limb], "dots") if measured is None else (measured.value, "bold")


def _along(start: Point, lean_deg: float, length: float) -> Point:
    """End of a limb that leans forward from the vertical."""
    lean = math.radians(lean_deg)
    return start[0] + length * math.sin(lean), start[1] + length * math.cos(lean)


def _labels(angles: PostureAngles, *, knees: Point, hip: Point, shoulder: Point, hand: Point) -> list[Mark]:
    """Each measured angle beside its limb."""
    middle = ((hip[0] + shoulder[0]) / 2.0, (hip[1] + shoulder[1]) / 2.0)
    marks = []
    if angles.trunk_deg is not None:
        at = (hip[0] - 30.0, middle[1] + 60.0)
        marks.append(label(at, f"trunk {angle_range(angles.trunk_deg)}", "left"))
    if angles.thigh_deg is not None:
        at = ((hip[0] + knees[0]) / 2.0 - 60.0, (hip[1] + knees[1]) / 2.0)
        marks.append(label(at, f"thigh {angle_range(angles.thigh_deg)}", "left"))
    if angles.knee_flex_deg is not None:
        at = (knees[0] + 50.0, knees[1] - 40.0)
        marks.append(label(at, f"knee {angle_range(angles.knee_flex_deg)}", "right"))
    if angles.arm_hang_deg is not None:
        at = (max(hand[0], shoulder[0]) + 50.0, (hand[1] + shoulder[1]) / 2.0)
        marks.append(label(at, f"arms {angle_range(angles.arm_hang_deg)}", "right"))
    return marks
