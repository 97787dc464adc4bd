"""A least turn as a second condition on the stance width: how much this player turns at each width."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from evenground.errors import FitError
from evenground.measure.turn import TURN_SD_DEG
from evenground.sourced import Sourced
from evenground.visit import TurnReading

__all__ = ["TURN_SLOPE_SD", "TooFewTurnsError", "TurnLine", "turn_line"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

TURN_SLOPE_SD = Sourced(
    5.0, "deg/100 mm", "ours, prior of how turn goes with stance width; the two signs are as likely"
)
LEAST = 2


class TooFewTurnsError(FitError):
    """A least turn is asked for and too few turns say at which width they were made."""

    do = "Turn twice or more to that side, at two stance widths, or switch the least turn off."

    def __init__(self, count: int, toward: str) -> None:
        super().__init__(count, toward)
        self.where = f"turn to the {toward} side"
        self.what = (
            f"A least turn is asked for, and {count} turn{' says' if count == 1 else 's say'} at which "
            "stance width it was made."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnLine:
    """Turn against width: a straight line, `mean` (2,) and `cov` (2, 2) of level and slope at `centre_mm`."""

    centre_mm: float
    mean: FloatArray
    cov: FloatArray
    at_least_deg: float

    def _basis(self, width_mm: FloatArray) -> FloatArray:
        return np.column_stack([np.ones(len(width_mm)), (width_mm - self.centre_mm) / 100.0])

    def chance(self, width_mm: FloatArray) -> FloatArray:
        """(W,) chance that the average turn at each width is at least what is asked for."""
        basis = self._basis(width_mm)
        sd = np.sqrt(np.einsum("wi,ij,wj->w", basis, self.cov, basis))
        return np.asarray(ndtr((basis @ self.mean - self.at_least_deg) / sd))

    def draws(self, width_mm: FloatArray, count: int, rng: np.random.Generator) -> BoolArray:
        """(count, W) whether lines drawn from the posterior leave turn enough at each width."""
        lines = rng.multivariate_normal(self.mean, self.cov, size=count)
        return np.asarray(lines @ self._basis(width_mm).T >= self.at_least_deg)


def turn_line(
    turns: Sequence[TurnReading],
    *,
    at_least_deg: float,
    toward: Literal["lead", "trail"],
    known_sd_deg: float | None = None,
) -> TurnLine:
    """How the trunk's turn to one side goes with the stance width.

    Parameters
    ----------
    turns
        Of the visit; counted are those of the trunk to that side that say their width and that pain did not
        stop.
    at_least_deg
        The turn that the teacher asks for.
    toward
        To which side.
    known_sd_deg
        The studio's SD of one turn; None takes the published one.

    Raises
    ------
    TooFewTurnsError
        With fewer than two such turns.

    Notes
    -----
    Normal linear model with known noise: any level, slope N(0, 5 deg per 100 mm) (ours). Posterior:
    precision X'X / s^2 + prior, mean cov X'y / s^2 (Rasmussen & Williams 2006, eq. 2.8). Beyond the widths
    that were tried the slope's error makes the chance approach one half, not a certainty.
    """
    own = [
        t
        for t in turns
        if t.part == "trunk" and t.toward == toward and t.width_mm is not None and not t.stopped_by_pain
    ]
    if len(own) < LEAST:
        raise TooFewTurnsError(len(own), toward)
    width = np.array([t.width_mm for t in own], dtype=float)
    centre = float(width.mean())
    basis = np.column_stack([np.ones(len(own)), (width - centre) / 100.0])
    sd = TURN_SD_DEG.value if known_sd_deg is None else known_sd_deg
    precision = basis.T @ basis / sd**2 + np.diag([0.0, TURN_SLOPE_SD.value**-2.0])
    cov = np.asarray(np.linalg.inv(precision), dtype=float)
    mean = cov @ (basis.T @ np.array([t.turn_deg for t in own])) / sd**2
    return TurnLine(centre_mm=centre, mean=mean, cov=cov, at_least_deg=at_least_deg)
