"""Full-swing aim: where the face looks at a far target, in metres, at two points of the bag."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from evenground.errors import FitError
from evenground.estimate import Estimate, difference, from_repeats
from evenground.fit.aim_angle import aimed_deg, miss_mm
from evenground.fit.aim_constants import AIM_SLIP_SD_DEG
from evenground.floor import Handed, face_open_deg
from evenground.measure.suspects import LEAST_UNKNOWN, slips
from evenground.visit import AimCheck, AimTrial, FullSwingAim

__all__ = ["ClubAim", "FullSwing", "TwoTargetsError", "full_swing_aim", "right_deg"]


class TwoTargetsError(FitError):
    """One club aimed at targets at different distances."""

    do = "Give each club one target, or name the club twice."

    def __init__(self, club: str, first_m: float, other_m: float) -> None:
        super().__init__(club, first_m, other_m)
        self.where = f"full-swing aim, {club}"
        self.what = f"Its targets are at {first_m:g} m and at {other_m:g} m."


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubAim:
    """Where one club looks: the face's angle, + open, and metres at the target, + right of it.

    `bias_deg` and `miss_m` are None with one aim only: `once_m` is then where that one looked.
    """

    club: str
    target_m: float
    once_m: float
    bias_deg: Estimate | None
    miss_m: Estimate | None
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FullSwing:
    """All full-swing clubs that were aimed with; `apart_deg` is the longest target's less the shortest's."""

    clubs: tuple[ClubAim, ...]
    apart_deg: Estimate | None
    notes: tuple[str, ...]


def right_deg(open_deg: float, handed: Handed) -> float:
    """How far right of the target a face looks that is so far open, as seen from behind the ball.

    Examples
    --------
    >>> right_deg(1.0, "right"), right_deg(1.0, "left")
    (1.0, -1.0)
    """
    return -face_open_deg(open_deg, handed)


def full_swing_aim(aims: Sequence[FullSwingAim], check: AimCheck, *, handed: Handed) -> FullSwing:
    """Bias of each club in degrees and in metres at its target.

    Parameters
    ----------
    aims
        At least one. Offsets were read at the check's board: `read_at_m`, else its `distance_m`.
    check
        Where offsets were read.
    handed
        The player's golfing hand.

    Raises
    ------
    TwoTargetsError
        When a club has targets at two distances.
    AimOffsetError, AimAngleError, UnreadAimError
        As in `aimed_deg`.

    Notes
    -----
    Metres at the target: ``target_m tan(angle)``; 1 deg at 137.16 m (150 yd) is 2.394 m. No wind, no curve:
    where the face looks, not where the ball goes.
    """
    clubs = tuple(
        _club([a for a in aims if a.club == name], check, handed)
        for name in dict.fromkeys(a.club for a in aims)
    )
    ordered = sorted(clubs, key=lambda c: c.target_m)
    first, last = ordered[0], ordered[-1]
    apart = None
    if first is not last and first.bias_deg is not None and last.bias_deg is not None:
        apart = difference(last.bias_deg, first.bias_deg)
    notes = () if len(clubs) > 1 else ("One club only: a second tells whether the aim goes with the club.",)
    return FullSwing(clubs=clubs, apart_deg=apart, notes=notes)


def _club(aims: Sequence[FullSwingAim], check: AimCheck, handed: Handed) -> ClubAim:
    one = aims[0]
    other = next((a.target_m for a in aims if a.target_m != one.target_m), None)
    if other is not None:
        raise TwoTargetsError(one.club, one.target_m, other)
    angles = [
        aimed_deg(AimTrial(trial=a.trial, offset_mm=a.offset_mm, face_deg=a.face_deg), check, handed)
        for a in aims
    ]
    known = AIM_SLIP_SD_DEG.value if len(angles) < LEAST_UNKNOWN else None
    named = [(f"{one.club}, aim {a.trial}", d) for a, d in zip(aims, angles, strict=True)]
    notes = slips(named, unit="deg", known_sd=known)
    bias, miss = None, None
    if len(angles) > 1:
        bias = from_repeats(angles, unit="deg", what=one.club)
        miss = _metres(bias, one.target_m, handed)
    else:
        notes = (*notes, f"{one.club}: one aim has no error; aim twice more.")
    once = miss_mm(right_deg(angles[0], handed), one.target_m) / 1000.0
    return ClubAim(club=one.club, target_m=one.target_m, once_m=once, bias_deg=bias, miss_m=miss, notes=notes)


def _metres(bias: Estimate, target_m: float, handed: Handed) -> Estimate:
    """The bias at the target; the error by the slope there, ``target pi / 180 / cos^2``."""
    right = right_deg(bias.value, handed)
    slope = target_m * math.radians(1.0) / math.cos(math.radians(right)) ** 2
    return Estimate(
        value=miss_mm(right, target_m) / 1000.0, se=bias.se * slope, dof=bias.dof, n=bias.n, unit="m"
    )
