"""One aim as an angle, + open for this player, in whichever way it was read.

::

        target line
             |      offset_mm, + right as seen from behind the ball
      -------+---x----------------- board or string, distance_m from the ball
             |  /
             | /  angle; open for a right-handed player when it points right
             |/
             o ball

A laser that shines along the target line at a mirror on the face throws a dot back: turning the face by an
angle turns the beam by twice as much, so ``angle = atan(dot_mm / dot_at_m) / 2``.
"""

import math
from collections.abc import Sequence

from evenground.errors import FitError
from evenground.fit.aim_constants import LEAST_ANGLE_DEG, LEAST_SPREAD_MM
from evenground.fit.putting import DistanceError
from evenground.floor import Handed, face_open_deg
from evenground.visit import AimCheck, AimTrial

__all__ = [
    "AimAngleError",
    "AimOffsetError",
    "DotDistanceError",
    "UnreadAimError",
    "aim_deg",
    "aimed_deg",
    "dot_deg",
    "least_deg",
    "miss_mm",
]

_MOST_DEG = 45.0


class AimOffsetError(FitError):
    """An offset that is no aim at the target."""

    do = "Check its unit: millimetres at the target, + right as seen from behind the ball."

    def __init__(self, trial: int, offset_mm: float, distance_m: float) -> None:
        super().__init__(trial, offset_mm, distance_m)
        self.where = f"aim, trial {trial}"
        self.what = f"An offset of {offset_mm:g} mm at {distance_m:g} m is no aim at the target."


class AimAngleError(FitError):
    """A face angle that is no aim at the target."""

    do = "Check the sign and the unit: degrees against square, + open."

    def __init__(self, trial: int, face_deg: float) -> None:
        super().__init__(trial, face_deg)
        self.where = f"aim, trial {trial}"
        self.what = f"A face turned {face_deg:g} deg is no aim at the target."


class DotDistanceError(FitError):
    """A laser's dot without the distance that makes an angle of it."""

    do = "Give the distance from the mirror on the face to the board with the dot (dot_at_m)."

    def __init__(self, trial: int) -> None:
        super().__init__(trial)
        self.where = f"aim, trial {trial}"
        self.what = "A dot is given, but not how far the board is from the mirror."


class UnreadAimError(FitError):
    """An aim that was read in no way, or in two."""

    do = "Give one of offset_mm, dot_mm or face_deg."

    def __init__(self, trial: int, count: int) -> None:
        super().__init__(trial, count)
        self.where = f"aim, trial {trial}"
        self.what = f"It holds {count or 'no'} readings of where the face pointed."


def aim_deg(offset_mm: float, distance_m: float, handed: Handed) -> float:
    """Direction of one aim, + open for this player.

    Examples
    --------
    >>> aim_deg(31.9, 1.829, "right"), aim_deg(31.9, 1.829, "left")
    (1.0, -1.0)
    """
    clockwise = math.degrees(math.atan2(offset_mm, 1000.0 * distance_m))
    return face_open_deg(-clockwise, handed)


def miss_mm(deg: float, distance_m: float) -> float:
    """How far beside the target a line ends that starts `deg` off.

    Examples
    --------
    >>> miss_mm(1.0, 137.16)
    2394.1
    """
    return 1000.0 * distance_m * math.tan(math.radians(deg))


def dot_deg(dot_mm: float, dot_at_m: float, handed: Handed) -> float:
    """Direction of one aim from a mirrored laser's dot, + open for this player: half the beam's own turn.

    Parameters
    ----------
    dot_mm
        From where the dot falls when the face is square, + right as seen from behind the ball.
    dot_at_m
        From the mirror on the face to the board with the dot.

    Examples
    --------
    >>> dot_deg(69.84, 2.0, "right"), dot_deg(69.84, 2.0, "left")
    (1.0, -1.0)
    """
    return 0.5 * aim_deg(dot_mm, dot_at_m, handed)


def aimed_deg(trial: AimTrial, check: AimCheck, handed: Handed) -> float:
    """Where the face pointed in one trial, + open, in whichever way it was read.

    Raises
    ------
    AimOffsetError, AimAngleError
        If a reading is no aim at the target.
    DotDistanceError
        If a dot's distance is missing.
    UnreadAimError
        If the trial holds no reading, or more than one.
    """
    given = [v for v in (trial.offset_mm, trial.dot_mm, trial.face_deg) if v is not None]
    if len(given) != 1:
        raise UnreadAimError(trial.trial, len(given))
    if trial.face_deg is not None:
        if not abs(trial.face_deg) <= _MOST_DEG:
            raise AimAngleError(trial.trial, trial.face_deg)
        return trial.face_deg
    if trial.offset_mm is not None:
        far = check.distance_m if check.read_at_m is None else check.read_at_m
        _refuse_wild(trial.trial, trial.offset_mm, far)
        return aim_deg(trial.offset_mm, far, handed)
    if check.dot_at_m is None:
        raise DotDistanceError(trial.trial)
    _refuse_wild(trial.trial, given[0], check.dot_at_m)
    return dot_deg(given[0], check.dot_at_m, handed)


def _refuse_wild(trial: int, offset_mm: float, far_m: float) -> None:
    if not far_m > 0.0:
        raise DistanceError(far_m)
    if not abs(offset_mm) <= 1000.0 * far_m:
        raise AimOffsetError(trial, offset_mm, far_m)


def least_deg(trials: Sequence[AimTrial], check: AimCheck) -> float:
    """What the coarsest way among the trials can tell apart.

    Errors as in `aimed_deg`, which checks the trials.
    """

    def fine(trial: AimTrial) -> float:
        if trial.face_deg is not None:
            return LEAST_ANGLE_DEG.value
        if trial.dot_mm is not None and check.dot_at_m is not None:
            return dot_deg(LEAST_SPREAD_MM.value, check.dot_at_m, "right")
        far = check.distance_m if check.read_at_m is None else check.read_at_m
        return aim_deg(LEAST_SPREAD_MM.value, far, "right")

    return max(map(fine, trials))
