"""A repeated check as conditions and repeats: whose turn it is, what is short, which two readings differ."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from evenground.estimate import Estimate
from evenground.measure.repeats import smallest_real_change

__all__ = ["Apart", "Drift", "Due", "Series", "Taken", "apart_of", "drift_of", "due_next", "series_order"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """What a repeated check takes: each condition `each` times.

    `shuffled` says that the order of the conditions within a round may be left to chance; where it may not
    (shoes are changed once, the own stance comes before any coaching), conditions are taken one after the
    other as they stand. `sd` is of one reading in `unit`, None where it is not known.
    """

    conditions: tuple[str, ...]
    each: int
    shuffled: bool = True
    unit: str = "deg"
    sd: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """One reading that was taken; `value` is None where the reading is not a single figure."""

    condition: str
    value: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """Two readings of one condition that differ by more than two readings of one thing nearly ever do."""

    condition: str
    by: float
    allowed: float
    unit: str

    def says(self) -> str:
        """The sentence."""
        return f"the two readings differ by {self.by:.{0 if self.unit == 'mm' else 1}f} {self.unit}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """The reading to take next; `apart` says why when two readings of it do not agree."""

    condition: str
    place: int
    of: int
    apart: Apart | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """How far the first condition's last reading is from its first, with the error of that difference."""

    condition: str
    change: Estimate

    @property
    def shows(self) -> bool:
        """Whether the change is larger than its error."""
        return not self.change.interval().holds(0.0)


def series_order(series: Series, rng: np.random.Generator) -> tuple[str, ...]:
    """Every reading of the series in its order.

    Parameters
    ----------
    series
        The conditions and repeats.
    rng
        Settles the order within rounds; of one visit always made from the same number, so that every screen
        asks for the same.

    Notes
    -----
    Rounds of all conditions, each in its own random order (randomised complete blocks): what drifts slowly
    weighs on all conditions alike. The last round ends on the condition that the series began with, the
    reference by which drift is seen. Ours in the details.

    Examples
    --------
    >>> series_order(Series(conditions=("lead", "trail"), each=3), np.random.default_rng(4))
    ('trail', 'lead', 'lead', 'trail', 'lead', 'trail')
    """
    names = series.conditions
    if not series.shuffled or len(names) < 2:
        return tuple(name for name in names for _ in range(series.each))
    rounds = [[names[i] for i in rng.permutation(len(names))] for _ in range(series.each)]
    reference, last = rounds[0][0], rounds[-1]
    if series.each > 1:
        last.remove(reference)
        last.append(reference)
    return tuple(name for one in rounds for name in one)


def apart_of(series: Series, taken: Sequence[Taken]) -> Apart | None:
    """The condition with exactly two readings that differ most, when by more than chance allows.

    The limit is the smallest real change of two single readings at 95 %
    (`evenground.measure.repeats.smallest_real_change`); a third reading then tells which of the two to doubt.
    None without an SD of one reading.
    """
    if series.sd is None:
        return None
    allowed = smallest_real_change(series.sd)
    found: list[Apart] = []
    for name in dict.fromkeys(t.condition for t in taken):
        values = [t.value for t in taken if t.condition == name and t.value is not None]
        if len(values) == 2 and abs(values[1] - values[0]) > allowed:
            by = abs(values[1] - values[0])
            found.append(Apart(condition=name, by=by, allowed=allowed, unit=series.unit))
    return max(found, key=lambda a: a.by, default=None)


def due_next(series: Series, taken: Sequence[Taken], rng: np.random.Generator) -> Due | None:
    """The reading to take next, None when the series is whole.

    Two readings that do not agree come before anything new. Readings taken out of order count where they
    belong; one condition read more often than asked takes nothing from the others.
    """
    order = series_order(series, rng)
    counts = Counter(t.condition for t in taken)
    place = sum(min(counts[name], series.each) for name in series.conditions) + 1
    differ = apart_of(series, taken)
    if differ is not None:
        return Due(condition=differ.condition, place=place, of=len(order), apart=differ)
    for name in order:
        if counts[name] == 0:
            return Due(condition=name, place=place, of=len(order))
        counts[name] -= 1
    return None


def drift_of(series: Series, taken: Sequence[Taken]) -> Drift | None:
    """What changed between the first and the last reading of the condition that the series began with.

    None before it was repeated with another condition in between, or without an SD of one reading. The error
    is that of two single readings: sqrt(2) SD.
    """
    if series.sd is None or not taken:
        return None
    reference = taken[0].condition
    own = [(i, t.value) for i, t in enumerate(taken) if t.condition == reference and t.value is not None]
    if len(own) < 2 or own[-1][0] - own[0][0] < 2:
        return None
    change = float(own[-1][1] or 0.0) - float(own[0][1] or 0.0)
    return Drift(
        condition=reference,
        change=Estimate(value=change, se=math.sqrt(2.0) * series.sd, n=2, unit=series.unit),
    )
