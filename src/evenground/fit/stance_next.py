"""Which width to set next, and when to stop: one step of looking ahead.

Array axes: H hyperparameter sets, X candidate widths, Q values of the next reading, W widths of a curve.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenground.fit import stance_constants as c
from evenground.fit.stance_answer import Curve, inside, width_windows
from evenground.fit.stance_model import Fitted, Points, Projection, square_probability
from evenground.fit.stance_types import WidthWindow
from evenground.visit import FAMILIES

__all__ = ["Goal", "first_widths", "gains", "pick_near_best"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
_NODES = np.linspace(-3.0, 3.0, 11)  # of the next reading, in SDs of what is predicted for it
_LIGHT = 0.005  # sets that together weigh less than this are left out of the look ahead


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal:
    """A curve to be known better, and the (W,) mask of each family's window on it."""

    curve: Curve
    allowed: tuple[BoolArray, ...]

    @classmethod
    def of(cls, curve: Curve, windows: Sequence[WidthWindow]) -> "Goal":
        """The goal of the families with these windows on one curve."""
        return cls(curve=curve, allowed=tuple(inside(curve.width_mm, w) for w in windows))


def _heavy(weight: FloatArray) -> NDArray[np.intp]:
    """Sets that carry all but a sliver of the weight."""
    order = np.argsort(-weight)
    keep = int(np.searchsorted(np.cumsum(weight[order]), 1.0 - _LIGHT)) + 1
    return np.sort(order[:keep])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Reading:
    """What the next reading at each candidate may be: `sd` (H, X), `away` (H, X, Q) in SDs, odds (X, Q).

    `weight` (H, X, Q) is each set's weight once that reading is in.
    """

    view: Projection
    sd: FloatArray
    away: FloatArray
    weight: FloatArray
    odds: FloatArray


def _foresee(fitted: Fitted, candidates: Points) -> _Reading:
    """Values the next reading may take, evenly spread over the mixed prediction, with their odds."""
    view = fitted.project(candidates)
    variance = fitted.variance(view) + fitted.noise_sd[:, None] ** 2
    keep = _heavy(fitted.weight)
    prior_weight = fitted.weight[keep] / fitted.weight[keep].sum()
    mean, sd = view.mean[keep], np.sqrt(variance[keep])
    middle = prior_weight @ mean
    spread = np.sqrt(prior_weight @ (sd**2 + (mean - middle) ** 2))
    y = middle[:, None] + spread[:, None] * _NODES
    away = (y[None] - mean[..., None]) / sd[..., None]
    joint = prior_weight[:, None, None] * np.exp(-0.5 * away**2) / sd[..., None]
    mixed = joint.sum(0)
    return _Reading(
        view=view, sd=sd, away=away, weight=joint / mixed, odds=mixed / mixed.sum(axis=1, keepdims=True)
    )


def gains(fitted: Fitted, candidates: Points, goals: Sequence[Goal], margin_deg: float) -> FloatArray:
    """Expected rise of the summed best probabilities from one more reading at each candidate.

    Parameters
    ----------
    fitted
        The trials so far.
    candidates
        (X,) points that may be read next.
    goals
        Curves with the windows of their families; the sum runs over all windows.
    margin_deg
        What counts as square.

    Returns
    -------
    gain
        (X,), not negative up to the coarseness of the 11 values a reading may take.

    Notes
    -----
    For each value the reading may take every set's curve and weight are updated exactly (one-step Gaussian
    update, Rasmussen & Williams 2006, eq. 2.23 and 2.24), P averaged over the sets, and its maximum in each
    window taken. What is compared with is the best P under the same values, so that the coarseness cancels.
    """
    reading = _foresee(fitted, candidates)
    keep = _heavy(fitted.weight)
    total = np.zeros(len(candidates))
    for goal in goals:
        shared = fitted.covariance(reading.view, goal.curve.view)[keep]
        step = shared / reading.sd[..., None]
        sd = np.sqrt(np.maximum(goal.curve.set_sd[keep][:, None] ** 2 - step**2, 1e-9))
        mean = goal.curve.set_mean[keep][:, None, None] + reading.away[..., None] * step[:, :, None]
        p_sets = square_probability(mean, sd[:, :, None], margin_deg)
        p = np.einsum("hxq,hxqw->xqw", reading.weight, p_sets)
        for mask in goal.allowed:
            inside_p = p[..., mask]
            best_after = (reading.odds * inside_p.max(-1)).sum(1)
            best_now = np.einsum("xq,xqw->xw", reading.odds, inside_p).max(-1)
            total += best_after - best_now
    return np.asarray(total)


def pick_near_best(gain: FloatArray, rng: np.random.Generator) -> int:
    """Index of the best gain, at random among those that are as good for any practical purpose."""
    near = np.flatnonzero(gain >= gain.max() - c.NEAR_TIE_GAIN.value)
    return int(rng.choice(near))


def first_widths(
    stature_mm: float, *, step_mm: float, rng: np.random.Generator, as_arrived_mm: float | None = None
) -> tuple[float, ...]:
    """The three widths a series starts with, in random order: low, middle, high in the span of all windows.

    Parameters
    ----------
    stature_mm
        The player's stature.
    step_mm
        Widths are given at whole steps.
    rng
        Settles the order.
    as_arrived_mm
        Stretches the windows when the player stands outside them.

    Examples
    --------
    >>> sorted(first_widths(1780.0, step_mm=10.0, rng=np.random.default_rng(1)))
    [270.0, 410.0, 550.0]
    """
    arrived = {} if as_arrived_mm is None else dict.fromkeys(FAMILIES, as_arrived_mm)
    windows = width_windows(stature_mm, arrived).values()
    low, high = min(w.low_mm for w in windows), max(w.high_mm for w in windows)
    thirds = low + (high - low) * np.array([1.0, 3.0, 5.0]) / 6.0
    return tuple(float(w) for w in rng.permutation(np.round(thirds / step_mm) * step_mm))
