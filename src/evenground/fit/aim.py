"""Where the face points, how steadily, and what the hole allows.

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
from evenground.fit.aim_angle import aimed_deg, least_deg
from evenground.fit.aim_constants import (
    AIM_SLIP_SD_DEG,
    FACE_SHARE,
    GREEN_READING_M,
    HOLE_DIAMETER_MM,
    PAST_M,
)
from evenground.fit.putting import hole_window_deg
from evenground.floor import Handed
from evenground.measure.suspects import LEAST_UNKNOWN, slips
from evenground.visit import AimCheck, AimTrial

__all__ = [
    "AimFit",
    "TooFewAimsError",
    "bias_change",
    "fit_aim",
    "fit_aims",
    "posterior_chances",
]

LEAST_TRIALS = 3
CLOSER = "The aims agree more closely than they can be read."
_NODES = 128


class TooFewAimsError(FitError):
    """Too few aims to say anything about bias and spread."""

    do = "Step away and aim again until there are at least three."

    def __init__(self, count: int, condition: str) -> None:
        super().__init__(count, condition)
        self.where = f"aim, {condition}" if condition else "aim"
        self.what = f"{count} aim{'' if count == 1 else 's'} cannot show a bias and a spread."


@dataclass(frozen=True, slots=True, kw_only=True)
class AimFit:
    """Aim under one condition.

    `bias_deg` is + open for this player; `spread_deg` the SD of one aim, and `spread_interval` its 95 %
    range, which reaches farther up than down; `window_deg` how far to either side of the middle the hole
    allows; `inside_probability` the chance that the next aim starts inside it (with the posterior SD of that
    chance as its error, and `inside_interval` its equal-tailed posterior range); `more_trials` how many more
    would tell the bias to a quarter of the window either way. `aims_deg` holds each aim.

    A ball starts where the face points only if the putter also moves along that line. With a path straight at
    the target the start line turns by `face_share` of the face: `face_window_deg` is what the hole then
    allows the face, `start_probability` the chance that the next ball starts inside.
    """

    bias_deg: Estimate
    spread_deg: Estimate
    spread_interval: Interval
    window_deg: float
    inside_probability: Estimate
    inside_interval: Interval
    more_trials: int
    face_share: float
    face_window_deg: float
    start_probability: Estimate
    aims_deg: tuple[float, ...]
    notes: tuple[str, ...]


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
    seen, least = plain.se * math.sqrt(n), least_deg(trials, check)
    spread = max(seen, least)
    share = FACE_SHARE.value if check.face_share is None else check.face_share
    chance, interval = _inside(plain.value, spread, n, window)
    return AimFit(
        bias_deg=_bias(trials, plain.value, spread / math.sqrt(n)),
        spread_deg=Estimate(value=spread, se=spread * _sd_of_spread(n), dof=n - 1, n=n, unit="deg"),
        spread_interval=_spread_interval(spread, n),
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


def _bias(trials: Sequence[AimTrial], value: float, se: float) -> Estimate:
    """The mean of the aims; what photos of a face rod share does not average out, and comes on top."""
    n = len(trials)
    bias = Estimate(value=value, se=se, dof=n - 1, n=n, unit="deg")
    shared = math.fsum(t.shared_se_deg or 0.0 for t in trials) / n
    return bias.widened(shared) if shared else bias


def _sd_of_spread(n: int) -> float:
    """Relative standard error of a sample SD of n normal values: ``sqrt(1 / c4^2 - 1)``.

    Source: c4 = sqrt(2/(n-1)) Gamma(n/2) / Gamma((n-1)/2), the mean of a sample SD over the true one.
    """
    c4 = math.sqrt(2.0 / (n - 1)) * math.exp(gammaln(n / 2.0) - gammaln((n - 1) / 2.0))
    return math.sqrt(1.0 / c4**2 - 1.0)


def _spread_interval(spread_deg: float, n: int) -> Interval:
    """95 % range of the true SD from a sample SD of n normal values, by chi-square.

    Source: (n - 1) s^2 / sigma^2 is chi-square with n - 1 degrees of freedom, any statistics text.
    """
    low, high = (spread_deg * math.sqrt((n - 1) / float(chdtri(n - 1, p))) for p in (0.025, 0.975))
    return Interval(low=low, high=high, level=0.95, unit="deg")


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
