"""Where the face points, how steadily, and what the hole allows.

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

The aims under one condition are taken as draws from one normal; its mean (bias) and spread are not known, so
the chance that the next aim starts inside the window integrates over both.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from scipy.special import chdtri, gammaln, ndtr, ndtri, stdtr

from evenground.errors import FitError
from evenground.estimate import Estimate, Interval, difference, from_repeats
from evenground.fit.aim_constants import (
    AIM_SLIP_SD_DEG,
    FACE_SHARE,
    GREEN_READING_M,
    HOLE_DIAMETER_MM,
    LEAST_ANGLE_DEG,
    LEAST_SPREAD_MM,
    PAST_M,
)
from evenground.fit.putting import DistanceError, hole_window_deg
from evenground.floor import Handed, face_open_deg
from evenground.measure.suspects import LEAST_UNKNOWN, slips
from evenground.visit import AimCheck, AimTrial

__all__ = [
    "AimAngleError",
    "AimFit",
    "AimOffsetError",
    "DotDistanceError",
    "TooFewAimsError",
    "UnreadAimError",
    "aim_deg",
    "aimed_deg",
    "bias_change",
    "dot_deg",
    "fit_aim",
    "fit_aims",
    "miss_mm",
    "posterior_chances",
]

LEAST_TRIALS = 3
CLOSER = "The aims agree more closely than they can be read."
_NODES = 128
_MOST_DEG = 45.0


class TooFewAimsError(FitError):
    """Too few aims to say anything about bias and spread."""

    do = "Step away and aim again until there are at least three."

    def __init__(self, count: int, condition: str) -> None:
        super().__init__(count, condition)
        self.where = f"aim, {condition}" if condition else "aim"
        self.what = f"{count} aim{'' if count == 1 else 's'} cannot show a bias and a spread."


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


@dataclass(frozen=True, slots=True, kw_only=True)
class AimFit:
    """Aim under one condition.

    `bias_deg` is + open for this player, `spread_deg` the SD of one aim, `window_deg` how far to either side
    of the middle the hole allows, `inside_probability` the chance that the next aim starts inside it (with
    the posterior SD of that chance as its error, and `inside_interval` its equal-tailed posterior range);
    `more_trials` how many more would tell the bias to a quarter of the window either way. `aims_deg` holds
    each aim.

    A ball starts where the face points only if the putter also moves along that line. With a path straight at
    the target the start line turns by `face_share` of the face: `face_window_deg` is what the hole then
    allows the face, `start_probability` the chance that the next ball starts inside.
    """

    bias_deg: Estimate
    spread_deg: Estimate
    window_deg: float
    inside_probability: Estimate
    inside_interval: Interval
    more_trials: int
    face_share: float
    face_window_deg: float
    start_probability: Estimate
    aims_deg: tuple[float, ...]
    notes: tuple[str, ...]


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


def fit_aim(
    trials: Sequence[AimTrial], check: AimCheck, *, handed: Handed, past_m: float = PAST_M.value
) -> AimFit:
    """Bias, spread and the chance that the next aim starts inside the hole's window.

    Parameters
    ----------
    trials
        Aims under one condition, at least three, each after stepping away.
    check
        How far the hole is, where the aims were read, and what the hole allows if it says so; its own trials
        are not looked at.
    handed
        The player's golfing hand.
    past_m
        How far past the hole a ball would stop where `check` does not say.

    Raises
    ------
    TooFewAimsError
        With fewer than three trials.
    AimOffsetError, AimAngleError, DotDistanceError, UnreadAimError
        As in `aimed_deg`.
    DistanceError, SpeedError
        As in `hole_window_deg`.

    Notes
    -----
    With the prior uniform in bias and log spread, the next aim is Student's t about the mean with scale
    ``s sqrt(1 + 1/n)`` and n - 1 degrees of freedom. A mean absolute error is no spread: it is 1.25 times
    smaller. An aim that looks like a slip of the pen is named in a note and counted.
    Source: Gelman et al., Bayesian Data Analysis, 3.2 (normal data, noninformative prior).
    """
    window = _window_deg(check, past_m)
    condition = trials[0].condition if trials else ""
    if len(trials) < LEAST_TRIALS:
        raise TooFewAimsError(len(trials), condition)
    angles = [aimed_deg(t, check, handed) for t in trials]
    n = len(angles)
    plain = from_repeats(angles, unit="deg", what="aim")
    seen, least = plain.se * math.sqrt(n), _least_deg(trials, check)
    spread = max(seen, least)
    share = FACE_SHARE.value if check.face_share is None else check.face_share
    chance, interval = _inside(plain.value, spread, n, window)
    return AimFit(
        bias_deg=Estimate(value=plain.value, se=spread / math.sqrt(n), dof=n - 1, n=n, unit="deg"),
        spread_deg=Estimate(value=spread, se=spread * _sd_of_spread(n), dof=n - 1, n=n, unit="deg"),
        window_deg=window,
        inside_probability=chance,
        inside_interval=interval,
        more_trials=_more_trials(spread, n, window),
        face_share=share,
        face_window_deg=window / share,
        start_probability=_inside(plain.value, spread, n, window / share)[0],
        aims_deg=tuple(angles),
        notes=(*(() if seen >= least else (CLOSER,)), *_slips(trials, angles, least)),
    )


def _window_deg(check: AimCheck, past_m: float) -> float:
    return hole_window_deg(
        check.distance_m,
        past_m=past_m if check.past_m is None else check.past_m,
        green_m=GREEN_READING_M.value if check.green_m is None else check.green_m,
        hole_mm=HOLE_DIAMETER_MM.value if check.hole_mm is None else check.hole_mm,
    )


def _least_deg(trials: Sequence[AimTrial], check: AimCheck) -> float:
    """What the coarsest way among the trials can tell apart."""

    def fine(trial: AimTrial) -> float:
        if trial.face_deg is not None:
            return LEAST_ANGLE_DEG.value
        if trial.dot_mm is not None and check.dot_at_m is not None:
            return dot_deg(LEAST_SPREAD_MM.value, check.dot_at_m, "right")
        far = check.distance_m if check.read_at_m is None else check.read_at_m
        return aim_deg(LEAST_SPREAD_MM.value, far, "right")

    return max(map(fine, trials))


def _slips(trials: Sequence[AimTrial], angles: Sequence[float], least_deg: float) -> tuple[str, ...]:
    named = [(f"aim {t.trial}", a) for t, a in zip(trials, angles, strict=True)]
    known = AIM_SLIP_SD_DEG.value if len(named) < LEAST_UNKNOWN else None
    return slips(named, unit="deg", known_sd=known, least_sd=least_deg)


def fit_aims(
    trials: Sequence[AimTrial], check: AimCheck, *, handed: Handed, past_m: float = PAST_M.value
) -> tuple[AimFit, dict[str, AimFit], tuple[str, ...]]:
    """All aims together, each condition by itself, and a sentence for each condition with too few aims.

    Arguments and errors as in `fit_aim`. Aims under several conditions are not one series: together they say
    what the player does over all of them, and a note says so.
    """
    names = list(dict.fromkeys(t.condition for t in trials))
    each: dict[str, AimFit] = {}
    unusable: list[str] = []
    whole = fit_aim(trials, check, handed=handed, past_m=past_m)
    for name in names:
        own = [t for t in trials if t.condition == name]
        try:
            each[name] = fit_aim(own, check, handed=handed, past_m=past_m)
        except TooFewAimsError as exc:
            unusable.append(str(exc))
    if len(names) > 1:
        mixed = f"The figures over all aims mix {len(names)} conditions."
        whole = replace(whole, notes=(*whole.notes, mixed))
    return whole, each, tuple(unusable)


def _sd_of_spread(n: int) -> float:
    """Relative standard error of a sample SD of n normal values: ``sqrt(1 / c4^2 - 1)``.

    Source: c4 = sqrt(2/(n-1)) Gamma(n/2) / Gamma((n-1)/2), the mean of a sample SD over the true one.
    """
    c4 = math.sqrt(2.0 / (n - 1)) * math.exp(gammaln(n / 2.0) - gammaln((n - 1) / 2.0))
    return math.sqrt(1.0 / c4**2 - 1.0)


def _inside(bias_deg: float, spread_deg: float, n: int, window_deg: float) -> tuple[Estimate, Interval]:
    """Posterior mean, SD and equal-tailed 95 % range of the chance to start inside ``+- window``."""
    scale = spread_deg * math.sqrt(1.0 + 1.0 / n)
    high, low = (window_deg - bias_deg) / scale, (-window_deg - bias_deg) / scale
    mean = float(stdtr(n - 1, high) - stdtr(n - 1, low))
    chances = np.sort(posterior_chances(bias_deg, spread_deg, n, window_deg))
    sd = float(np.sqrt(np.mean((chances - chances.mean()) ** 2)))
    ends = np.quantile(chances, [0.025, 0.975])
    return (
        Estimate(value=mean, se=sd, n=n, unit=""),
        Interval(low=float(ends[0]), high=float(ends[1]), level=0.95, unit=""),
    )


def posterior_chances(
    bias_deg: float, spread_deg: float, n: int, window_deg: float
) -> npt.NDArray[np.float64]:
    """(128 * 128,) chances inside ``+- window_deg`` at equally likely pairs of true bias and true spread.

    Parameters
    ----------
    bias_deg, spread_deg, n
        Mean, sample SD and count of the aims; n at least 2.
    window_deg
        Half-width of what is inside.

    Notes
    -----
    Midpoints of the quantiles of the posterior, spread by spread and bias by bias: no random numbers.
    """
    at = (np.arange(_NODES) + 0.5) / _NODES
    sigma = spread_deg * np.sqrt((n - 1) / chdtri(n - 1, at))[:, None]
    mu = bias_deg + sigma / math.sqrt(n) * ndtri(at)[None, :]
    chances = ndtr((window_deg - mu) / sigma) - ndtr((-window_deg - mu) / sigma)
    return np.asarray(chances, dtype=np.float64).ravel()


def _more_trials(spread_deg: float, n: int, window_deg: float) -> int:
    """Trials to add until the bias is known to a quarter of the window either way, at the spread seen."""
    wanted, most = window_deg / 4.0, 200
    for count in range(n, most):
        known = Estimate(value=0.0, se=spread_deg / math.sqrt(count), dof=count - 1, n=count, unit="deg")
        if known.half_width() <= wanted:
            return count - n
    return most - n


def bias_change(one: AimFit, other: AimFit) -> Estimate:
    """How much more open the face points under `one` condition than under the `other`."""
    return difference(one.bias_deg, other.bias_deg)
