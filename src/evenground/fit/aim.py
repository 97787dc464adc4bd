"""Where the face points, how steadily, and what the hole allows.

::

        target line
             |      offset_mm, + right as seen from behind the ball
      -------+---x----------------- board or string, distance_m from the ball
             |  /
             | /  angle; open for a right-handed player when it points right
             |/
             o ball

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
from evenground.fit.aim_constants import GREEN_READING_M, HOLE_DIAMETER_MM, LEAST_SPREAD_MM, PAST_M
from evenground.fit.putting import hole_window_deg
from evenground.floor import Handed, face_open_deg
from evenground.visit import AimTrial

__all__ = [
    "AimFit",
    "AimOffsetError",
    "TooFewAimsError",
    "aim_deg",
    "bias_change",
    "fit_aim",
    "fit_aims",
    "miss_mm",
]

LEAST_TRIALS = 3
_NODES = 128


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


@dataclass(frozen=True, slots=True, kw_only=True)
class AimFit:
    """Aim under one condition.

    `bias_deg` is + open for this player, `spread_deg` the SD of one aim, `window_deg` how far to either side
    of the middle the hole allows, `inside_probability` the chance that the next aim starts inside it (with
    the posterior SD of that chance as its error, and `inside_interval` its equal-tailed posterior range);
    `more_trials` how many more would tell the bias to a quarter of the window either way.
    """

    bias_deg: Estimate
    spread_deg: Estimate
    window_deg: float
    inside_probability: Estimate
    inside_interval: Interval
    more_trials: int
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


def fit_aim(
    trials: Sequence[AimTrial],
    *,
    distance_m: float,
    handed: Handed,
    past_m: float = PAST_M.value,
    green_m: float = GREEN_READING_M.value,
    hole_mm: float = HOLE_DIAMETER_MM.value,
) -> AimFit:
    """Bias, spread and the chance that the next aim starts inside the hole's window.

    Parameters
    ----------
    trials
        Aims under one condition, at least three, each after stepping away.
    distance_m, past_m, green_m, hole_mm
        As in `hole_window_deg`; the offsets were read at `distance_m`.
    handed
        The player's golfing hand.

    Raises
    ------
    TooFewAimsError
        With fewer than three trials.
    AimOffsetError
        If an offset is no aim at the target.
    DistanceError, SpeedError
        As in `hole_window_deg`.

    Notes
    -----
    With the prior uniform in bias and log spread, the next aim is Student's t about the mean with scale
    ``s sqrt(1 + 1/n)`` and n - 1 degrees of freedom. A mean absolute error is no spread: it is 1.25 times
    smaller.
    Source: Gelman et al., Bayesian Data Analysis, 3.2 (normal data, noninformative prior).
    """
    window = hole_window_deg(distance_m, past_m=past_m, green_m=green_m, hole_mm=hole_mm)
    condition = trials[0].condition if trials else ""
    if len(trials) < LEAST_TRIALS:
        raise TooFewAimsError(len(trials), condition)
    for trial in trials:
        if not abs(trial.offset_mm) <= 1000.0 * distance_m:
            raise AimOffsetError(trial.trial, trial.offset_mm, distance_m)
    angles = [aim_deg(t.offset_mm, distance_m, handed) for t in trials]
    n = len(angles)
    plain = from_repeats(angles, unit="deg", what="aim")
    seen = plain.se * math.sqrt(n)
    least = math.degrees(math.atan2(LEAST_SPREAD_MM.value, 1000.0 * distance_m))
    spread = max(seen, least)
    notes = () if seen >= least else ("The aims agree more closely than offsets can be read.",)
    bias = Estimate(value=plain.value, se=spread / math.sqrt(n), dof=n - 1, n=n, unit="deg")
    chance, interval = _inside(bias.value, spread, n, window)
    return AimFit(
        bias_deg=bias,
        spread_deg=Estimate(value=spread, se=spread * _sd_of_spread(n), dof=n - 1, n=n, unit="deg"),
        window_deg=window,
        inside_probability=chance,
        inside_interval=interval,
        more_trials=_more_trials(spread, n, window),
        notes=notes,
    )


def fit_aims(
    trials: Sequence[AimTrial],
    *,
    distance_m: float,
    handed: Handed,
    past_m: float = PAST_M.value,
    green_m: float = GREEN_READING_M.value,
    hole_mm: float = HOLE_DIAMETER_MM.value,
) -> tuple[AimFit, dict[str, AimFit], tuple[str, ...]]:
    """All aims together, each condition by itself, and a sentence for each condition with too few aims.

    Arguments and errors as in `fit_aim`. Aims under several conditions are not one series: together they say
    what the player does over all of them, and a note says so.
    """
    names = list(dict.fromkeys(t.condition for t in trials))
    each: dict[str, AimFit] = {}
    unusable: list[str] = []
    whole = fit_aim(
        trials, distance_m=distance_m, handed=handed, past_m=past_m, green_m=green_m, hole_mm=hole_mm
    )
    for name in names:
        own = [t for t in trials if t.condition == name]
        try:
            each[name] = fit_aim(
                own, distance_m=distance_m, handed=handed, past_m=past_m, green_m=green_m, hole_mm=hole_mm
            )
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
    chances = np.sort(_posterior_chances(bias_deg, spread_deg, n, window_deg))
    sd = float(np.sqrt(np.mean((chances - chances.mean()) ** 2)))
    ends = np.quantile(chances, [0.025, 0.975])
    return (
        Estimate(value=mean, se=sd, n=n, unit=""),
        Interval(low=float(ends[0]), high=float(ends[1]), level=0.95, unit=""),
    )


def _posterior_chances(
    bias_deg: float, spread_deg: float, n: int, window_deg: float
) -> npt.NDArray[np.float64]:
    """(N * N,) chances at equally likely pairs of true bias and true spread: midpoints of quantiles."""
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
