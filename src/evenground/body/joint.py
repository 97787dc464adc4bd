"""How the sizes of one body go together: what each should be given the others, and how far all are off.

The survey's sizes of one sex are taken as jointly normal; held-out people of the survey show that this holds
well enough for 95 % ranges (tests/outside/test_body_values.py). A studio's own error of each size is added to
the survey's covariance, so that sloppy tapes do not raise alarms.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtri, ndtri

from evenground.body.sizes import MASS, tape_sd
from evenground.body.survey import SurveyTable
from evenground.estimate import Estimate
from evenground.sourced import Sourced

__all__ = [
    "DISTANCE_ALARMS",
    "SIZE_ALARMS",
    "Fit",
    "distance_limit",
    "off_limit_sd",
    "plausibility",
    "predict",
]

SIZE_ALARMS = Sourced(
    0.005,
    "",
    "ours: chance that any size of a body measured well is called unlike the others; all alarms together "
    "then come to under 2 % of the survey's people, tests/outside",
)
DISTANCE_ALARMS = Sourced(0.001, "", "ours: chance that a body measured well is called odd as a whole")

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """Sizes of N bodies against the survey: all (N, K) in the order asked for, NaN where not taken.

    `expected` is what each size should be given that body's other sizes, `sd` the SD of a reading about it,
    `off_sd` how many of these it is off, + too large. `distance` (N,) is the Mahalanobis distance squared of
    the whole body and `taken` (N,) the number of its sizes.
    """

    expected: FloatArray
    sd: FloatArray
    off_sd: FloatArray
    distance: FloatArray
    taken: NDArray[np.intp]


def off_limit_sd(taken: int) -> float:
    """How many SDs off a size may be, with so many sizes taken, before it is called unlike the others.

    Two-sided normal limit shared out over the sizes (Bonferroni).

    Examples
    --------
    >>> off_limit_sd(2), off_limit_sd(12)
    (3.023, 3.529)
    """
    return float(-ndtri(SIZE_ALARMS.value / 2.0 / taken))


def distance_limit(taken: int) -> float:
    """The Mahalanobis distance squared beyond which a body as a whole is called odd: chi-square's tail."""
    return float(chdtri(taken, DISTANCE_ALARMS.value))


def plausibility(
    sizes: FloatArray, names: tuple[str, ...], table: SurveyTable, *, se: FloatArray | None = None
) -> Fit:
    """What each size should be given the others of the same body, for many bodies at once.

    Parameters
    ----------
    sizes
        (N, K) sizes in mm (mass in kg), NaN where not taken.
    names
        The K sizes, each one that `table` holds.
    table
        The survey's table.
    se
        (K,) error of an entered size; a single reading's in a studio when left out.

    Notes
    -----
    With C the covariance of the readings (survey plus errors), P its inverse and d the difference from the
    mean: size k given the others is off by ``(P d)_k / P_kk``, its SD is ``P_kk ** -0.5``, and the distance
    squared is ``d P d``. Any text on the multivariate normal; Mahalanobis 1936.
    """
    errors = np.array([tape_sd(n) for n in names]) if se is None else se
    places = table.at(names)
    mean, covariance = table.mean[places], table.covariance[np.ix_(places, places)] + np.diag(errors**2)
    known = ~np.isnan(sizes)
    fit = Fit(
        expected=np.full(sizes.shape, np.nan),
        sd=np.full(sizes.shape, np.nan),
        off_sd=np.full(sizes.shape, np.nan),
        distance=np.zeros(len(sizes)),
        taken=known.sum(axis=1),
    )
    patterns, which = np.unique(known, axis=0, return_inverse=True)
    for number, pattern in enumerate(patterns):
        if pattern.any():
            rows, cols = np.flatnonzero(which.ravel() == number), np.flatnonzero(pattern)
            _fill(fit, sizes, rows, cols, mean[cols], covariance[np.ix_(cols, cols)])
    return fit


def _fill(
    fit: Fit,
    sizes: FloatArray,
    rows: NDArray[np.intp],
    cols: NDArray[np.intp],
    mean: FloatArray,
    covariance: FloatArray,
) -> None:
    """Work out the bodies that have the same sizes taken."""
    inverse = np.linalg.inv(covariance)
    sd = np.diag(inverse) ** -0.5
    here = np.ix_(rows, cols)
    apart = sizes[here] - mean
    turned = apart @ inverse
    off = turned * sd**2
    fit.expected[here] = sizes[here] - off
    fit.sd[here] = sd
    fit.off_sd[here] = off / sd
    fit.distance[rows] = np.einsum("ij,ij->i", turned, apart)


def predict(known: Mapping[str, Estimate], table: SurveyTable) -> dict[str, Estimate]:
    """Every size of the survey that was not taken, from those that were, with its error.

    Parameters
    ----------
    known
        Sizes by name with their errors; those that the survey lacks are left aside.
    table
        The survey's table.

    Returns
    -------
    predicted
        Size -> mean of the conditional normal and its SD: what a person with these sizes has. With nothing
        known it is the survey's mean and SD. Its `n` counts the sizes it comes from.

    Notes
    -----
    ``m + S C^-1 (y - mean)`` with variance ``v - S C^-1 S'``: S the covariance of the missing with the known,
    C that of the known with their errors added. Any text on the multivariate normal.
    """
    names = tuple(n for n in known if n in table.names)
    have = table.at(names)
    want = [i for i in range(len(table.names)) if i not in have]
    covariance = table.covariance
    given = covariance[np.ix_(have, have)] + np.diag([known[n].se ** 2 for n in names])
    across = covariance[np.ix_(want, have)]
    apart = np.array([known[n].value for n in names]) - table.mean[have]
    # An exact sum among the known (arm = upper arm + forearm) without error would be singular.
    weights = across @ np.linalg.pinv(given, hermitian=True, rcond=1e-10)
    mean = table.mean[want] + weights @ apart
    variance = table.sd[want] ** 2 - np.einsum("ij,ij->i", weights, across)
    return {
        table.names[i]: Estimate(
            value=float(value),
            se=math.sqrt(max(float(var), 0.0)),
            n=max(len(names), 1),
            unit="kg" if table.names[i] == MASS else "mm",
        )
        for i, value, var in zip(want, mean, variance, strict=True)
    }
