"""Whether two methods may stand in for each other: bias, limits of agreement, correlation within persons."""

import math
from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import nctdtrit, ndtri, stdtr

from evenground.errors import MeasureError
from evenground.estimate import Estimate, Interval
from evenground.measure.recording import FloatArray
from evenground.measure.spread import Spread, spread_of

__all__ = [
    "Agreement",
    "TooFewPairsError",
    "WithinPersons",
    "agreement",
    "within_persons",
]

LEVEL = 0.95


class TooFewPairsError(MeasureError):
    """Too few things measured by both methods."""

    def __init__(self, pairs: int, least: int) -> None:
        super().__init__(pairs, least)
        self.where = "two methods"
        self.what = f"{pairs} pair{'' if pairs == 1 else 's'} cannot show how well two methods agree."
        self.do = f"Measure at least {least} persons with both."


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """One method minus the other, for single readings of each.

    Nineteen differences in twenty lie between `lower` and `upper`; each limit has its own range. `points` is
    (persons, 2): mean of both methods and their difference. `trend` is how much the difference grows per
    unit of the mean. The repeat SDs are None without repeats.
    """

    bias: Estimate
    sd: float
    lower: float
    upper: float
    lower_range: Interval
    upper_range: Interval
    trend: Estimate | None
    repeat_sd_one: Spread | None
    repeat_sd_other: Spread | None
    points: FloatArray
    unit: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WithinPersons:
    """Correlation of two quantities within persons, each person's own level taken away."""

    r: float
    dof: int
    p: float


@dataclass(frozen=True, slots=True)
class _Side:
    """One method: mean of each person, pooled SD within persons, its dof, and mean of 1/repeats."""

    means: FloatArray
    variance: float
    dof: int
    inverse: float


def agreement(
    one: Sequence[Sequence[float]], other: Sequence[Sequence[float]], *, unit: str, level: float = LEVEL
) -> Agreement:
    """Bias and limits of agreement of two methods, with repeats where there are some.

    Parameters
    ----------
    one, other
        For each person the readings by that method, one or more; the same persons in the same order.
    unit
        Of the readings.
    level
        Of all ranges; the limits themselves hold 95 % of differences.

    Raises
    ------
    TooFewPairsError
        With fewer than three persons.

    Notes
    -----
    Bland & Altman 1986, Lancet i:307-310, with 1.96 SD. With repeats the SD of a difference of single
    readings is that of the means plus ``(1 - mean of 1/m) s^2`` of each method: Bland & Altman 1999, Stat
    Methods Med Res 8:135-160, section 5. Ranges of the limits from the noncentral t distribution, exact for
    normal differences: Hahn & Meeker 1991, Statistical Intervals, ch. 4; with repeats the degrees of freedom
    are Satterthwaite's.

    A high correlation does not mean agreement: two methods 80 apart can correlate at 0.94.
    """
    sides = (_side(one), _side(other))
    people = len(sides[0].means)
    if people < 3:
        raise TooFewPairsError(people, 3)
    apart = sides[0].means - sides[1].means
    mean, between = float(apart.mean()), float(apart.var(ddof=1))
    added = [((1.0 - s.inverse) * s.variance, s.dof) for s in sides if s.dof]
    variance = between + sum(a for a, _ in added)
    dof = variance**2 / max(
        between**2 / (people - 1) + sum(a**2 / d for a, d in added), 1e-300 * variance + 1e-300
    )
    sd = math.sqrt(variance)
    se = math.sqrt(between / people)
    z = float(ndtri(0.975))
    effective = variance / between * people if between > 0.0 else float(people)
    reach = _limit_range(z, effective, dof, level)
    points = np.column_stack([(sides[0].means + sides[1].means) / 2.0, apart])
    return Agreement(
        bias=Estimate(value=mean, se=se, dof=people - 1, n=people, unit=unit),
        sd=sd,
        lower=mean - z * sd,
        upper=mean + z * sd,
        lower_range=Interval(low=mean - reach[1] * sd, high=mean - reach[0] * sd, level=level, unit=unit),
        upper_range=Interval(low=mean + reach[0] * sd, high=mean + reach[1] * sd, level=level, unit=unit),
        trend=_trend(points),
        repeat_sd_one=_repeats(sides[0], unit),
        repeat_sd_other=_repeats(sides[1], unit),
        points=points,
        unit=unit,
        notes=_notes(points, people),
    )


def _side(readings: Sequence[Sequence[float]]) -> _Side:
    means = np.array([sum(r) / len(r) for r in readings])
    dof = sum(len(r) - 1 for r in readings)
    squares = sum((v - m) ** 2 for r, m in zip(readings, means, strict=True) for v in r)
    inverse = float(np.mean([1.0 / len(r) for r in readings])) if readings else 1.0
    return _Side(means, float(squares) / dof if dof else 0.0, dof, inverse)


def _limit_range(z: float, n: float, dof: float, level: float) -> tuple[float, float]:
    """How many SDs from the mean difference the ends of the upper limit's range lie."""
    shift, tail = z * math.sqrt(n), (1.0 - level) / 2.0
    low, high = (float(nctdtrit(dof, shift, p)) / math.sqrt(n) for p in (tail, 1.0 - tail))
    return low, high


def _repeats(side: _Side, unit: str) -> Spread | None:
    if not side.dof or side.variance == 0.0:
        return None
    return spread_of(math.sqrt(side.variance), side.dof, unit=unit)


def _trend(points: FloatArray) -> Estimate | None:
    """Least-squares slope of difference on mean; None where the means do not differ or too few are there."""
    n = len(points)
    level, apart = points[:, 0] - points[:, 0].mean(), points[:, 1] - points[:, 1].mean()
    spread = float(level @ level)
    if n < 4 or spread <= 1e-12 * n:
        return None
    slope = float(level @ apart) / spread
    rest = apart - slope * level
    return Estimate(value=slope, se=math.sqrt(float(rest @ rest) / (n - 2) / spread), dof=n - 2, n=n, unit="")


def _notes(points: FloatArray, people: int) -> tuple[str, ...]:
    notes = []
    if people < 10:
        notes.append(f"{people} persons only: the limits themselves are uncertain, read their ranges")
    trend = _trend(points)
    if trend is not None and not trend.interval().holds(0.0):
        notes.append("the difference grows or shrinks with size: one pair of limits does not fit all sizes")
    return tuple(notes)


def within_persons(
    one: Sequence[float], other: Sequence[float], persons: Sequence[Hashable]
) -> WithinPersons:
    """Correlation of two quantities over repeated pairs, what differs between persons taken away.

    Parameters
    ----------
    one, other
        (n,) pairs of readings.
    persons
        (n,) whose each pair is.

    Raises
    ------
    TooFewPairsError
        Unless pairs outnumber persons by three or more.

    Notes
    -----
    Bland & Altman 1995, BMJ 310:446: correlation of deviations from each person's means, n - persons - 1
    degrees of freedom. It answers "does one rise when the other rises in the same person", not "do they
    agree".
    """
    names = list(dict.fromkeys(persons))
    member = np.array([names.index(p) for p in persons])
    count = np.bincount(member)
    dof = len(member) - len(names) - 1
    if dof < 2:
        raise TooFewPairsError(len(member), len(names) + 3)
    x, y = (
        v - (np.bincount(member, weights=v) / count)[member]
        for v in (np.asarray(one, float), np.asarray(other, float))
    )
    bottom = math.sqrt(float(x @ x) * float(y @ y))
    r = float(x @ y) / bottom if bottom > 0.0 else 0.0
    t = abs(r) * math.sqrt(dof / max(1.0 - r * r, 1e-300))
    return WithinPersons(r=r, dof=dof, p=2.0 * float(stdtr(dof, -t)))
