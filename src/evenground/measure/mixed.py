"""Linear models whose readings come in groups: fixed effects with random shifts of each group, by REML."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.linalg import solve_triangular
from scipy.optimize import minimize

from evenground.errors import MeasureError
from evenground.measure.recording import FloatArray

__all__ = ["MixedFit", "NothingLeftError", "fit_mixed"]

IntArray = npt.NDArray[np.int64]


class NothingLeftError(MeasureError):
    """A model with as many unknowns as readings."""

    do = "Take more readings, or leave conditions out."

    def __init__(self, readings: int, unknowns: int) -> None:
        super().__init__(readings, unknowns)
        self.what = (
            f"{readings} readings cannot tell {unknowns} unknowns and leave anything to judge them by."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class MixedFit:
    """Fixed effects with their covariance, and variances of the shifts of each grouping.

    `effects` is (p,), `covariance` (p, p); `variances` has one a grouping, 0 where the readings show none.
    `residual_variance` is that of one reading inside its groups; `criterion` is -2 log restricted likelihood.
    """

    effects: FloatArray
    covariance: FloatArray
    variances: tuple[float, ...]
    residual_variance: float
    criterion: float


@dataclass(frozen=True, slots=True)
class _Problem:
    """Readings, design and the products of each grouping's indicator matrix with itself."""

    response: FloatArray
    design: FloatArray
    shared: tuple[FloatArray, ...]


@dataclass(frozen=True, slots=True)
class _Solved:
    effects: FloatArray
    triangle: FloatArray
    residual_variance: float
    criterion: float
    slopes: FloatArray


def fit_mixed(response: FloatArray, design: FloatArray, groupings: Sequence[IntArray] = ()) -> MixedFit:
    """Fit ``y = X b + sum of group shifts + residual`` by restricted maximum likelihood.

    Parameters
    ----------
    response
        (n,) readings, up to about a thousand.
    design
        (n, p) of full column rank.
    groupings
        For each grouping (n,) the group of every reading, any integers; nested and crossed ones may mix.

    Raises
    ------
    NothingLeftError
        Unless n > p.

    Notes
    -----
    Patterson & Thompson 1971, Biometrika 58:545. The residual variance is profiled out; what remains is
    searched over each grouping's SD relative to the residual's, from above 0, so a variance can be exactly
    0. Without groupings this is ordinary least squares. Checked against statsmodels.
    """
    n, p = design.shape
    if n <= p:
        raise NothingLeftError(n, p)
    problem = _Problem(response, design, tuple(_shared(g) for g in groupings))
    ratios = _search(problem)
    solved = _solve(problem, ratios)
    inverse = solve_triangular(solved.triangle, np.eye(p))
    return MixedFit(
        effects=solved.effects,
        covariance=solved.residual_variance * (inverse @ inverse.T),
        variances=tuple(float(solved.residual_variance * r**2) for r in ratios),
        residual_variance=solved.residual_variance,
        criterion=solved.criterion,
    )


def _shared(group: IntArray) -> FloatArray:
    return np.asarray(group[:, None] == group[None, :], dtype=float)


def _search(problem: _Problem) -> FloatArray:
    """SD of each grouping over the residual SD, 0 included, at the top of the restricted likelihood."""
    count = len(problem.shared)
    if not count:
        return np.zeros(0)

    def objective(ratios: FloatArray) -> tuple[float, FloatArray]:
        solved = _solve(problem, ratios)
        return solved.criterion, 2.0 * ratios * solved.slopes

    best = None
    for start in (1.0, 0.2):  # the likelihood can have a second, lower top where groupings overlap
        found = minimize(
            objective,
            np.full(count, start),
            jac=True,
            method="L-BFGS-B",
            bounds=[(0.0, 1e4)] * count,
            options={"ftol": 1e-14, "gtol": 1e-8, "maxiter": 500},
        )
        if best is None or found.fun < best.fun:
            best = found
    assert best is not None  # noqa: S101  two starts were tried
    ratios = np.asarray(best.x)
    for i in range(count):  # a slope that points below 0 at 0 means that the readings show no such shift
        without = ratios.copy()
        without[i] = 0.0
        if ratios[i] < 1e-3 and _solve(problem, without).criterion <= best.fun + 1e-9:
            ratios = without
    return ratios


def _solve(problem: _Problem, ratios: FloatArray) -> _Solved:
    """Effects, residual variance, criterion and its slope along each squared ratio.

    Readings and design are whitened by the Cholesky factor and solved by QR: the normal equations would lose
    half the digits of a design whose columns are nearly alike.
    """
    n, p = problem.design.shape
    v = np.eye(n)
    for ratio, shared in zip(ratios, problem.shared, strict=True):
        v += ratio**2 * shared
    lower = np.linalg.cholesky(v)
    white = solve_triangular(lower, np.column_stack([problem.design, problem.response]), lower=True)
    x, y = white[:, :p], white[:, p]
    q, r = np.linalg.qr(x)
    effects = solve_triangular(r, q.T @ y)
    rest = y - x @ effects
    effects = effects + solve_triangular(r, q.T @ rest)  # one refinement gives back the digits QR lost
    rest = y - x @ effects
    left = max(float(rest @ rest), 1e-300)
    logs = 2.0 * float(np.sum(np.log(np.diag(lower))) + np.sum(np.log(np.abs(np.diag(r)))))
    slopes = []
    if problem.shared:
        across = solve_triangular(lower, np.eye(n), lower=True)
        spanned = q.T @ across
        middle = across.T @ across - spanned.T @ spanned
        projected = across.T @ rest
        for shared in problem.shared:
            quadratic = float(projected @ shared @ projected)
            slopes.append(float(np.sum(middle * shared)) - (n - p) * quadratic / left)
    return _Solved(effects, r, left / (n - p), logs + (n - p) * float(np.log(left)), np.asarray(slopes))
