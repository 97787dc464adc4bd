"""What a hole takes: how fast a ball arrives, how far beside the middle it still drops, the angle for it.

A straight, level putt; distances from ball centre to hole centre.
"""

import math

from evenground.errors import FitError
from evenground.fit.aim_constants import (
    BALL_RADIUS_MM,
    CAPTURE_SPEED_M_S,
    FACE_SHARE,
    GREEN_READING_M,
    HOLE_DIAMETER_MM,
    PAST_M,
    RAMP_SPEED_M_S,
)

__all__ = [
    "DistanceError",
    "SpeedError",
    "capture_half_width_mm",
    "deceleration_m_s2",
    "free_fall_speed_m_s",
    "hole_window_deg",
    "launch_deg",
    "speed_at_hole_m_s",
]

_FARTHEST_M = 400.0
_NEAREST_M = 0.2
_GRAVITY_M_S2 = 9.81  # as in the published free-fall figure that it is checked against


class DistanceError(FitError):
    """A distance nobody aims over."""

    do = "Give metres from the ball to the board, the string or the hole."

    def __init__(self, distance_m: float) -> None:
        super().__init__(distance_m)
        self.where = "aim"
        self.what = f"A distance of {distance_m:g} m is outside {_NEAREST_M:g} to {_FARTHEST_M:g} m."


class SpeedError(FitError):
    """A roll past the hole that no hole can catch, or a green that does not exist."""

    do = "Give a shorter roll past the hole, or check the green's reading in metres."

    def __init__(self, past_m: float, green_m: float) -> None:
        super().__init__(past_m, green_m)
        self.where = "aim"
        self.what = (
            f"A ball that would stop {past_m:g} m past on a green reading {green_m:g} m is caught by no hole."
        )


def deceleration_m_s2(green_m: float) -> float:
    """How a level green slows a ball, from its reading: ``v^2 / (2 S)`` with the ramp's release speed.

    Examples
    --------
    >>> deceleration_m_s2(3.048)
    0.5494
    """
    return RAMP_SPEED_M_S.value**2 / (2.0 * green_m)


def speed_at_hole_m_s(past_m: float, green_m: float = GREEN_READING_M.value) -> float:
    """Speed at the hole of a ball that would stop `past_m` beyond it: ``sqrt(2 a s)``.

    Examples
    --------
    >>> speed_at_hole_m_s(0.43, 3.048)
    0.6873
    """
    return math.sqrt(2.0 * deceleration_m_s2(green_m) * past_m)


def capture_half_width_mm(speed_m_s: float, hole_mm: float = HOLE_DIAMETER_MM.value) -> float:
    """How far beside the middle a ball of this speed may pass and drop: ``R sqrt(1 - v / 1.63)``.

    0 at and above the capture speed. The offset law's exact form was seen second-hand.

    Source: Holmes 1991, Am J Phys 59:129-136; Penner 2002, Can J Phys 80:83-96.

    Examples
    --------
    >>> capture_half_width_mm(0.0), capture_half_width_mm(0.687), capture_half_width_mm(2.0)
    (54.0, 41.1, 0.0)
    """
    return hole_mm / 2.0 * math.sqrt(max(0.0, 1.0 - speed_m_s / CAPTURE_SPEED_M_S.value))


def free_fall_speed_m_s(hole_mm: float = HOLE_DIAMETER_MM.value) -> float:
    """Fastest ball over the middle that falls its own radius before the far rim; not the capture limit.

    The published capture speed is higher, since it counts balls that strike the far wall and rim too.

    Examples
    --------
    >>> free_fall_speed_m_s()
    1.314
    """
    radius_m = BALL_RADIUS_MM.value / 1000.0
    return (hole_mm / 1000.0 - radius_m) * math.sqrt(_GRAVITY_M_S2 / (2.0 * radius_m))


def hole_window_deg(
    distance_m: float,
    *,
    past_m: float = PAST_M.value,
    green_m: float = GREEN_READING_M.value,
    hole_mm: float = HOLE_DIAMETER_MM.value,
) -> float:
    """How far off, to either side, a straight level putt may start and still drop: ``atan(delta / d)``.

    Parameters
    ----------
    distance_m
        Ball centre to hole centre.
    past_m
        How far past the hole the ball would stop.
    green_m
        The green's reading.
    hole_mm
        Diameter of the hole.

    Raises
    ------
    DistanceError
        If the distance is outside what anybody aims over.
    SpeedError
        If no hole catches a ball of that speed.

    Examples
    --------
    >>> hole_window_deg(1.8288, past_m=0.0)
    1.691
    """
    if not _NEAREST_M <= distance_m <= _FARTHEST_M:
        raise DistanceError(distance_m)
    if not (past_m >= 0.0 and 0.5 <= green_m <= 8.0 and hole_mm > 0.0):
        raise SpeedError(past_m, green_m)
    half = capture_half_width_mm(speed_at_hole_m_s(past_m, green_m), hole_mm)
    if half == 0.0:
        raise SpeedError(past_m, green_m)
    return math.degrees(math.atan2(half, 1000.0 * distance_m))


def launch_deg(face_deg: float, path_deg: float, share: float = FACE_SHARE.value) -> float:
    """Start direction of a putt from face and path: ``share face + (1 - share) path``.

    Examples
    --------
    >>> launch_deg(1.0, 2.0), launch_deg(1.0, -2.0)
    (1.17, 0.49)
    """
    return share * face_deg + (1.0 - share) * path_deg
