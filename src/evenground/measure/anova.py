"""Mean squares of readings in groups: one way, and persons crossed with observers."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import fdtrc

from evenground.errors import MeasureError
from evenground.measure.recording import FloatArray

__all__ = ["MeanSquare", "NoGroupsError", "OneWay", "TwoWay", "one_way", "two_way"]


class NoGroupsError(MeasureError):
    """Readings that do not form groups to compare."""

    do = "Give two groups or more, and at least one group with two readings."

    def __init__(self, groups: int, readings: int) -> None:
        super().__init__(groups, readings)
        self.what = f"{readings} readings in {groups} group{'' if groups == 1 else 's'} cannot be compared."


@dataclass(frozen=True, slots=True, kw_only=True)
class MeanSquare:
    """A sum of squares and its degrees of freedom."""

    sum: float
    dof: int

    @property
    def mean(self) -> float:
        """Sum over degrees of freedom; 0 without any."""
        return self.sum / self.dof if self.dof else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class OneWay:
    """Between groups against within them."""

    between: MeanSquare
    within: MeanSquare

    @property
    def f(self) -> float:
        """Ratio of the mean squares."""
        return self.between.mean / self.within.mean

    @property
    def p(self) -> float:
        """Chance of a ratio as large when all groups are alike."""
        return float(fdtrc(self.between.dof, self.within.dof, self.f))

    @property
    def r_squared(self) -> float:
        """Share of the sum of squares between the groups."""
        return self.between.sum / (self.between.sum + self.within.sum)

    @property
    def residual_sd(self) -> float:
        """SD within the groups."""
        return float(np.sqrt(self.within.mean))


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoWay:
    """Persons crossed with observers; `cells` is the interaction, or the residual when each cell has one.

    `repeats` has no degrees of freedom when each cell holds one reading.
    """

    persons: MeanSquare
    observers: MeanSquare
    cells: MeanSquare
    repeats: MeanSquare


def one_way(values: Sequence[float], groups: Sequence[Hashable]) -> OneWay:
    """One-way analysis of variance, groups of any sizes.

    Parameters
    ----------
    values
        (n,) readings.
    groups
        (n,) the group of each.

    Raises
    ------
    NoGroupsError
        With fewer than two groups, or no group of two.

    Notes
    -----
    Sums of squares about means, after taking away the grand mean, so that constant leading digits do no harm.
    Any statistics text; checked against certified values of the NIST StRD.
    """
    centred = np.asarray(values, dtype=float)
    _, member = np.unique(np.asarray([repr(g) for g in groups]), return_inverse=True)
    count = np.bincount(member)
    if len(count) < 2 or len(count) == len(centred):
        raise NoGroupsError(len(count), len(centred))
    for _ in range(2):  # the second time takes away what rounding left of the mean
        centred = centred - centred.mean()
    means = np.bincount(member, weights=centred) / count
    rest = centred - means[member]
    return OneWay(
        between=MeanSquare(sum=float(count @ means**2), dof=len(count) - 1),
        within=MeanSquare(sum=float(rest @ rest), dof=len(centred) - len(count)),
    )


def two_way(readings: FloatArray) -> TwoWay:
    """Mean squares of a complete table of persons, observers and repeats.

    Parameters
    ----------
    readings
        (persons, observers, repeats), no gaps, at least two persons.

    Raises
    ------
    NoGroupsError
        With fewer than two persons, or a single reading of each.

    Notes
    -----
    Any text on two-way layouts, such as McGraw & Wong 1996, Psychol Methods 1:30-46, table 3.
    """
    people, observers, repeats = readings.shape
    if people < 2 or observers * repeats < 2:
        raise NoGroupsError(people, int(readings.size))
    centred = readings - readings.mean()
    person, observer, cell = centred.mean(axis=(1, 2)), centred.mean(axis=(0, 2)), centred.mean(axis=2)
    both = cell - person[:, None] - observer[None, :]
    rest = centred - cell[:, :, None]
    return TwoWay(
        persons=_squares(person, observers * repeats, people - 1),
        observers=_squares(observer, people * repeats, observers - 1),
        cells=_squares(both, repeats, (people - 1) * (observers - 1)),
        repeats=_squares(rest, 1, people * observers * (repeats - 1)),
    )


def _squares(parts: FloatArray, each: int, dof: int) -> MeanSquare:
    return MeanSquare(sum=float(each * np.sum(parts**2)) if dof else 0.0, dof=dof)
