r"""Posture at address from the side: entered angles with their errors.

::

         o  head           trunk: shoulder to hip, from the vertical, + forward
        /                  thigh: hip to knee, from the vertical
       /  trunk            knee flex: 0 when the leg is straight
      o hip                arm hang: shoulder to wrist, from the vertical, + away from the body
       \ thigh
        o knee
        | ankle

The camera's own tilt adds one for one: a plumb line belongs in the picture.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from evenground.errors import MeasureError
from evenground.estimate import Estimate
from evenground.measure.repeats import mean_of_repeats
from evenground.sourced import Sourced
from evenground.visit import Family, PostureReading

__all__ = [
    "NoPostureError",
    "PostureAngles",
    "SeenPosture",
    "joint_sd_deg",
    "landmark_sd_deg",
    "posture_angles",
]

LANDMARK_SD_MM = Sourced(10.0, "mm", "ours: a landmark placed by eye on a clothed player")
TRUNK_MM = Sourced(500.0, "mm", "ours: hip to shoulder of an adult, for the error only")
THIGH_MM = Sourced(400.0, "mm", "ours: hip to knee of an adult, for the error only")
LEG_MM = Sourced(440.0, "mm", "ours: thigh and shank of an adult, for the error only")
ARM_MM = Sourced(600.0, "mm", "ours: shoulder to wrist of an adult, for the error only")


class NoPostureError(MeasureError):
    """Posture readings without a single angle in them."""

    do = "Enter at least one angle, or leave the posture out and say why."

    def __init__(self, family: str) -> None:
        super().__init__(family)
        self.where = f"posture, {family}" if family else "posture"
        self.what = "No angle was entered."


@dataclass(frozen=True, slots=True, kw_only=True)
class PostureAngles:
    """Angles of one family's address; None where none was taken. Frame as drawn at the top of the module."""

    family: Family
    trunk_deg: Estimate | None
    thigh_deg: Estimate | None
    knee_flex_lead_deg: Estimate | None
    knee_flex_trail_deg: Estimate | None
    arm_hang_deg: Estimate | None
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenPosture:
    """Angles read off one photo, and the standard error of each, by the names of `PostureReading`."""

    reading: PostureReading
    se_deg: Mapping[str, float]


def landmark_sd_deg(landmark_mm: float, segment_mm: float) -> float:
    """SD of the direction of a segment whose two ends are each placed to `landmark_mm`: ``sqrt(2) e / l``.

    Examples
    --------
    >>> landmark_sd_deg(10.0, 500.0)
    1.62
    """
    return math.degrees(math.sqrt(2.0) * landmark_mm / segment_mm)


def joint_sd_deg(landmark_mm: float, upper_mm: float, lower_mm: float) -> float:
    """SD of the angle at a joint from three landmarks, nearly straight: the middle one moves both segments.

    Examples
    --------
    >>> joint_sd_deg(10.0, 440.0, 440.0)
    3.19
    """
    one, other = 1.0 / upper_mm, 1.0 / lower_mm
    return math.degrees(landmark_mm * math.sqrt(one**2 + other**2 + (one + other) ** 2))


def _default_sd_deg(name: str) -> float:
    """Error of one angle when the studio has not measured its own."""
    if name.startswith("knee"):
        return joint_sd_deg(LANDMARK_SD_MM.value, LEG_MM.value, LEG_MM.value)
    length = {"trunk_deg": TRUNK_MM, "thigh_deg": THIGH_MM, "arm_hang_deg": ARM_MM}[name]
    return landmark_sd_deg(LANDMARK_SD_MM.value, length.value)


def _angle(
    readings: Sequence[PostureReading], seen: Sequence[SeenPosture], name: str, known_sd_deg: float | None
) -> Estimate | None:
    typed = [(v, _default_sd_deg(name)) for r in readings if (v := getattr(r, name)) is not None]
    told = [(v, s.se_deg[name]) for s in seen if (v := getattr(s.reading, name)) is not None]
    values = [value for value, _ in typed + told]
    if not values:
        return None
    sd = math.sqrt(sum(sd**2 for _, sd in typed + told) / len(values))
    return mean_of_repeats(values, unit="deg", stated_sd=sd, known_sd=known_sd_deg)


def posture_angles(
    readings: Sequence[PostureReading],
    *,
    seen: Sequence[SeenPosture] = (),
    known_sd_deg: float | None = None,
) -> PostureAngles:
    """Mean of each angle over the repeats of one family's address, with its error.

    Parameters
    ----------
    readings
        Repeats of one family.
    seen
        The same off photos of the family; each counts as one reading, with its own error.
    known_sd_deg
        The studio's own SD of one reading; without it the landmarks' error stands in, or the repeats' own
        spread where that is larger.

    Raises
    ------
    NoPostureError
        If no reading holds any angle.

    Notes
    -----
    Errors without a studio's own: 1.6 deg for the trunk, 2.0 for the thigh, 3.2 for a knee, 1.4 for the arm,
    from landmarks good to 10 mm. A camera off the true side and clothing come on top.

    Examples
    --------
    >>> one = PostureReading(family="irons", trunk_deg=38.0)
    >>> posture_angles([one]).trunk_deg
    Estimate(value=38.0, se=1.62, dof=inf, n=1, unit='deg')
    """
    names = ("trunk_deg", "thigh_deg", "knee_flex_lead_deg", "knee_flex_trail_deg", "arm_hang_deg")
    angles = {name: _angle(readings, seen, name, known_sd_deg) for name in names}
    every = [*readings, *(s.reading for s in seen)]
    if not any(angles.values()):
        raise NoPostureError(every[0].family if every else "")
    note = (
        ("Errors are for landmarks placed to 10 mm, not this studio's own.",) if known_sd_deg is None else ()
    )
    return PostureAngles(family=every[0].family, notes=note, **angles)
