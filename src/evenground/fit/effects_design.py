"""Conditions of trials as columns of a design: what was varied, never was, always moved together."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from evenground.measure.recording import FloatArray

__all__ = ["SERIES", "Column", "Design", "Trial", "alias_sets", "condition_words", "lay_out_design"]

UNITS = ("mm", "deg", "kg", "m", "s")
SERIES = "place in the series"
ALIAS = 1e-7
"""A column with a larger share in a direction that the trials cannot see is aliased (rounding is 1e-14)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One reading of a response under its conditions.

    `conditions` maps a name to a number or a word; None where it was not written down. `group` names readings
    that share one placement; `order` is the place in the series.
    """

    value: float
    conditions: Mapping[str, float | str | None]
    group: str | None = None
    order: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of the design: the condition, and from which state to which its effect is told.

    A number's column runs over 1 from the smallest to the largest value tried, so that its effect is the
    change over what was tried.
    """

    name: str
    start: float | str
    end: float | str


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """The columns beside the constant, (n, columns) values, and what could not become one."""

    columns: tuple[Column, ...]
    values: FloatArray
    never_varied: tuple[tuple[str, float | str], ...]
    not_written: tuple[tuple[str, int], ...]


def condition_words(name: str) -> tuple[str, str]:
    """A condition's name in words and its unit.

    Examples
    --------
    >>> condition_words("toe_out_lead_deg"), condition_words("family")
    (('toe out lead', 'deg'), ('family', ''))
    """
    words, _, unit = name.rpartition("_")
    return (words.replace("_", " "), unit) if unit in UNITS else (name.replace("_", " "), "")


def lay_out_design(trials: Sequence[Trial], *, series: bool) -> Design:
    """Columns of the conditions of some trials.

    Parameters
    ----------
    trials
        At least one; a condition may be missing on some.
    series
        Whether the place in the series is a condition of its own, where every trial has one.

    Returns
    -------
    design
        Words become one column for each word but the commonest, from that one. A condition that is not
        written down on every trial becomes no column and is listed with how many trials lack it.
    """
    columns: list[Column] = []
    values: list[FloatArray] = []
    never, lacking = [], []
    for name in dict.fromkeys(n for t in trials for n in t.conditions):
        states = [t.conditions.get(name) for t in trials]
        known = [s for s in states if s is not None]
        if len(known) < len(states):
            if known:
                lacking.append((name, len(states) - len(known)))
        elif len(set(known)) == 1:
            never.append((name, known[0]))
        else:
            found = _columns(name, known)
            columns += [column for column, _ in found]
            values += [column_values for _, column_values in found]
    orders = [t.order for t in trials if t.order is not None]
    if series and len(orders) == len(trials) and len(set(orders)) > 1:
        columns.append(Column(name=SERIES, start=min(orders), end=max(orders)))
        values.append(_scaled(np.asarray(orders, dtype=float)))
    return Design(
        columns=tuple(columns),
        values=np.column_stack(values) if values else np.zeros((len(trials), 0)),
        never_varied=tuple(never),
        not_written=tuple(lacking),
    )


def _columns(name: str, states: Sequence[float | str]) -> list[tuple[Column, FloatArray]]:
    numbers = [s for s in states if not isinstance(s, str)]
    if len(numbers) == len(states):
        column = Column(name=name, start=min(numbers), end=max(numbers))
        return [(column, _scaled(np.asarray(numbers, dtype=float)))]
    words = [str(s) for s in states]
    counted = Counter(words)
    usual = max(counted, key=lambda w: (counted[w], -words.index(w)))
    return [
        (Column(name=name, start=usual, end=word), np.array([float(w == word) for w in words]))
        for word in counted
        if word != usual
    ]


def _scaled(values: FloatArray) -> FloatArray:
    return np.asarray((values - values.mean()) / (values.max() - values.min()))


def alias_sets(design: Design) -> tuple[tuple[int, ...], ...]:
    """Columns that always moved together, so that no reading can tell their effects apart.

    Returns
    -------
    sets
        Indices of columns. Each set spans directions in which the trials say nothing; a column in none of
        them has an effect of its own.

    Notes
    -----
    An effect can be estimated when it is orthogonal to the null space of the design (Searle 1971, Linear
    Models, ch. 5). Columns are joined when the projection on that space ties them.
    """
    full = np.column_stack([np.ones(len(design.values)), design.values])
    _, sizes, rows = np.linalg.svd(full, full_matrices=True)
    rank = int(np.sum(sizes > 1e-9 * sizes[0]))
    unseen = rows[rank:].T
    tied = np.abs(unseen @ unseen.T) > ALIAS
    waiting = {i for i in range(1, len(tied)) if tied[i, i]}
    sets = []
    while waiting:
        joined, frontier = set(), {min(waiting)}
        while frontier:
            joined |= frontier
            frontier = {j for i in frontier for j in waiting if tied[i, j]} - joined
        waiting -= joined
        sets.append(tuple(sorted(i - 1 for i in joined)))
    return tuple(sets)
