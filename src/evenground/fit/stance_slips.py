"""Hip-line readings that look like a slip of the pen: far from what all the other trials expect there."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from evenground.fit.stance_constants import SLIP_SDS
from evenground.fit.stance_model import Fitted
from evenground.fit.stance_types import StanceFlag
from evenground.visit import HipLineTrial

__all__ = ["left_out", "slip_flags"]

FloatArray = NDArray[np.float64]
LEAST = 4
"""Trials from which the others say anything about one."""


def left_out(fitted: Fitted, hip_line_deg: FloatArray) -> tuple[FloatArray, FloatArray]:
    """What the others expect of each reading: mean and SD (n,), the reading's own noise in.

    Parameters
    ----------
    fitted
        All trials taken in.
    hip_line_deg
        (n,) readings, in the order of the fit.

    Notes
    -----
    In every set of hyperparameters without refitting: mean y - a / k, variance 1 / k, with a the i-th entry
    of K^-1 y and k the i-th of the diagonal of K^-1 (Rasmussen & Williams 2006, eq. 5.12). Each set's weight
    loses what the reading itself gave it, so that a slip does not buy itself a noisy bar.
    """
    n = len(hip_line_deg)
    root = fitted.whiten(np.broadcast_to(np.eye(n), fitted.turned.shape))
    diagonal = (root**2).sum(1)
    mean = hip_line_deg - np.einsum("hki,hk->hi", root, fitted.white) / diagonal
    variance = 1.0 / diagonal
    log_own = -0.5 * (hip_line_deg - mean) ** 2 / variance - 0.5 * np.log(variance)
    log_weight = np.log(fitted.weight + 1e-300)[:, None] - log_own
    weight = np.exp(log_weight - log_weight.max(0))
    weight /= weight.sum(0)
    middle = (weight * mean).sum(0)
    return middle, np.sqrt((weight * (variance + (mean - middle) ** 2)).sum(0))


def slip_flags(fitted: Fitted, trials: Sequence[HipLineTrial]) -> list[StanceFlag]:
    """A flag for each reading further than `SLIP_SDS` from what the others expect; all are counted."""
    if len(trials) < LEAST:
        return []
    y = np.array([t.hip_line_deg for t in trials])
    mean, sd = left_out(fitted, y)
    return [
        StanceFlag(code="slip", where=f"trial {t.trial}", text=_text(t, float(mean[i])))
        for i, t in enumerate(trials)
        if abs(y[i] - mean[i]) > SLIP_SDS.value * sd[i]
    ]


def _text(trial: HipLineTrial, expected: float) -> str:
    times = trial.hip_line_deg / expected if expected else 0.0
    tenfold = ", about ten times as much" if 7.0 <= times <= 14.0 else ""
    return (
        f"Trial {trial.trial} reads {trial.hip_line_deg:.3g} deg where the other trials expect "
        f"{expected:.1f}{tenfold}: check it; it is counted as it stands."
    )
