r"""Practice between visits: of n balls k passed a gate, held against what the card's aim lets one expect.

::

         |<- gate ->|           a ball passes when its middle is within (gate - ball) / 2 of the gate's middle
       --|     .    |--             window = atan((gate - ball) / 2 / distance)
               | distance
               o ball

The expected share comes from the aim check: the start line turns by `face_share` of the face, the path is
taken as straight at the gate. Who moves the club along another path passes less often, and only here.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import bdtr, bdtrc, betaincinv, chdtrc

from evenground.errors import FitError
from evenground.estimate import Interval
from evenground.fit.aim import posterior_chances
from evenground.fit.aim_constants import FACE_SHARE
from evenground.fit.practice_constants import AGREE_WITHIN, BALL_MM, LEAST_BALLS
from evenground.measure.recording import FloatArray
from evenground.visit import AimPractice

__all__ = [
    "AimForecast",
    "GateTooNarrowError",
    "NoPracticeError",
    "PracticeCompared",
    "PracticeScore",
    "compare_practice",
    "expected_shares",
    "gate_window_deg",
    "score_practice",
    "share_interval",
]

PracticeWord = Literal["agrees", "fewer than expected", "more than expected", "cannot tell"]
LEVEL = 0.95
Z = 1.959964
FEW_DAYS = 3
MOST_MORE = 2000


class GateTooNarrowError(FitError):
    """A gate that no ball fits through."""

    do = "Give the clear width between the posts; the ball is 42.67 mm across."

    def __init__(self, gate_mm: float) -> None:
        super().__init__(gate_mm)
        self.where = "practice"
        self.what = f"No ball fits through a gate of {gate_mm:g} mm."


class NoPracticeError(FitError):
    """No ball was rolled."""

    do = "Roll ten balls through the gate and write down how many passed."

    def __init__(self) -> None:
        super().__init__()
        self.where = "practice"
        self.what = "The sheet holds no ball."


@dataclass(frozen=True, slots=True, kw_only=True)
class AimForecast:
    """What the aim check found: bias, spread of one aim, and of how many aims."""

    bias_deg: float
    spread_deg: float
    n: int
    face_share: float = FACE_SHARE.value


@dataclass(frozen=True, slots=True, kw_only=True)
class PracticeScore:
    """Balls through one gate at one distance over all its days.

    `interval` is the range of the true share; `spread_factor` is how many times more the days differ than
    chance would have it, 1 where they do not.
    """

    distance_m: float
    gate_mm: float
    rolled: int
    passed: int
    share: float
    interval: Interval
    days: int
    spread_factor: float
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PracticeCompared:
    """A score against the share that the aim check lets one expect.

    `chance` is how likely a count at least so far out would be if the aim check were right (both sides).
    `apart` is the range of observed less expected. `more_balls` would tell, None where none are needed or
    where the aim check itself is too wide.
    """

    score: PracticeScore
    expected: float
    expected_interval: Interval
    apart: Interval
    chance: float
    word: PracticeWord
    more_balls: int | None
    why: str


def gate_window_deg(gate_mm: float, distance_m: float) -> float:
    """How far to either side a start line may point and still pass the gate.

    Raises
    ------
    GateTooNarrowError
        When the gate is no wider than a ball.

    Examples
    --------
    >>> gate_window_deg(42.67 + 63.8, 1.829)
    1.0
    """
    if not gate_mm > BALL_MM.value:
        raise GateTooNarrowError(gate_mm)
    return math.degrees(math.atan2((gate_mm - BALL_MM.value) / 2.0, 1000.0 * distance_m))


def share_interval(passed: float, rolled: float, *, level: float = LEVEL) -> Interval:
    """Range of a true share from a count: never covers less often than it says.

    Source: Clopper & Pearson 1934, Biometrika 26:404-413. Counts may be parts of whole ones.

    Examples
    --------
    >>> share_interval(0, 10)
    Interval(low=0.0, high=0.308, level=0.95, unit='')
    """
    half = (1.0 - level) / 2.0
    low = 0.0 if passed <= 0.0 else float(betaincinv(passed, rolled - passed + 1.0, half))
    high = 1.0 if passed >= rolled else float(betaincinv(passed + 1.0, rolled - passed, 1.0 - half))
    return Interval(low=low, high=high, level=level, unit="")


def score_practice(entries: Sequence[AimPractice]) -> tuple[PracticeScore, ...]:
    """Each gate at each distance by itself, in the order first practised.

    Raises
    ------
    NoPracticeError
        Without a ball.

    Notes
    -----
    Days are pooled. Where they differ more than chance (chi-square over three or more days, p < 0.05) the
    counts are divided by the mean square before the range is taken, so that it widens.
    Source: McCullagh & Nelder, Generalized Linear Models, 4.5 (overdispersion).
    """
    if not sum(e.rolled for e in entries):
        raise NoPracticeError
    gates = dict.fromkeys((e.distance_m, e.gate_mm) for e in entries)
    return tuple(_score([e for e in entries if (e.distance_m, e.gate_mm) == gate]) for gate in gates)


def _score(entries: Sequence[AimPractice]) -> PracticeScore:
    rolled, passed = sum(e.rolled for e in entries), sum(e.passed for e in entries)
    by_day: dict[object, tuple[int, int]] = {}
    for e in entries:
        k, n = by_day.get(e.day, (0, 0))
        by_day[e.day] = (k + e.passed, n + e.rolled)
    factor = _spread_factor(list(by_day.values()), passed / rolled)
    notes = []
    if factor > 1.0:
        notes.append(f"the days differ more than chance: the range counts {rolled / factor:.0f} balls")
    return PracticeScore(
        distance_m=entries[0].distance_m,
        gate_mm=entries[0].gate_mm,
        rolled=rolled,
        passed=passed,
        share=passed / rolled,
        interval=share_interval(passed / factor, rolled / factor),
        days=len(by_day),
        spread_factor=factor,
        notes=tuple(notes),
    )


def _spread_factor(days: Sequence[tuple[int, int]], share: float) -> float:
    """Mean square of the days about their common share where it stands out of chance, else 1."""
    if len(days) < FEW_DAYS or not 0.0 < share < 1.0:
        return 1.0
    square = math.fsum((k - n * share) ** 2 / (n * share * (1.0 - share)) for k, n in days)
    dof = len(days) - 1
    return max(1.0, square / dof) if float(chdtrc(dof, square)) < 1.0 - LEVEL else 1.0


def expected_shares(aim: AimForecast, gate_mm: float, distance_m: float) -> FloatArray:
    """(K,) equally likely chances to pass the gate, over what the aim check leaves open."""
    window = gate_window_deg(gate_mm, distance_m) / aim.face_share
    return posterior_chances(aim.bias_deg, aim.spread_deg, aim.n, window)


def compare_practice(score: PracticeScore, aim: AimForecast) -> PracticeCompared:
    """Whether practice went as the aim check lets one expect.

    Notes
    -----
    *Fewer* and *more*: the count is among the 5 % furthest out of those that the forecast gives, binomial
    over its equally likely chances. *Agrees*: the range of the difference (square-and-add of both ranges:
    Newcombe 1998, Stat Med 17:873-890, method 10) lies within a tenth either way. Else *cannot tell*.
    """
    chances = expected_shares(aim, score.gate_mm, score.distance_m)
    ends = np.quantile(chances, [0.025, 0.975])
    expected = float(chances.mean())
    wide = Interval(low=float(ends[0]), high=float(ends[1]), level=LEVEL, unit="")
    apart = _apart(score.share, score.interval, expected, wide)
    tail = _tail(score, chances)
    word = _word(score, expected, apart, tail)
    more = _more_balls(score, expected, wide) if word == "cannot tell" else None
    return PracticeCompared(
        score=score,
        expected=expected,
        expected_interval=wide,
        apart=apart,
        chance=tail,
        word=word,
        more_balls=more,
        why=_why(score, word, more),
    )


def _tail(score: PracticeScore, chances: FloatArray) -> float:
    """How likely a count at least so far out is, both sides."""
    n = max(1, round(score.rolled / score.spread_factor))
    k = min(n, round(score.passed / score.spread_factor))
    at_most = float(np.mean(bdtr(k, n, chances)))
    at_least = 1.0 if k == 0 else float(np.mean(bdtrc(k - 1, n, chances)))
    return min(1.0, 2.0 * min(at_most, at_least))


def _apart(share: float, own: Interval, expected: float, wide: Interval) -> Interval:
    middle = share - expected
    return Interval(
        low=middle - math.hypot(share - own.low, wide.high - expected),
        high=middle + math.hypot(own.high - share, expected - wide.low),
        level=LEVEL,
        unit="",
    )


def _word(score: PracticeScore, expected: float, apart: Interval, tail: float) -> PracticeWord:
    if score.rolled < LEAST_BALLS.value:
        return "cannot tell"
    if tail < 1.0 - LEVEL:
        return "fewer than expected" if score.share < expected else "more than expected"
    within = AGREE_WITHIN.value
    return "agrees" if -within <= apart.low and apart.high <= within else "cannot tell"


def _more_balls(score: PracticeScore, expected: float, wide: Interval) -> int | None:
    """Balls to add, at the share seen, until the range of the difference could lie within a tenth."""
    left = AGREE_WITHIN.value**2 - max(wide.high - expected, expected - wide.low) ** 2
    if left <= 0.0:
        return None
    share = min(max(score.share, 0.05), 0.95)
    wanted = math.ceil(score.spread_factor * Z**2 * share * (1.0 - share) / left)
    return max(wanted - score.rolled, 10) if wanted < MOST_MORE else None


def _why(score: PracticeScore, word: PracticeWord, more: int | None) -> str:
    if score.rolled < LEAST_BALLS.value:
        return f"{score.rolled} balls are too few"
    if word == "cannot tell":
        if more is None:
            return (
                "the aim check itself leaves too much open: more aims there would help, more balls would not"
            )
        return f"about {more} more balls would tell"
    if word == "fewer than expected":
        return "the ball starts elsewhere than the face looks, the aim has drifted, or the gate was tighter"
    return "" if word == "agrees" else "the aim has become steadier, or the gate was wider"
