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
    """A curve to be known better, and the (W,) mask of each family's window on it.

    `turn_chance` (W,) is the chance of turn enough at each width, where that is asked for.
    """

    curve: Curve
    allowed: tuple[BoolArray, ...]
    turn_chance: FloatArray | None = None

    @classmethod
    def of(
        cls, curve: Curve, windows: Sequence[WidthWindow], turn_chance: FloatArray | None = None
    ) -> "Goal":
        """The goal of the families with these windows on one curve."""
        allowed = tuple(inside(curve.width_mm, w) for w in windows)
        return cls(curve=curve, allowed=allowed, turn_chance=turn_chance)


def _heavy(weight: FloatArray) -> NDArray[np.intp]:
    """Sets that carry all but a sliver of the weight."""
    order = np.argsort(-weight)
    keep = int(np.searchsorted(np.cumsum(weight[order]), 1.0 - _LIGHT)) + 1
    return np.sort(order[:keep])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Reading:
    """What the next reading at each candidate may be: `sd` (H, X), `away` (H, X, Q) in SDs, odds (X, Q).

    Only the sets `keep` of all are in. `weight` (H, X, Q) is each one's weight once that reading is in.
    """

    keep: NDArray[np.intp]
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
        keep=keep,
        view=view,
        sd=sd,
        away=away,
        weight=joint / mixed,
        odds=mixed / mixed.sum(axis=1, keepdims=True),
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
    total = np.zeros(len(candidates))
    for goal in goals:
        shared = fitted.covariance(reading.view, goal.curve.view)[reading.keep]
        step = shared / reading.sd[..., None]
        for x in range(len(candidates)):  # one at a time: the arrays stay small enough for the cache
            total[x] += _gain(goal, reading, x, step[:, x], margin_deg)
    return total


def _gain(goal: Goal, reading: _Reading, x: int, step: FloatArray, margin_deg: float) -> float:
    """Gain on one goal from reading candidate `x`; one SD of it moves the curve by `step` (H, W)."""
    sd = np.sqrt(np.maximum(goal.curve.set_sd[reading.keep] ** 2 - step**2, 1e-9))
    mean = goal.curve.set_mean[reading.keep][:, None] + reading.away[:, x, :, None] * step[:, None]
    p_sets = square_probability(mean, sd[:, None], margin_deg)
    p = np.einsum("hq,hqw->qw", reading.weight[:, x], p_sets)
    if goal.turn_chance is not None:
        p = p * goal.turn_chance
    odds, gain = reading.odds[x], 0.0
    for mask in goal.allowed:
        inside_p = p[:, mask]
        gain += float(odds @ inside_p.max(-1) - (odds @ inside_p).max())
    return gain


def pick_near_best(gain: FloatArray, rng: np.random.Generator) -> int:
    """Index of the best gain, at random among those that are as good for any practical purpose."""
    near = np.flatnonzero(gain >= gain.max() - c.NEAR_TIE_GAIN.value)
    return int(rng.choice(near))


def first_widths(
    stature_mm: float,
    *,
    step_mm: float,
    rng: np.random.Generator,
    as_arrived_mm: float | None = None,
    allowed_mm: Sequence[float] = (),
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
    allowed_mm
        The teacher's own list: the nearest of it each time, a width twice only when the list is that short.

    Examples
    --------
    >>> sorted(first_widths(1780.0, step_mm=10.0, rng=np.random.default_rng(1)))
    [280.0, 410.0, 540.0]
    """
    arrived = {} if as_arrived_mm is None else dict.fromkeys(FAMILIES, as_arrived_mm)
    windows = width_windows(stature_mm, arrived).values()
    low, high = min(w.low_mm for w in windows), max(w.high_mm for w in windows)
    thirds = low + (high - low) * np.array([1.0, 3.0, 5.0]) / 6.0
    widths = [float(w) for w in np.round(thirds / step_mm) * step_mm]
    if allowed_mm:
        widths = _nearest_listed(widths, allowed_mm)
    return tuple(float(w) for w in rng.permutation(widths))


def _nearest_listed(widths: Sequence[float], allowed_mm: Sequence[float]) -> list[float]:
    chosen: list[float] = []
    for width in widths:
        left = [w for w in allowed_mm if w not in chosen] or list(allowed_mm)
        chosen.append(min(left, key=lambda w: abs(w - width)))
    return chosen
