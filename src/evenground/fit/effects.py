"""What moves this player: a linear model over all trials of one response, effects with their errors."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import chdtrc

from evenground.errors import FitError
from evenground.estimate import Estimate
from evenground.fit.effects_design import (
    SERIES,
    Column,
    Design,
    Trial,
    alias_sets,
    condition_words,
    lay_out_design,
)
from evenground.measure.mixed import MixedFit, fit_mixed
from evenground.measure.recording import FloatArray
from evenground.sourced import Sourced

__all__ = ["Effect", "Effects", "TooFewTrialsToTellError", "fit_effects"]

IntArray = npt.NDArray[np.int64]

LEAST_DOF = 2
SPARE_DOF = Sourced(
    4.0, "", "ours: the place in the series is a condition only where this many trials are left"
)
TOGETHER = Sourced(10.0, "", "ours: variance inflation past which two conditions moved almost together")
UNLIKE_NOISE = Sourced(0.05, "", "ours: a residual this unlikely under the studio's SD is used instead of it")


class TooFewTrialsToTellError(FitError):
    """More conditions than the trials can tell apart."""

    def __init__(self, response: str, trials: int, conditions: int) -> None:
        super().__init__(response, trials, conditions)
        self.where = response
        varied = "one condition does" if conditions == 1 else f"each of {conditions} conditions does"
        self.what = f"{trials} trial{'' if trials == 1 else 's'} cannot tell what {varied}."
        self.do = f"Take {max(1, conditions + 1 + LEAST_DOF - trials)} more, or vary fewer things."


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What one condition does to the response, from one state to another, the others held.

    `change` is None with a `reason` where no trial can tell it. `seen` says whether its 95 % interval leaves
    out no effect at all.
    """

    condition: str
    start: float | str
    end: float | str
    change: Estimate | None
    reason: str | None

    @property
    def seen(self) -> bool:
        """Whether the effect is larger than its error."""
        return self.change is not None and not self.change.interval().holds(0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Effects:
    """All effects on one response, largest first; those that cannot be told come last.

    `noise_sd` is what one reading scatters by once the conditions are taken away, `placement_sd` what shifts
    all readings of a placement together, None without placements. `aliases` names conditions that always
    moved together, `never_varied` those with one state only.
    """

    response: str
    unit: str
    trials: int
    placements: int | None
    effects: tuple[Effect, ...]
    aliases: tuple[tuple[str, ...], ...]
    never_varied: tuple[tuple[str, float | str], ...]
    noise_sd: float
    placement_sd: float | None
    notes: tuple[str, ...]


def fit_effects(
    trials: Sequence[Trial], *, response: str, unit: str, known_sd: float | None = None
) -> Effects:
    """Effects of all conditions on one response.

    Parameters
    ----------
    trials
        Readings of one response with their conditions; several may share a placement.
    response
        What was read, for the messages.
    unit
        Of the readings.
    known_sd
        The studio's SD of one reading, used where no placements are and the readings do not contradict it.

    Raises
    ------
    TooFewTrialsToTellError
        When fewer than two readings are left over.

    Notes
    -----
    Ordinary least squares, or a shift of each placement by REML (`fit_mixed`). A number's effect is the
    change over what was tried, end to end; where its square tells more than noise would (at one in a hundred)
    the bend is taken away, which leaves that change as it is. Degrees of freedom: readings less unknowns;
    with placements, for a condition that is the same within each placement, placements less such conditions
    (Pinheiro & Bates 2000, Mixed-Effects Models in S and S-PLUS, 2.4.2). Of twenty conditions that do
    nothing about one is *seen* by chance.
    """
    design, rank = _design(trials, response)
    if not design.columns:
        return _nothing_varied(trials, design, response, unit)
    sets = alias_sets(design)
    kept = _independent(design.values, rank)
    x = np.column_stack([np.ones(len(trials)), design.values[:, kept]])
    groups = _groups(trials)
    bent = [i for i in _many_valued(design, kept) if _bent(trials, x, design.values[:, i])]
    x = np.column_stack([x, *(_square(design.values[:, i]) for i in bent)])
    fit = fit_mixed(np.array([t.value for t in trials]), x, groups)
    noise = _noise(fit, x, groups, known_sd)
    names = [c.name for c in design.columns]
    effects = []
    for i, column in enumerate(design.columns):
        members = next((m for m in sets if i in m), None)
        if members is None:
            change = _change(fit, noise, 1 + kept.index(i), len(trials), unit)
            effects.append(_effect(column, change, None))
        else:
            others = dict.fromkeys(names[j] for j in members if names[j] != column.name)
            effects.append(_effect(column, None, _alias_reason(tuple(others))))
    return Effects(
        response=response,
        unit=unit,
        trials=len(trials),
        placements=None if groups is None else int(groups.max()) + 1,
        effects=tuple(sorted(effects, key=lambda e: 0.0 if e.change is None else -abs(e.change.value))),
        aliases=tuple(tuple(dict.fromkeys(names[i] for i in members)) for members in sets),
        never_varied=design.never_varied,
        noise_sd=math.sqrt(fit.residual_variance) * noise.scale,
        placement_sd=None if groups is None else math.sqrt(fit.group_variance),
        notes=_notes(design, noise, _crowded(design, x, kept), [names[i] for i in bent]),
    )


@dataclass(frozen=True, slots=True)
class _Noise:
    """What the fitted errors are multiplied by, degrees of freedom a column, and how that came about."""

    scale: float
    dof: FloatArray
    words: str


def _design(trials: Sequence[Trial], response: str) -> tuple[Design, int]:
    """The design and its rank without the constant; the series only where trials are to spare."""
    for series in (True, False):
        design = lay_out_design(trials, series=series)
        rank = _rank(design.values)
        spare = SPARE_DOF.value if series else LEAST_DOF
        if len(trials) - rank - 1 >= spare:
            return design, rank
    raise TooFewTrialsToTellError(response, len(trials), len({c.name for c in design.columns}))


def _rank(values: FloatArray) -> int:
    centred = values - values.mean(axis=0) if values.size else values
    return (
        int(np.linalg.matrix_rank(centred, tol=1e-9 * max(1.0, float(np.abs(centred).sum()))))
        if values.size
        else 0
    )


def _independent(values: FloatArray, rank: int) -> list[int]:
    """Columns that carry the whole design, the first of each aliased set before the later ones."""
    centred = values - values.mean(axis=0)
    kept: list[int] = []
    for i in range(values.shape[1]):
        if len(kept) < rank and _rank(centred[:, [*kept, i]]) > len(kept):
            kept.append(i)
    return kept


def _groups(trials: Sequence[Trial]) -> IntArray | None:
    """Placement of each trial, None unless some placement has two and there are two placements."""
    names = [t.group for t in trials]
    if any(n is None for n in names):
        return None
    found = list(dict.fromkeys(names))
    if len(found) < 2 or len(found) == len(names):
        return None
    return np.array([found.index(n) for n in names], dtype=np.int64)


def _noise(fit: MixedFit, x: FloatArray, groups: IntArray | None, known_sd: float | None) -> _Noise:
    n, p = x.shape
    if groups is not None:
        return _Noise(1.0, _placed_dof(x, groups), "their own scatter, placements told apart")
    left = np.full(p, float(n - p))
    if known_sd is None:
        return _Noise(1.0, left, "their own scatter")
    seen = fit.residual_variance / known_sd**2
    if float(chdtrc(n - p, seen * (n - p))) < UNLIKE_NOISE.value:
        return _Noise(1.0, left, "their own scatter, which is larger than the studio's error")
    if fit.residual_variance <= 0.0:
        return _Noise(1.0, left, "their own scatter")
    return _Noise(1.0 / math.sqrt(seen), np.full(p, math.inf), "the studio's own error")


def _placed_dof(x: FloatArray, groups: IntArray) -> FloatArray:
    """Degrees of freedom a column: placements for what is the same within each of them, else readings."""
    n, count = len(x), int(groups.max()) + 1
    means = np.stack([np.bincount(groups, weights=column) / np.bincount(groups) for column in x.T], axis=1)
    within = np.abs(x - means[groups]).max(axis=0) > 1e-9
    outer, inner = int(np.sum(~within)), int(np.sum(within))
    return np.where(within, max(1, n - count - inner), max(1, count - outer)).astype(float)


def _change(fit: MixedFit, noise: _Noise, at: int, count: int, unit: str) -> Estimate:
    return Estimate(
        value=float(fit.effects[at]),
        se=math.sqrt(float(fit.covariance[at, at])) * noise.scale,
        dof=float(noise.dof[at]),
        n=count,
        unit=unit,
    )


def _effect(column: Column, change: Estimate | None, reason: str | None) -> Effect:
    return Effect(condition=column.name, start=column.start, end=column.end, change=change, reason=reason)


def _alias_reason(others: tuple[str, ...]) -> str:
    if not others:
        return "its states cannot be told apart"
    words = " and ".join(condition_words(name)[0] for name in others)
    return f"cannot be told from {words}: they always changed together"


def _nothing_varied(trials: Sequence[Trial], design: Design, response: str, unit: str) -> Effects:
    values = np.array([t.value for t in trials])
    return Effects(
        response=response,
        unit=unit,
        trials=len(trials),
        placements=None,
        effects=(),
        aliases=(),
        never_varied=design.never_varied,
        noise_sd=float(values.std(ddof=1)),
        placement_sd=None,
        notes=("nothing was varied, so nothing can be said to move it",),
    )


def _notes(design: Design, noise: _Noise, crowded: Sequence[str], bent: Sequence[str]) -> tuple[str, ...]:
    notes = [f"errors from {noise.words}"]
    notes += [
        f"{condition_words(name)[0]} is not written down on {n} trials, so it is left out"
        for name, n in design.not_written
    ]
    if crowded:
        notes.append(f"{' and '.join(crowded)} moved almost together: their errors are large")
    notes += [
        f"what {condition_words(name)[0]} does is no straight line: look at its curve, not at its two ends"
        for name in bent
    ]
    return tuple(notes)


def _crowded(design: Design, x: FloatArray, kept: Sequence[int]) -> list[str]:
    """Conditions whose errors the others inflate beyond `TOGETHER`."""
    centred = x[:, 1:] - x[:, 1:].mean(axis=0)
    inflation = np.diag(np.linalg.inv(centred.T @ centred)) * np.sum(centred**2, axis=0)
    names = (
        condition_words(design.columns[i].name)[0]
        for i, v in zip(kept, inflation, strict=False)
        if v > TOGETHER.value
    )
    return list(dict.fromkeys(names))


def _many_valued(design: Design, kept: Sequence[int]) -> list[int]:
    """Kept columns of numbers with three values or more, the place in the series apart."""
    return [
        i
        for i in kept
        if not isinstance(design.columns[i].start, str)
        and design.columns[i].name != SERIES
        and len(np.unique(design.values[:, i])) > 2
    ]


def _square(column: FloatArray) -> FloatArray:
    """The bend of a column: the same at both of its ends, so that it leaves their difference alone."""
    return np.asarray((column - (column.max() + column.min()) / 2.0) ** 2)


def _bent(trials: Sequence[Trial], x: FloatArray, column: FloatArray) -> bool:
    """Whether the square of a column tells more than noise would, at one in a hundred."""
    square = np.column_stack([x, _square(column)])
    n, p = square.shape
    if n - p < SPARE_DOF.value or np.linalg.matrix_rank(square) < p:
        return False
    fit = fit_mixed(np.array([t.value for t in trials]), square)
    bend = Estimate(
        value=float(fit.effects[-1]), se=math.sqrt(float(fit.covariance[-1, -1])), dof=n - p, n=n, unit=""
    )
    return not bend.interval(0.99).holds(0.0)
