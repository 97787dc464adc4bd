"""Linear models whose readings come in groups: fixed effects with random shifts of each group, by REML."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.linalg import solve_triangular
from scipy.optimize import minimize_scalar

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
    """Fixed effects with their covariance, and the variances of a reading and of its group's shift.

    `effects` is (p,), `covariance` (p, p); `group_variance` is 0 where the readings show no shift or no
    groups were given. `residual_variance` is that of one reading inside its group.
    """

    effects: FloatArray
    covariance: FloatArray
    group_variance: float
    residual_variance: float


def fit_mixed(response: FloatArray, design: FloatArray, group: IntArray | None = None) -> MixedFit:
    """Fit ``y = X b + shift of the group + residual`` by restricted maximum likelihood.

    Parameters
    ----------
    response
        (n,) readings, up to about a thousand.
    design
        (n, p) of full column rank.
    group
        (n,) the group of each reading, any integers; None fits by ordinary least squares.

    Raises
    ------
    NothingLeftError
        Unless n > p.

    Notes
    -----
    Patterson & Thompson 1971, Biometrika 58:545. The residual variance is profiled out; the ratio of both
    variances is searched from exactly 0 over the eigenvalues of the groups' matrix beside the design, which
    make each trial of it a sum of n - p terms. Checked against statsmodels.
    """
    n, p = design.shape
    if n <= p:
        raise NothingLeftError(n, p)
    ratio = 0.0
    lower: FloatArray = np.eye(n)
    if group is not None:
        shared = np.asarray(group[:, None] == group[None, :], dtype=float)
        ratio = _ratio(response, design, shared)
        lower = np.linalg.cholesky(np.eye(n) + ratio * shared)
    effects, triangle, left = _least_squares(response, design, lower)
    inverse = solve_triangular(triangle, np.eye(p))
    residual = left / (n - p)
    return MixedFit(
        effects=effects,
        covariance=residual * (inverse @ inverse.T),
        group_variance=residual * ratio,
        residual_variance=residual,
    )


def _ratio(response: FloatArray, design: FloatArray, shared: FloatArray) -> float:
    """Variance of the groups' shifts over that of a reading, at the top of the restricted likelihood."""
    n, p = design.shape
    beside = np.linalg.qr(design, mode="complete")[0][:, p:]
    sizes, turned = np.linalg.eigh(beside.T @ shared @ beside)
    squares = (turned.T @ (beside.T @ response)) ** 2
    sizes = np.maximum(sizes, 0.0)

    def criterion(log_ratio: float) -> float:
        weights = 1.0 + np.exp(log_ratio) * sizes
        left = max(float(np.sum(squares / weights)), 1e-300)
        return float(np.sum(np.log(weights)) + (n - p) * np.log(left))

    grid = np.linspace(-14.0, 14.0, 57)
    best = int(np.argmin([criterion(g) for g in grid]))
    found = minimize_scalar(
        criterion,
        bounds=(grid[max(0, best - 1)], grid[min(len(grid) - 1, best + 1)]),
        method="bounded",
        options={"xatol": 1e-9},
    )
    none = (n - p) * float(np.log(max(float(np.sum(squares)), 1e-300)))
    return float(np.exp(found.x)) if found.fun < none - 1e-9 else 0.0


def _least_squares(
    response: FloatArray, design: FloatArray, lower: FloatArray
) -> tuple[FloatArray, FloatArray, float]:
    """Effects, the triangle of the design and the squares left, after whitening by a Cholesky factor.

    By QR: the normal equations would lose half the digits of a design whose columns are nearly alike.
    """
    p = design.shape[1]
    white = solve_triangular(lower, np.column_stack([design, response]), lower=True)
    x, y = white[:, :p], white[:, p]
    q, r = np.linalg.qr(x)
    effects = solve_triangular(r, q.T @ y)
    effects = effects + solve_triangular(r, q.T @ (y - x @ effects))  # gives back the digits QR lost
    rest = y - x @ effects
    return effects, r, max(float(rest @ rest), 1e-300)
