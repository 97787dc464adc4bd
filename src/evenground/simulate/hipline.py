"""Players whose hip line is known at every stance width: drawn from the model's prior, or of other shapes.

Widths in mm between heel centres, angles in deg, + open. A curve is held on a fine grid and interpolated.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from evenground.fit.stance import fit_stance
from evenground.fit.stance_answer import width_windows
from evenground.fit.stance_model import matern52
from evenground.fit.stance_next import first_widths
from evenground.fit.stance_types import StanceFit, StanceOptions
from evenground.visit import FAMILIES, Family, HipLineTrial

__all__ = [
    "SHAPES",
    "HipLinePlayer",
    "Outcome",
    "player_from_prior",
    "player_from_shape",
    "player_never_square",
    "run_series",
    "zero_crossings",
]

FloatArray = NDArray[np.float64]
_GRID_STEP = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HipLinePlayer:
    """An invented player and the truth about them.

    `curve_deg` (G,) on `grid_mm` (G,) is the hip line at trial 0; each later trial adds `drift_deg`; a
    reading adds normal noise of `noise_deg`. `shape` names where the curve came from.
    """

    stature_mm: float
    grid_mm: FloatArray
    curve_deg: FloatArray
    noise_deg: float
    drift_deg: float
    shape: str
    as_arrived_mm: Mapping[Family, float] = field(default_factory=dict)

    def truth_deg(self, width_mm: float, late: float = 0.0) -> float:
        """The hip line at a width and time, without noise."""
        return float(np.interp(width_mm, self.grid_mm, self.curve_deg)) + self.drift_deg * late

    def read(self, trial: int, width_mm: float, rng: np.random.Generator) -> HipLineTrial:
        """One reading."""
        angle = self.truth_deg(width_mm, trial) + self.noise_deg * rng.standard_normal()
        return HipLineTrial(trial=trial, width_mm=width_mm, hip_line_deg=angle)

    def square_somewhere(self, family: Family, margin_deg: float, late: float = 0.0) -> bool:
        """Whether any width in the family's window is square."""
        window = width_windows(self.stature_mm, self.as_arrived_mm)[family]
        held = (self.grid_mm >= window.low_mm) & (self.grid_mm <= window.high_mm)
        return bool((np.abs(self.curve_deg[held] + self.drift_deg * late) <= margin_deg).any())


def _grid(stature_mm: float) -> FloatArray:
    windows = width_windows(stature_mm, {}).values()
    low, high = min(w.low_mm for w in windows), max(w.high_mm for w in windows)
    return np.arange(low - 20.0, high + 20.0 + _GRID_STEP, _GRID_STEP)


def player_from_prior(rng: np.random.Generator, *, drift_sd_deg: float = 0.2) -> HipLinePlayer:
    """A player drawn from the very prior the search assumes, its grids included."""
    stature = float(rng.uniform(1500.0, 1950.0))
    grid = _grid(stature)
    length, amplitude = rng.choice([60.0, 110.0, 180.0]), rng.choice([2.0, 4.0, 7.0])
    cov = amplitude**2 * matern52(grid[:, None] - grid[None, :], length)
    bends = np.linalg.cholesky(cov + 1e-6 * np.eye(len(grid))) @ rng.standard_normal(len(grid))
    off = (grid - 0.23 * stature) / 100.0
    noises = np.array([1.0, 1.5, 2.0, 3.0, 4.5])
    weight = np.exp(-0.5 * (np.log(noises / 2.0) / 0.6) ** 2)
    return HipLinePlayer(
        stature_mm=stature,
        grid_mm=grid,
        curve_deg=5.0 * rng.standard_normal() + 2.0 * rng.standard_normal() * off + bends,
        noise_deg=float(rng.choice(noises, p=weight / weight.sum())),
        drift_deg=float(drift_sd_deg * rng.standard_normal()),
        shape="prior",
    )


def _line(u: FloatArray, rng: np.random.Generator) -> FloatArray:
    """Straight, u from -1 to 1 over the windows."""
    return np.asarray(rng.choice([-1.0, 1.0]) * (u - rng.uniform(-1.4, 1.4)))


def _parabola(u: FloatArray, rng: np.random.Generator) -> FloatArray:
    return np.asarray(rng.choice([-1.0, 1.0]) * ((u - rng.uniform(-0.7, 0.7)) ** 2 - rng.uniform(-0.3, 0.8)))


def _logistic(u: FloatArray, rng: np.random.Generator) -> FloatArray:
    step = 2.0 / (1.0 + np.exp(-rng.uniform(2.5, 7.0) * (u - rng.uniform(-0.7, 0.7)))) - 1.0
    return np.asarray(rng.choice([-1.0, 1.0]) * step + rng.uniform(-0.7, 0.7))


def _sine(u: FloatArray, rng: np.random.Generator) -> FloatArray:
    wave = np.sin(np.pi * rng.uniform(0.6, 1.4) * u + rng.uniform(0.0, 2.0 * np.pi))
    return np.asarray(wave + rng.uniform(-0.8, 0.8))


def _kinked(u: FloatArray, rng: np.random.Generator) -> FloatArray:
    """Flat up to a width, then bending away: a joint that runs out of room."""
    kink, side = rng.uniform(-0.6, 0.6), rng.choice([-1.0, 1.0])
    return np.asarray(
        rng.choice([-1.0, 1.0]) * np.maximum(side * (u - kink), 0.0) * 1.4 + rng.uniform(-0.9, 0.9)
    )


def _pieces(u: FloatArray, rng: np.random.Generator) -> FloatArray:
    """Straight pieces between five corners."""
    return np.asarray(np.interp(u, np.linspace(-1.0, 1.0, 5), rng.uniform(-1.2, 1.2, 5)))


SHAPES: dict[str, Callable[[FloatArray, np.random.Generator], FloatArray]] = {
    "line": _line,
    "parabola": _parabola,
    "logistic": _logistic,
    "sine": _sine,
    "kinked": _kinked,
    "pieces": _pieces,
}
"""Shapes of order one over u, the width from -1 to 1 across all windows; none is drawn from the model."""


def player_from_shape(
    rng: np.random.Generator,
    *,
    noise_deg: float | None = None,
    drift_sd_deg: float = 0.2,
    crossings: int | None = None,
) -> HipLinePlayer:
    """A player whose curve is one of `SHAPES`, scaled to 2.5 to 10 deg, with at most three zero crossings.

    Parameters
    ----------
    rng
        Draws everything.
    noise_deg
        SD of a reading; drawn from 1 to 3.5 when None.
    drift_sd_deg
        SD of the drift over players, deg a trial.
    crossings
        Exact number of zero crossings inside the windows, when wanted.
    """
    names = tuple(SHAPES)
    while True:
        stature = float(rng.uniform(1500.0, 1950.0))
        grid = _grid(stature)
        u = (grid - grid.mean()) / (0.5 * (grid[-1] - grid[0]))
        shape = names[rng.integers(len(names))]
        curve = rng.uniform(2.5, 10.0) * SHAPES[shape](u, rng)
        found = zero_crossings(curve)
        if found <= 3 and crossings in (None, found):
            break
    return HipLinePlayer(
        stature_mm=stature,
        grid_mm=grid,
        curve_deg=curve,
        noise_deg=float(rng.uniform(1.0, 3.5)) if noise_deg is None else noise_deg,
        drift_deg=float(drift_sd_deg * rng.standard_normal()),
        shape=shape,
    )


def player_never_square(
    rng: np.random.Generator, *, margin_deg: float = 2.0, noise_deg: float | None = None
) -> HipLinePlayer:
    """A player whose curve stays outside the margin at every width, by anything from 0.2 deg up, no drift."""
    base = player_from_shape(rng, noise_deg=noise_deg, drift_sd_deg=0.0)
    lift = margin_deg + rng.uniform(0.2, 4.0) - float(base.curve_deg.min())
    side = 1.0 if rng.random() < 0.5 else -1.0
    return HipLinePlayer(
        stature_mm=base.stature_mm,
        grid_mm=base.grid_mm,
        curve_deg=side * (base.curve_deg + lift),
        noise_deg=base.noise_deg,
        drift_deg=0.0,
        shape=f"never square, {base.shape}",
    )


def zero_crossings(curve_deg: FloatArray) -> int:
    """How often a curve changes sign."""
    signs = np.sign(curve_deg[curve_deg != 0.0])
    return int((signs[1:] != signs[:-1]).sum())


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """A series at its stop: the fit, the trials, and what is true at the middle of the series.

    `truly_square` says for each family whether the best width is square in truth, `ever_square` whether any
    width in its window is.
    """

    fit: StanceFit
    trials: tuple[HipLineTrial, ...]
    truly_square: Mapping[Family, bool]
    ever_square: Mapping[Family, bool]


def run_series(player: HipLinePlayer, *, options: StanceOptions, rng: np.random.Generator) -> Outcome:
    """Take one player through a whole series as the tool would lead it, to its stop.

    Three first widths, then whatever is proposed next, until `stop.done`; the default budget ends it.
    """
    firsts = first_widths(player.stature_mm, step_mm=options.step_mm, rng=rng)
    trials = [player.read(i + 1, w, rng) for i, w in enumerate(firsts)]
    while True:
        fit = fit_stance(
            trials,
            options=options,
            stature_mm=player.stature_mm,
            as_arrived_mm=player.as_arrived_mm,
            rng=rng,
        )
        if fit.next is None:
            break
        trials.append(player.read(len(trials) + 1, fit.next.width_mm, rng))
    late = (len(trials) + 1) / 2.0
    margin = options.margin_deg
    return Outcome(
        fit=fit,
        trials=tuple(trials),
        truly_square={
            f: abs(player.truth_deg(fit.families[f].best_width_mm, late)) <= margin for f in FAMILIES
        },
        ever_square={f: player.square_somewhere(f, margin, late) for f in FAMILIES},
    )
