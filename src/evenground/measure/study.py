"""A measurement study: how much of what is read is the person, the observer, and the repeat."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from evenground.errors import MeasureError
from evenground.estimate import Interval
from evenground.measure.anova import TwoWay, two_way
from evenground.measure.icc import MEANS, MEANS_OF_REPEATS, Form, Icc, icc_forms
from evenground.measure.recording import FloatArray
from evenground.measure.repeats import smallest_real_change
from evenground.measure.spread import Spread, readings_for_spread, spread_of
from evenground.measure.suspects import Reading, Suspect, suspects
from evenground.sourced import Sourced

__all__ = [
    "Component",
    "NotRepeatedError",
    "NothingVariesError",
    "Observers",
    "RepeatedReadingError",
    "Study",
    "study",
]

ENOUGH = Sourced(0.25, "", "ours: an SD known to a quarter either way is good enough to decide with")
DRAWS = 8_000
LEVEL = 0.95


class NotRepeatedError(MeasureError):
    """A study in which nothing was measured twice."""

    do = "Measure each person at least twice, stepping away in between."

    def __init__(self, readings: int) -> None:
        super().__init__(readings)
        self.where = "study"
        self.what = f"None of the {readings} readings repeats another: nothing shows how far repeats differ."


class NothingVariesError(MeasureError):
    """A study whose repeats are all equal."""

    do = "Read it one digit finer, without seeing the earlier reading."

    def __init__(self, readings: int) -> None:
        super().__init__(readings)
        self.where = "study"
        self.what = f"All repeats among the {readings} readings are equal: they are coarser than the error."


class RepeatedReadingError(MeasureError):
    """The same repeat stands in the study twice."""

    do = "Number the repeats of one person by one observer, each number once."

    def __init__(self, person: str, observer: str, repeat: int) -> None:
        super().__init__(person, observer, repeat)
        self.where = f"study, {person}, {observer}"
        self.what = f"Repeat {repeat} stands there twice."


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """One part of the scatter: its SD, and its share of the variance of a single reading."""

    name: str
    sd: float
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Observers:
    """What a complete part of the study says about observers.

    `shift_sd` is what shifts all readings by one observer of one person together; `any_sd` is the error of
    one reading by any observer. `left_out` counts readings outside the complete part.
    """

    people: int
    observers: int
    repeats: int
    left_out: int
    shift_sd: float
    any_sd: Spread
    components: tuple[Component, ...]
    icc: tuple[Icc, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """What came of a measurement study.

    `sem` is the SD of one reading when the same observer measures the same person again, the studio's error
    in every decision; `real_change` the smallest difference of two single readings that noise seldom makes,
    by the same observer and by any. `more_readings` would bring the SD to within a quarter of itself.
    `observers` is None with its `reason`.
    """

    unit: str
    people: int
    observer_names: tuple[str, ...]
    readings: int
    sem: Spread
    real_change: float
    real_change_any: float | None
    more_readings: int
    observers: Observers | None
    reason: str | None
    suspects: tuple[Suspect, ...]
    notes: tuple[str, ...]


def study(readings: Sequence[Reading], *, unit: str, rng: np.random.Generator) -> Study:
    """Variance components, SEM, smallest real change and ICC of repeat readings.

    Parameters
    ----------
    readings
        Any order; persons and observers may be missing here and there.
    unit
        Of the readings.
    rng
        For the ranges of sums of components.

    Raises
    ------
    RepeatedReadingError
        When one repeat stands there twice.
    NotRepeatedError
        When no cell of person and observer has two readings, and no person two observers.
    NothingVariesError
        When all repeats are equal.

    Notes
    -----
    SEM: root of the mean square of repeats within person and observer, all readings counted (Weir 2005, J
    Strength Cond Res 19:231-240, prefers it to SD * sqrt(1 - ICC), which depends on how varied the group
    was). With one reading a cell it is the residual of person and observer and then also holds how
    differently persons react to observers. Components from the mean squares of the largest part without gaps,
    negative ones set to 0. Ranges of sums of components: generalized confidence intervals, Weerahandi 1993, J
    Am Stat Assoc 88:899-905.

    Two observers say little about observers in general: their range is wide for that reason.
    """
    _refuse_twice(readings)
    cells = _cells(readings)
    table, left_out = _complete_part(cells)
    sem = _sem(cells, table, unit, len(readings))
    observers, reason = None, None
    if table is None:
        reason = "observers and ICC need two persons or more with readings in every column and no gaps"
    else:
        observers = _observers(table, left_out, unit, rng)
    enough = readings_for_spread(ENOUGH.value)
    names = tuple(sorted({r.observer for r in readings}))
    any_sd = None
    if observers is not None and observers.observers > 1:
        any_sd = max(observers.any_sd.value, sem.value)
    found = Study(
        unit=unit,
        people=len({r.person for r in readings}),
        observer_names=names,
        readings=len(readings),
        sem=sem,
        real_change=smallest_real_change(sem.value),
        real_change_any=None if any_sd is None else smallest_real_change(any_sd),
        more_readings=max(0, enough - int(sem.dof or 0)),
        observers=observers,
        reason=reason,
        suspects=suspects(readings),
        notes=(),
    )
    return _with_notes(found, table)


def _with_notes(found: Study, table: FloatArray | None) -> Study:
    notes = []
    if len(found.observer_names) == 1:
        notes.append("one observer: how far observers differ was not studied")
    elif len(found.observer_names) == 2 and found.observers is not None:
        notes.append("two observers: their difference is one draw from all there could be")
    if found.observers is not None and found.observers.left_out:
        notes.append(
            f"{found.observers.left_out} readings outside the part without gaps count for the SEM only"
        )
    if table is not None and table.shape[2] == 1 and table.shape[1] > 1 and len(found.observer_names) > 1:
        notes.append("one reading a person and observer: the SEM also holds how observers differ by person")
    if found.more_readings:
        notes.append(
            f"the SD is known to {found.sem.interval.low:.2g} to {found.sem.interval.high:.2g} {found.unit}; "
            f"{found.more_readings} more repeats bring it to within a quarter"
        )
    return replace(found, notes=tuple(notes))


def _refuse_twice(readings: Sequence[Reading]) -> None:
    counted = Counter((r.person, r.observer, r.repeat) for r in readings)
    for (person, observer, repeat), times in counted.items():
        if times > 1:
            raise RepeatedReadingError(person, observer, repeat)


def _cells(readings: Sequence[Reading]) -> dict[tuple[str, str], list[float]]:
    cells: dict[tuple[str, str], list[float]] = {}
    for reading in sorted(readings, key=lambda r: r.repeat):
        cells.setdefault((reading.person, reading.observer), []).append(reading.value)
    return cells


def _complete_part(cells: dict[tuple[str, str], list[float]]) -> tuple[FloatArray | None, int]:
    """(persons, observers, repeats) of the largest part without a gap, and how many readings it leaves out.

    Observers are taken in the order of how many persons they measured: each number of them is tried.
    """
    total = sum(len(values) for values in cells.values())
    seen = Counter(observer for _, observer in cells)
    ranked = [name for name, _ in sorted(seen.items(), key=lambda item: (-item[1], item[0]))]
    best: tuple[int, FloatArray] | None = None
    for count in range(1, len(ranked) + 1):
        chosen = ranked[:count]
        people = [p for p in dict.fromkeys(p for p, _ in cells) if all((p, o) in cells for o in chosen)]
        for repeats in sorted({len(cells[p, o]) for p in people for o in chosen}):
            kept = [p for p in people if all(len(cells[p, o]) >= repeats for o in chosen)]
            size = len(kept) * count * repeats
            if len(kept) >= 2 and count * repeats >= 2 and (best is None or size > best[0]):
                part = [[cells[p, o][:repeats] for o in chosen] for p in kept]
                best = size, np.array(part, dtype=float)
    return (None, total) if best is None else (best[1], total - best[0])


def _sem(
    cells: dict[tuple[str, str], list[float]], table: FloatArray | None, unit: str, count: int
) -> Spread:
    dof = sum(len(values) - 1 for values in cells.values())
    squares = math.fsum((v - sum(c) / len(c)) ** 2 for c in cells.values() for v in c)
    if dof == 0 and table is not None:
        both = two_way(table).cells
        dof, squares = both.dof, both.sum
    if dof == 0:
        raise NotRepeatedError(count)
    largest = max(abs(v) for c in cells.values() for v in c)
    if squares <= (1e-9 * max(largest, 1e-9)) ** 2:
        raise NothingVariesError(count)
    return spread_of(math.sqrt(squares / dof), dof, unit=unit)


def _observers(table: FloatArray, left_out: int, unit: str, rng: np.random.Generator) -> Observers:
    people, observers, repeats = table.shape
    if observers == 1:  # the repeats of one observer are the columns that an ICC compares
        return _columns(np.swapaxes(table, 1, 2), left_out, unit)
    squares = two_way(table)
    found = _components(squares, table.shape)
    means = _drawn_means(squares, rng)
    drawn = _from_means(means, table.shape)
    ends = np.sqrt(np.quantile(_any_variance(means, table.shape), [0.5 - LEVEL / 2, 0.5 + LEVEL / 2]))
    any_sd = Spread(  # by chance observers can seem closer than repeats: never less than a repeat
        value=math.sqrt(max(float(_any_variance(_means(squares)[:, None], table.shape)[0]), found[3])),
        interval=Interval(low=float(ends[0]), high=float(ends[1]), level=LEVEL, unit=unit),
        dof=None,
        unit=unit,
    )
    names = ("person", "observer", "observer with person", "repeat")
    icc = icc_forms(table[:, :, 0]) if repeats == 1 else _icc_of_cells(found, drawn, observers)
    return Observers(
        people=people,
        observers=observers,
        repeats=repeats,
        left_out=left_out,
        shift_sd=math.sqrt(found[1] + found[2]),
        any_sd=any_sd,
        components=_shares(names, found),
        icc=icc,
    )


def _columns(table: FloatArray, left_out: int, unit: str) -> Observers:
    """One observer: persons and repeats only."""
    squares = two_way(table)
    repeats = table.shape[1]
    within = (squares.observers.sum + squares.cells.sum) / (squares.observers.dof + squares.cells.dof)
    person = max(0.0, (squares.persons.mean - within) / repeats)
    return Observers(
        people=table.shape[0],
        observers=1,
        repeats=repeats,
        left_out=left_out,
        shift_sd=0.0,
        any_sd=spread_of(math.sqrt(within), squares.observers.dof + squares.cells.dof, unit=unit),
        components=_shares(("person", "repeat"), (person, within)),
        icc=icc_forms(table[:, :, 0], means=MEANS_OF_REPEATS),
    )


def _shares(names: Sequence[str], variances: Sequence[float]) -> tuple[Component, ...]:
    total = sum(variances)
    return tuple(
        Component(name=name, sd=math.sqrt(v), share=v / total if total else 0.0)
        for name, v in zip(names, variances, strict=True)
    )


def _components(squares: TwoWay, shape: tuple[int, ...]) -> tuple[float, float, float, float]:
    """Variances of person, observer, their interaction and the repeat, from the expected mean squares."""
    found = _from_means(_means(squares)[:, None], shape)[:, 0]
    return float(found[0]), float(found[1]), float(found[2]), float(found[3])


def _means(squares: TwoWay) -> FloatArray:
    parts = (squares.persons, squares.observers, squares.cells, squares.repeats)
    return np.array([part.mean for part in parts], dtype=float)


def _any_variance(means: FloatArray, shape: tuple[int, ...]) -> FloatArray:
    """Variance of one reading by any observer; no mean square counts against it, so nothing is cut at 0."""
    people, _, repeats = shape
    _, observer, cell, repeat = means
    return np.asarray((observer + (people - 1) * cell) / (people * repeats) + repeat * (1.0 - 1.0 / repeats))


def _from_means(means: FloatArray, shape: tuple[int, ...]) -> FloatArray:
    people, observers, repeats = shape
    person, observer, cell, repeat = means
    if repeats == 1:  # the interaction cannot be told from the repeat: all of it counts as repeat
        repeat = cell
    parts = (
        (person - cell) / (observers * repeats),
        (observer - cell) / (people * repeats),
        (cell - repeat) / repeats,
        repeat,
    )
    return np.asarray(np.maximum(0.0, np.stack(parts)))


def _drawn_means(squares: TwoWay, rng: np.random.Generator) -> FloatArray:
    """(4, draws) expected mean squares as their chi-square pivots allow them."""
    parts = (squares.persons, squares.observers, squares.cells, squares.repeats)
    return np.stack([s.sum / rng.chisquare(s.dof, DRAWS) if s.dof else np.zeros(DRAWS) for s in parts])


def _icc_of_cells(
    found: tuple[float, float, float, float], drawn: FloatArray, observers: int
) -> tuple[Icc, ...]:
    """Forms 2 and 3 from components, where each observer measured each person more than once."""
    asked: tuple[tuple[Form, tuple[int, ...], int], ...] = (
        ("2,1", (1, 2, 3), 1),
        ("3,1", (2, 3), 1),
        ("2,k", (1, 2, 3), observers),
        ("3,k", (2, 3), observers),
    )
    forms = []
    for form, error, k in asked:
        drawn_error = np.sum(drawn[list(error)], axis=0) / k
        low, high = np.quantile(
            drawn[0] / np.maximum(drawn[0] + drawn_error, 1e-300), [0.5 - LEVEL / 2, 0.5 + LEVEL / 2]
        )
        forms.append(
            Icc(
                form=form,
                value=found[0] / max(found[0] + sum(found[i] for i in error) / k, 1e-300),
                interval=Interval(low=float(low), high=float(high), level=LEVEL, unit=""),
                means=MEANS[form].format(k=k),
            )
        )
    return tuple(forms)
