"""Forecasts against what came: how good stated chances were, and whether they can be believed."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import betaincinv

from evenground.errors import FitError
from evenground.estimate import Interval
from evenground.measure.recording import FloatArray
from evenground.sourced import Sourced

__all__ = ["Forecast", "ForecastBin", "ForecastScore", "NoForecastsError", "score_forecasts"]

LEAST_TO_JUDGE = Sourced(20.0, "", "ours: under twenty forecasts a score is told, but no verdict on it")
EDGE = 1e-3


class NoForecastsError(FitError):
    """Nothing that was claimed has been looked at again."""

    do = "Measure players again after some weeks: the hip line at the card's width, and the aim."

    def __init__(self) -> None:
        super().__init__()
        self.where = "forecasts"
        self.what = "No claim of a card has been looked at again yet."


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """One claim and what the later visit showed.

    `said` is the stated chance; `came` how likely it is, by the later readings alone, that it came true: 0 or
    1 where it was seen outright, a share of several tries, or a chance where the readings leave it open.
    """

    what: str
    said: float
    came: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ForecastBin:
    """Forecasts of a like chance: what was said, what came, and the range that what came allows."""

    count: int
    said: float
    came: float
    interval: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class ForecastScore:
    """How good forecasts were.

    `brier` is the mean squared distance (0 perfect, 0.25 what "fifty-fifty" always earns); `log_score` the
    mean negative log likelihood in nats; `skill` the part of the Brier score of always saying the average
    that was saved, None where all came alike. `gap` is said less come on average: + promises too much.
    """

    count: int
    brier: float
    log_score: float
    skill: float | None
    gap: float
    gap_interval: Interval
    bins: tuple[ForecastBin, ...]
    verdict: str


def score_forecasts(forecasts: Sequence[Forecast], *, bins: int = 5) -> ForecastScore:
    """Brier and log score, a reliability table and a verdict.

    Parameters
    ----------
    forecasts
        At least one.
    bins
        Equal-count bins of the table; fewer where there are fewer than four forecasts a bin.

    Raises
    ------
    NoForecastsError
        Without any.

    Notes
    -----
    Brier 1950, Mon Weather Rev 78:1-3; log score: Good 1952, J R Stat Soc B 14:107-114. Where what came is
    itself only likely, both are averaged over it. Ranges of a bin: Clopper & Pearson 1934, Biometrika 26:404,
    on the count that came, rounded. The gap's interval is normal, from the spread of said less come.

    A good score does not mean that claims can be believed, nor the reverse: read score and gap together.
    """
    if not forecasts:
        raise NoForecastsError
    said = np.array([f.said for f in forecasts])
    came = np.array([f.came for f in forecasts])
    squares = (said - came) ** 2 + came * (1.0 - came)
    sure = np.clip(said, EDGE, 1.0 - EDGE)
    logs = -(came * np.log(sure) + (1.0 - came) * np.log(1.0 - sure))
    average = float(came.mean())
    plain = float(np.mean((average - came) ** 2 + came * (1.0 - came)))
    gap = float(np.mean(said - came))
    spread = float(np.std(said - came, ddof=1)) if len(said) > 1 else 1.0
    half = 1.96 * spread / math.sqrt(len(said))
    interval = Interval(low=gap - half, high=gap + half, level=0.95, unit="")
    return ForecastScore(
        count=len(said),
        brier=float(squares.mean()),
        log_score=float(logs.mean()),
        skill=1.0 - float(squares.mean()) / plain if plain > 1e-12 else None,
        gap=gap,
        gap_interval=interval,
        bins=_bins(said, came, bins),
        verdict=_verdict(len(said), interval),
    )


def _bins(said: FloatArray, came: FloatArray, count: int) -> tuple[ForecastBin, ...]:
    order = np.argsort(said, kind="stable")
    parts = np.array_split(order, max(1, min(count, len(order) // 4)))
    return tuple(
        ForecastBin(
            count=len(part),
            said=float(said[part].mean()),
            came=float(came[part].mean()),
            interval=_count_range(float(came[part].sum()), len(part)),
        )
        for part in parts
    )


def _count_range(came: float, n: int) -> Interval:
    k = round(came)
    low = 0.0 if k == 0 else float(betaincinv(k, n - k + 1, 0.025))
    high = 1.0 if k == n else float(betaincinv(k + 1, n - k, 0.975))
    return Interval(low=low, high=high, level=0.95, unit="")


def _verdict(count: int, gap: Interval) -> str:
    if count < LEAST_TO_JUDGE.value:
        return f"{count} forecasts: too few to judge"
    if gap.low > 0.0:
        return "promises too much"
    if gap.high < 0.0:
        return "promises too little"
    return "holds what it promises"
