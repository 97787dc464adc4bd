"""Intraclass correlation by form, each with its range: how well readings tell one person from another."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import fdtri

from evenground.estimate import Interval
from evenground.measure.anova import TwoWay, two_way
from evenground.measure.recording import FloatArray

__all__ = ["MEANS", "MEANS_OF_REPEATS", "Form", "Icc", "icc_forms"]

Form = Literal["1,1", "2,1", "3,1", "1,k", "2,k", "3,k"]

MEANS: dict[Form, str] = {
    "1,1": "one reading, each person seen by other observers",
    "2,1": "one reading, any observer of the studio",
    "3,1": "one reading, always the same observer",
    "1,k": "mean of {k}, each person seen by other observers",
    "2,k": "mean of {k}, any observers of the studio",
    "3,k": "mean of {k}, always the same observers",
}
MEANS_OF_REPEATS: dict[Form, str] = {
    "1,1": "one reading, the repeats in no order",
    "2,1": "one reading, whichever repeat it is",
    "3,1": "one reading, what drifts over the repeats taken away",
    "1,k": "mean of {k} readings in no order",
    "2,k": "mean of {k} readings",
    "3,k": "mean of {k} readings, what drifts over them taken away",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Icc:
    """One form of the intraclass correlation; `means` says what it is a correlation of."""

    form: Form
    value: float
    interval: Interval
    means: str


@dataclass(frozen=True, slots=True)
class _Shape:
    people: int
    observers: int
    level: float

    def f(self, top: float, bottom: float) -> float:
        """Quantile of the F distribution at the upper end of the level."""
        return float(fdtri(top, bottom, 0.5 + self.level / 2.0))


def icc_forms(
    ratings: FloatArray, *, level: float = 0.95, means: Mapping[Form, str] = MEANS
) -> tuple[Icc, ...]:
    """All six forms of a table of one reading a person and observer.

    Parameters
    ----------
    ratings
        (persons, observers), no gaps, at least two of each. With one observer the columns are the repeats.
    level
        Of the ranges.
    means
        What each form is a correlation of, in words; `MEANS_OF_REPEATS` where the columns are repeats.

    Returns
    -------
    forms
        (1,1), (2,1), (3,1), (1,k), (2,k), (3,k), k the number of columns.

    Raises
    ------
    NoGroupsError
        With fewer than two persons or columns.

    Notes
    -----
    Shrout & Fleiss 1979, Psychol Bull 86:420-428; ranges as there and in McGraw & Wong 1996, Psychol Methods
    1:30-46. The same readings give 0.17 or 0.71 depending on the form, so the form is always printed.
    A consistency form (3) hides a shift between observers: read the bias first. All forms grow with how
    varied the group was: use the SEM, not the ICC, to judge one player.
    """
    squares = two_way(ratings[:, :, None])
    shape = _Shape(ratings.shape[0], ratings.shape[1], level)
    singles = (_one_way(squares, shape), _agreement(squares, shape), _consistency(squares, shape))
    k = shape.observers
    averaged = [tuple(_stepped_up(x, k) for x in single) for single in singles]
    forms: tuple[Form, ...] = ("1,1", "2,1", "3,1", "1,k", "2,k", "3,k")
    return tuple(
        Icc(
            form=form,
            value=value,
            interval=Interval(low=low, high=high, level=level, unit=""),
            means=means[form].format(k=k),
        )
        for form, (value, low, high) in zip(forms, (*singles, *averaged), strict=True)
    )


def _stepped_up(single: float, k: int) -> float:
    """Spearman and Brown's step from one reading to the mean of k."""
    bottom = 1.0 + (k - 1) * single
    return k * single / bottom if bottom > 1e-12 else -np.inf


def _ratio(f: float, k: int) -> float:
    return (f - 1.0) / (f + k - 1.0)


def _floor(squares: TwoWay) -> float:
    """The residual mean square, never quite 0: columns may agree to the last digit."""
    largest = max(squares.persons.mean, squares.observers.mean, squares.cells.mean)
    return max(squares.cells.mean, 1e-12 * largest, 1e-300)


def _one_way(squares: TwoWay, shape: _Shape) -> tuple[float, float, float]:
    n, k = shape.people, shape.observers
    within = squares.observers.sum + squares.cells.sum
    f = squares.persons.mean / max(within / (n * (k - 1)), 1e-300)
    low, high = f / shape.f(n - 1, n * (k - 1)), f * shape.f(n * (k - 1), n - 1)
    return _ratio(f, k), _ratio(low, k), _ratio(high, k)


def _consistency(squares: TwoWay, shape: _Shape) -> tuple[float, float, float]:
    n, k = shape.people, shape.observers
    f = squares.persons.mean / _floor(squares)
    low, high = f / shape.f(n - 1, (n - 1) * (k - 1)), f * shape.f((n - 1) * (k - 1), n - 1)
    return _ratio(f, k), _ratio(low, k), _ratio(high, k)


def _agreement(squares: TwoWay, shape: _Shape) -> tuple[float, float, float]:
    n, k = shape.people, shape.observers
    b, j, e = squares.persons.mean, squares.observers.mean, _floor(squares)
    value = (b - e) / (b + (k - 1) * e + k * (j - e) / n)
    left = max(1.0 - value, 1e-12)
    one, other = k * value / (n * left), 1.0 + k * value * (n - 1) / (n * left)
    shift = one * j / e
    v = (shift + other) ** 2 / (shift**2 / (k - 1) + other**2 / ((n - 1) * (k - 1)))
    below, above = shape.f(n - 1, v), shape.f(v, n - 1)
    rest = k * j + (k * n - k - n) * e
    low = n * (b - below * e) / (below * rest + n * b)
    high = n * (above * b - e) / (rest + n * above * b)
    return value, low, high
