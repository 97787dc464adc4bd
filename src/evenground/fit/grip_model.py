"""The studio's own model of what diameter a hand wants, fitted to the grips its players kept.

The default model is ours and nobody measured it. A studio that writes down which diameter each confirmed grip
has can fit its own: the same straight lines, drawn toward the default as long as there is little to go by,
and judged by how far they miss a player who was left out.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
import numpy.typing as npt

from evenground.errors import FitError
from evenground.estimate import Estimate
from evenground.fit.grip import DEFAULT_MODEL
from evenground.fit.grip_constants import (
    FEWEST_HANDS,
    FEWEST_PLAYERS,
    REFERENCE_FINGER_MM,
    REFERENCE_HAND_MM,
    SLOPE_SE_SHARE,
    TAPER_SE_MM,
    WANTED_SE_MM,
)
from evenground.visit import StudioGripModel

__all__ = ["ConfirmedFit", "GripModelFit", "TooFewFitsError", "fit_grip_model"]

FloatArray: TypeAlias = npt.NDArray[np.float64]

ROUNDS = 50  # the noise settles to 1e-6 within ten
_FREE_SE_MM = 100.0  # the level is the studio's own: the default does not hold it


class TooFewFitsError(FitError):
    """Too few confirmed grips to fit a model of one's own."""

    do = "Go on with the default model, and note every confirmed grip."

    def __init__(self, hands: int, players: int, least_hands: int, least_players: int) -> None:
        super().__init__(hands, players, least_hands, least_players)
        self.what = (
            f"There are too few to fit a model to (hands: {hands}, players: {players}): at least "
            f"{least_hands} hands of {least_players} players are needed."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ConfirmedFit:
    """One hand of one player, and the diameter under it on a grip that the player kept."""

    player: str
    hand: Literal["upper", "lower"]
    length_mm: float
    finger_mm: float
    diameter_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GripModelFit:
    """A studio's model, beside the default on the same players.

    `left_out_mm` is the root mean square by which players who were left out are missed, `default_mm` the same
    for the default model (which was fitted to none of them); `better` says which is smaller. The estimates
    carry the fit's own errors.
    """

    model: StudioGripModel
    at_reference_mm: Estimate
    hand_slope: Estimate
    finger_slope: Estimate
    taper_mm: Estimate
    left_out_mm: float
    default_mm: float
    better: bool
    notes: tuple[str, ...]


def fit_grip_model(fits: Sequence[ConfirmedFit]) -> GripModelFit:
    """Fit the studio's own model of wanted diameters.

    Parameters
    ----------
    fits
        Hands with the diameter that each player kept; both hands of a player count as one player.

    Raises
    ------
    TooFewFitsError
        If there are fewer than 12 hands or 8 players.

    Notes
    -----
    Least squares with a normal prior about the default: slopes within their own size, taper within 0.6 mm,
    level free. Source: Bayesian linear regression, any text, such as Rasmussen & Williams 2006, 2.1. The
    noise is the residuals' with as many degrees of freedom as the prior leaves, by fixed point. Leaving a
    player out needs no new fit: with H the hat matrix and i the player's hands, the residuals left out are
    ``(1 - H_ii)^-1 e_i`` (Allen 1974, Technometrics 16:125-127, for one row; the block form is the same
    algebra).
    """
    players = list(dict.fromkeys(f.player for f in fits))
    least_hands, least_players = int(FEWEST_HANDS.value), int(FEWEST_PLAYERS.value)
    if len(fits) < least_hands or len(players) < least_players:
        raise TooFewFitsError(len(fits), len(players), least_hands, least_players)
    rows = _rows(fits)
    seen = np.array([f.diameter_mm for f in fits])
    start = _default_numbers()
    off = seen - rows @ start
    shift, after, hat = _fitted(rows, off)
    fitted = start + shift
    missed = _left_out(hat, off - rows @ shift, [f.player for f in fits])
    left_out, default = _rms(missed), _rms(off)
    model = StudioGripModel(
        at_reference_mm=float(fitted[0]),
        hand_slope=float(fitted[1]),
        finger_slope=float(fitted[2]),
        taper_mm=float(fitted[3]),
        se_mm=max(left_out, WANTED_SE_MM.value),
        hands=len(fits),
        players=len(players),
    )
    numbers = [
        Estimate(value=float(v), se=float(se), dof=len(players) - 1, n=len(fits), unit=unit)
        for v, se, unit in zip(fitted, np.sqrt(np.diag(after)), ("mm", "mm/mm", "mm/mm", "mm"), strict=True)
    ]
    return GripModelFit(
        model=model,
        at_reference_mm=numbers[0],
        hand_slope=numbers[1],
        finger_slope=numbers[2],
        taper_mm=numbers[3],
        left_out_mm=left_out,
        default_mm=default,
        better=left_out < default,
        notes=_notes(left_out, default),
    )


def _rows(fits: Sequence[ConfirmedFit]) -> FloatArray:
    """(N, 4): level, hand, finger, and minus one for a lower hand's taper."""
    return np.array(
        [
            [
                1.0,
                f.length_mm - REFERENCE_HAND_MM.value,
                f.finger_mm - REFERENCE_FINGER_MM.value,
                -1.0 if f.hand == "lower" else 0.0,
            ]
            for f in fits
        ]
    )


def _default_numbers() -> FloatArray:
    m = DEFAULT_MODEL
    return np.array([m.at_reference_mm, m.hand_slope, m.finger_slope, m.taper_mm])


def _prior_se() -> FloatArray:
    share, m = SLOPE_SE_SHARE.value, DEFAULT_MODEL
    return np.array([_FREE_SE_MM, share * m.hand_slope, share * m.finger_slope, TAPER_SE_MM.value])


def _fitted(rows: FloatArray, off: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Shift from the default, its covariance, and the hat matrix (N, N)."""
    precision = np.diag(1.0 / _prior_se() ** 2)
    variance = float(np.var(off)) + 1e-4
    for _ in range(ROUNDS):
        after = np.asarray(np.linalg.inv(rows.T @ rows / variance + precision), dtype=np.float64)
        shift = after @ (rows.T @ off) / variance
        left = off - rows @ shift
        used = float(np.trace(after @ (rows.T @ rows))) / variance
        variance = max(float(left @ left) / (len(off) - used), 1e-4)
    after = np.asarray(np.linalg.inv(rows.T @ rows / variance + precision), dtype=np.float64)
    return after @ (rows.T @ off) / variance, after, rows @ after @ rows.T / variance


def _left_out(hat: FloatArray, residuals: FloatArray, players: Sequence[str]) -> FloatArray:
    """(N,) residuals of each player's hands with that player left out of the fit."""
    names = np.array(players)
    missed = np.empty_like(residuals)
    for player in dict.fromkeys(players):
        own = np.flatnonzero(names == player)
        block = np.eye(len(own)) - hat[np.ix_(own, own)]
        missed[own] = np.linalg.solve(block, residuals[own])
    return missed


def _rms(values: FloatArray) -> float:
    return math.sqrt(float(np.mean(np.square(values))))


def _notes(left_out: float, default: float) -> tuple[str, ...]:
    said = f"It misses a player who was left out by {left_out:.2f} mm, the default model by {default:.2f} mm"
    if left_out < default:
        return (f"{said}: use your own.",)
    return (f"{said}: keep the default for now.",)
