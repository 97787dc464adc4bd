"""The grip check: does the proposed grip bring the hip line nearer to square than the own one, in pairs.

The verdict may be looked at after every pair. So *prefer* takes 99 % intervals: with looks after 3 to 12
pairs, and with a player who scatters up to twice as much as the studio's readings do, a grip that does
nothing is preferred in at most one check of twenty (`bench/prove_grip_check.py`).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from scipy.special import ndtri

from evenground.errors import FitError
from evenground.estimate import Estimate, from_repeats
from evenground.fit.grip_check_constants import LEAST_SEM_DEG, LEVEL, MATTERS_DEG, POWER
from evenground.measure.repeats import mean_of_repeats
from evenground.measure.suspects import slips
from evenground.visit import GripHand, GripTrial

__all__ = [
    "GripErrors",
    "GripVerdict",
    "GripWord",
    "KneeDifference",
    "MixedGloveError",
    "NoPairsError",
    "TwiceInAPairError",
    "grip_verdict",
    "grip_verdicts",
    "paired_difference",
    "pairs_to_tell",
    "verdict_words",
]

GripWord = Literal["prefer", "no real difference", "keep testing"]
Grip = Literal["own", "proposed"]
Pair = tuple[GripTrial, GripTrial]

LEAST_PAIRS = 2
LEAST_FOR_A_WORD = 3
_MOST_PAIRS = 200


class NoPairsError(FitError):
    """No two trials of a club differ only in the grip."""

    do = "Give each pair one number, and take the own and the proposed grip in it once each."

    def __init__(self, club: str, pairs: int) -> None:
        super().__init__(club, pairs)
        self.where = f"grip check, {club}"
        self.what = f"{pairs} complete pair{'' if pairs == 1 else 's'} of trials cannot show a difference."


class MixedGloveError(FitError):
    """Some trials of one comparison were taken with the glove and some without."""

    do = "A glove changes what the hand feels: take the others again with the glove as it was."

    def __init__(self, club: str, on: int, off: int) -> None:
        super().__init__(club, on, off)
        self.where = f"grip check, {club}"
        self.what = f"The glove was on in {on} trial{'' if on == 1 else 's'} and off in {off}."


class TwiceInAPairError(FitError):
    """One pair holds two trials with the same grip."""

    do = "Give the second one a pair number of its own, or take it back."

    def __init__(self, club: str, pair: int, grip: str) -> None:
        super().__init__(club, pair, grip)
        self.where = f"grip check, {club}, pair {pair}"
        self.what = f"The {grip} grip stands twice in this pair."


@dataclass(frozen=True, slots=True, kw_only=True)
class KneeDifference:
    """Bend of one knee with the proposed grip minus with the own one; `seen` when beyond its error."""

    side: Literal["lead", "trail"]
    difference_deg: Estimate
    seen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class GripVerdict:
    """What a grip does to the hip line with one club and one way of holding it.

    `difference_deg` is the proposed less the own grip, + more open. `word` judges which is nearer to square:
    `prefer` names that grip, `more_pairs` says how many more would tell `matters_deg` in four cases of five,
    None once it is told. `pairs_deg` holds each pair: number, own, proposed.
    """

    club: str
    hand: GripHand
    glove: bool
    own_deg: Estimate
    proposed_deg: Estimate
    difference_deg: Estimate
    word: GripWord
    prefer: Grip | None
    more_pairs: int | None
    matters_deg: float
    why: str
    knees: tuple[KneeDifference, ...]
    pairs_deg: tuple[tuple[int, float, float], ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GripErrors:
    """The studio's SD of one reading of hip line and of knee flex, None where it was not studied."""

    hip_line_deg: float | None = None
    knee_flex_deg: float | None = None


def verdict_words(verdict: GripVerdict) -> str:
    """The verdict as it is said.

    Examples
    --------
    >>> from dataclasses import replace
    >>> trials = [
    ...     GripTrial(pair=i, club="7 iron", grip=g, hip_line_deg=d)
    ...     for i in (1, 2, 3)
    ...     for g, d in (("own", 6.0), ("proposed", 0.5))
    ... ]
    >>> told = grip_verdict(trials, glove=True)
    >>> verdict_words(told), verdict_words(replace(told, word="keep testing", prefer=None, more_pairs=4))
    ('prefer the proposed grip', 'keep testing (4 more pairs)')
    """
    if verdict.word == "prefer":
        return f"prefer the {verdict.prefer} grip"
    if verdict.word == "keep testing":
        more = verdict.more_pairs or 1
        return f"keep testing ({more} more pair{'' if more == 1 else 's'})"
    return verdict.word


def grip_verdict(
    trials: Sequence[GripTrial],
    *,
    glove: bool,
    errors: GripErrors = GripErrors(),
    matters_deg: float = MATTERS_DEG.value,
) -> GripVerdict:
    """Which grip brings the hip line nearer to square, or that it cannot be told yet.

    Parameters
    ----------
    trials
        Of one club, held one way; pairs share a number, and a trial without its other half is left out and
        said.
    glove
        Whether the glove was worn in the trials that do not say.
    errors
        The studio's own.
    matters_deg
        The smallest difference of the hip line that a teacher would act on, over 0.

    Raises
    ------
    NoPairsError
        With fewer than two complete pairs.
    MixedGloveError
        When the glove was on in some trials and off in others.
    TwiceInAPairError
        When a pair holds one grip twice.

    Notes
    -----
    With ``u = own - proposed`` and ``v = own + proposed``, the own grip is the farther from square by
    ``|own| - |proposed|``: as much as the smaller of u and v without their signs, and with the sign of u v.
    *Prefer* when the 99 % intervals of both leave out 0 (an intersection-union test: when neither grip is
    nearer, one of the two means is 0); *no real difference* when the 95 % interval of either lies within
    `matters_deg` either way; else *keep testing*. Each interval is the wider of Student's t from the pairs
    and of the studio's error.
    """
    club = trials[0].club if trials else ""
    gloved = _one_glove(club, trials, usual=glove)
    pairs, alone = _pairs(club, trials)
    if len(pairs) < LEAST_PAIRS:
        raise NoPairsError(club, len(pairs))
    sem = errors.hip_line_deg
    own, proposed = ([p[i].hip_line_deg for p in pairs] for i in (0, 1))
    apart = paired_difference([b - a for a, b in zip(own, proposed, strict=True)], sem)
    both = paired_difference([a + b for a, b in zip(own, proposed, strict=True)], sem)
    word, prefer, why = _word(apart, both, matters_deg)
    return GripVerdict(
        club=club,
        hand=trials[0].hand,
        glove=gloved,
        own_deg=mean_of_repeats(own, unit="deg", stated_sd=_sem(sem)),
        proposed_deg=mean_of_repeats(proposed, unit="deg", stated_sd=_sem(sem)),
        difference_deg=apart,
        word=word,
        prefer=prefer,
        more_pairs=_more((apart, both), sem, matters_deg) if word == "keep testing" else None,
        matters_deg=matters_deg,
        why=why,
        knees=_knees(pairs, errors.knee_flex_deg),
        pairs_deg=tuple((a.pair, a.hip_line_deg, b.hip_line_deg) for a, b in pairs),
        notes=(*alone, *_slips(pairs, sem), *_unstudied(sem)),
    )


def grip_verdicts(
    trials: Sequence[GripTrial],
    *,
    glove: bool,
    errors: GripErrors = GripErrors(),
    matters_deg: float = MATTERS_DEG.value,
) -> tuple[tuple[GripVerdict, ...], tuple[str, ...]]:
    """A verdict for each club and each way of holding it, and a sentence for each that has none.

    Arguments as in `grip_verdict`, with any clubs and hands. Where there is one comparison only, what stands
    in its way is raised.

    Raises
    ------
    NoPairsError, MixedGloveError, TwiceInAPairError
        As in `grip_verdict`.
    """
    groups = list(dict.fromkeys((t.club, t.hand) for t in trials))
    found: list[GripVerdict] = []
    unusable: list[str] = []
    for club, hand in groups:
        own = [t for t in trials if (t.club, t.hand) == (club, hand)]
        try:
            found.append(grip_verdict(own, glove=glove, errors=errors, matters_deg=matters_deg))
        except FitError as exc:
            if len(groups) == 1:
                raise
            unusable.append(str(exc))
    return tuple(found), tuple(unusable)


def paired_difference(differences: Sequence[float], sem: float | None) -> Estimate:
    """Mean of paired differences; its error the wider of the pairs' own and of the studio's.

    Parameters
    ----------
    differences
        One a pair, in degrees; sums of two readings do as well.
    sem
        The studio's SD of one reading; without it half a degree, which a bar is not read more finely than.
    """
    stated = from_repeats(differences, unit="deg", known_sd=math.sqrt(2.0) * _sem(sem))
    if len(differences) < 2:
        return stated
    seen = from_repeats(differences, unit="deg")
    return max(seen, stated, key=lambda e: e.half_width(LEVEL.value))


def _sem(sem: float | None) -> float:
    return LEAST_SEM_DEG.value if sem is None else max(sem, LEAST_SEM_DEG.value)


def _word(apart: Estimate, both: Estimate, matters_deg: float) -> tuple[GripWord, Grip | None, str]:
    real = [abs(e.value) > e.half_width(LEVEL.value) for e in (apart, both)]
    small = [abs(e.value) + e.half_width() <= matters_deg for e in (apart, both)]
    if apart.n < LEAST_FOR_A_WORD:
        return "keep testing", None, f"{apart.n} pairs are too few for a word, whatever they agree on"
    nearer: Grip = "own" if apart.value * both.value > 0.0 else "proposed"
    if small[0]:
        return "no real difference", None, f"a difference of {matters_deg:g} deg would have shown"
    if small[1]:
        return "no real difference", None, "the grips turn the hip line to opposite sides, equally far"
    if all(real):
        size = min(abs(apart.value), abs(both.value))
        return "prefer", nearer, f"the hip line is {size:.1f} deg nearer to square with the {nearer} grip"
    if real[0]:
        return "keep testing", None, "the hip line differs, but not clearly toward square"
    half = apart.half_width(LEVEL.value)
    return "keep testing", None, f"differences under {half:.1f} deg do not show yet"


def pairs_to_tell(sd_deg: float, matters_deg: float, *, known: bool) -> int:
    """Pairs in all that tell a difference of `matters_deg` in four cases of five.

    Parameters
    ----------
    sd_deg
        SD of one paired difference.
    matters_deg
        The difference to tell.
    known
        Whether the SD is known; else it is estimated from the pairs.

    Notes
    -----
    ``n >= ((z + z') sd / matters)^2`` with the two-sided 99 % point and the 80 % point of the normal; where
    the SD is estimated, of Student's t with n - 1 degrees of freedom. A usual approximation to the power of
    the t test.

    Examples
    --------
    >>> pairs_to_tell(2.0, 2.0, known=True), pairs_to_tell(2.0, 2.0, known=False)
    (12, 15)
    """
    wanted = (float(ndtri(0.5 + LEVEL.value / 2.0)) + float(ndtri(POWER.value))) * sd_deg / matters_deg
    for n in range(LEAST_PAIRS, _MOST_PAIRS):
        if known:
            enough = wanted <= math.sqrt(n)
        else:
            unit = Estimate(value=0.0, se=1.0, dof=n - 1, unit="")
            points = unit.half_width(LEVEL.value) + unit.half_width(2.0 * POWER.value - 1.0)
            enough = points * sd_deg / matters_deg <= math.sqrt(n)
        if enough:
            return n
    return _MOST_PAIRS


def _more(means: Sequence[Estimate], sem: float | None, matters_deg: float) -> int:
    """Pairs to add for what is not told yet: the difference, or which grip is the nearer to square."""
    open_ = [m for m in means if abs(m.value) <= m.half_width(LEVEL.value)] or list(means)
    least = math.sqrt(2.0) * _sem(sem)  # a few pairs that agree by chance do not make the studio finer
    wanted = [
        pairs_to_tell(max(m.se * math.sqrt(m.n), least), matters_deg, known=math.isinf(m.dof)) - m.n
        for m in open_
    ]
    return max([1, *wanted])


def _one_glove(club: str, trials: Sequence[GripTrial], *, usual: bool) -> bool:
    on = sum(usual if t.glove is None else t.glove for t in trials)
    if 0 < on < len(trials):
        raise MixedGloveError(club, on, len(trials) - on)
    return on > 0


def _pairs(club: str, trials: Sequence[GripTrial]) -> tuple[list[Pair], list[str]]:
    """Own and proposed grip of each whole pair, and a sentence on those that lack one."""
    found: dict[int, dict[str, GripTrial]] = {}
    for t in trials:
        pair = found.setdefault(t.pair, {})
        if t.grip in pair:
            raise TwiceInAPairError(club, t.pair, t.grip)
        pair[t.grip] = t
    alone = [str(n) for n, p in sorted(found.items()) if len(p) < 2]
    said = [f"Pair {', '.join(alone)} lacks one of the two grips and is left out."] if alone else []
    return [(p["own"], p["proposed"]) for _, p in sorted(found.items()) if len(p) == 2], said


def _knees(pairs: Sequence[Pair], sem: float | None) -> tuple[KneeDifference, ...]:
    found = []
    sides: tuple[Literal["lead", "trail"], ...] = ("lead", "trail")
    for side in sides:
        name = f"knee_flex_{side}_deg"
        read = [(getattr(a, name), getattr(b, name)) for a, b in pairs]
        apart = [b - a for a, b in read if a is not None and b is not None]
        if len(apart) >= LEAST_PAIRS:
            difference = paired_difference(apart, sem)
            seen = abs(difference.value) > difference.half_width(LEVEL.value)
            found.append(KneeDifference(side=side, difference_deg=difference, seen=seen))
    return tuple(found)


def _slips(pairs: Sequence[Pair], sem: float | None) -> tuple[str, ...]:
    """Trials far from the others of their grip."""
    said: list[str] = []
    for i, grip in enumerate(("own", "proposed")):
        named = [(f"Pair {p[i].pair}, {grip} grip,", p[i].hip_line_deg) for p in pairs]
        said += slips(named, unit="deg", known_sd=sem, least_sd=LEAST_SEM_DEG.value)
    return tuple(said)


def _unstudied(sem: float | None) -> tuple[str, ...]:
    if sem is not None:
        return ()
    return ("The studio has not studied its error of the hip line: the pairs' own scatter stands for it.",)
