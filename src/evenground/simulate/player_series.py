"""A player's hip-line trials as the protocol runs them: three widths a family, then what the search proposes.

The feet are set anew for each trial and never land quite where they should; the series closes on its first
width, and three fresh placements of the chosen width stand between three as arrived.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenground.fit.stance import fit_stance
from evenground.fit.stance_answer import width_windows
from evenground.fit.stance_confirm import confirmation_order
from evenground.fit.stance_types import StanceFit, StanceOptions, WidthWindow
from evenground.simulate.hipline import SHAPES, HipLinePlayer
from evenground.simulate.player_scenario import CurveShape
from evenground.visit import FAMILIES, Family, HipLineTrial

__all__ = ["Series", "hip_line_players", "hip_line_series"]

FloatArray = NDArray[np.float64]
_FEET_SET_MM = 3.0  # SD of where the heels land against the tape (invented)
_HEEL_LINE_DEG = 0.5  # SD of the heel line of one placement (invented)
_STEP_MM = 10.0
_OWN_TRIALS: tuple[Family, ...] = ("irons", "putter")


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """Trials in their order, and what the search had found when it stopped."""

    trials: tuple[HipLineTrial, ...]
    fit: StanceFit


def hip_line_players(
    rng: np.random.Generator,
    *,
    stature_mm: float,
    as_arrived_mm: Mapping[Family, float],
    shape: CurveShape,
    noise_deg: float,
    drift_sd_deg: float,
) -> dict[Family, HipLinePlayer]:
    """One player's curve for each family: one shape, moved and tilted a little from family to family."""
    windows = width_windows(stature_mm, as_arrived_mm).values()
    low, high = min(w.low_mm for w in windows) - 40.0, max(w.high_mm for w in windows) + 40.0
    grid = np.arange(low, high + 2.0, 2.0)
    u = (grid - grid.mean()) / (0.5 * (grid[-1] - grid[0]))
    name = _shape_name(rng, shape)
    curve = rng.uniform(4.0, 9.0) * SHAPES[name](u, rng)
    if shape == "never square":
        curve = curve - curve.min() + rng.uniform(3.0, 6.0)
    drift = float(drift_sd_deg * rng.standard_normal())
    moved = {f: float(rng.normal(0.0, 0.5)) + float(rng.normal(0.0, 0.4)) * u for f in FAMILIES}
    return {
        family: HipLinePlayer(
            stature_mm=stature_mm,
            grid_mm=grid,
            curve_deg=np.asarray(curve + moved[family]),
            noise_deg=noise_deg,
            drift_deg=drift,
            shape=f"never square, {name}" if shape == "never square" else name,
            as_arrived_mm=as_arrived_mm,
        )
        for family in FAMILIES
    }


def _shape_name(rng: np.random.Generator, shape: CurveShape) -> str:
    names = tuple(SHAPES)
    drawn = names[rng.integers(len(names))]
    return shape if shape in SHAPES else drawn


def hip_line_series(
    players: Mapping[Family, HipLinePlayer],
    *,
    options: StanceOptions,
    turned_deg: float,
    confirm: bool,
    rng: np.random.Generator,
) -> Series:
    """Irons and putter with trials of their own, woods without; then the confirmation.

    Parameters
    ----------
    players
        One curve a family, all of one player.
    options
        Margin and budget of the search.
    turned_deg
        How far open the whole stance stands; moves the hip line and the heel line alike.
    confirm
        Whether the chosen widths of irons and putter are confirmed, where there is one.
    rng
        Draws where the feet land, the noise, the order, and the search's own choices.
    """
    bench = _Bench(players=players, turned_deg=turned_deg, rng=rng)
    irons = players["irons"]
    windows = width_windows(irons.stature_mm, irons.as_arrived_mm)
    trials: list[HipLineTrial] = []
    for family in _OWN_TRIALS:
        trials += [
            bench.read(len(trials) + i, w, family) for i, w in enumerate(_firsts(windows[family], rng), 1)
        ]
    fit = _fitted(trials, irons, options, rng)
    while fit.next is not None:
        trials.append(bench.read(len(trials) + 1, fit.next.width_mm, fit.next.family or "irons"))
        fit = _fitted(trials, irons, options, rng)
    for family in _OWN_TRIALS if confirm else ():
        trials += _confirming(bench, fit, family, len(trials))
    return Series(trials=tuple(trials), fit=fit)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bench:
    """Sets the feet, reads the bar."""

    players: Mapping[Family, HipLinePlayer]
    turned_deg: float
    rng: np.random.Generator

    def read(self, trial: int, width_mm: float, family: Family, *, confirms: bool = False) -> HipLineTrial:
        landed = width_mm + _FEET_SET_MM * self.rng.standard_normal()
        read = self.players[family].read(trial, landed, self.rng).hip_line_deg
        heels = self.turned_deg + _HEEL_LINE_DEG * self.rng.standard_normal()
        return HipLineTrial(
            trial=trial,
            width_mm=width_mm,
            hip_line_deg=round(read + heels, 1),
            heel_line_deg=round(heels, 1),
            family=family,
            confirms=confirms,
        )


def _fitted(
    trials: list[HipLineTrial], player: HipLinePlayer, options: StanceOptions, rng: np.random.Generator
) -> StanceFit:
    return fit_stance(
        trials,
        options=options,
        stature_mm=player.stature_mm,
        as_arrived_mm=player.as_arrived_mm,
        rng=rng,
    )


def _firsts(window: WidthWindow, rng: np.random.Generator) -> list[float]:
    """Low, middle and high in a family's own window, in random order."""
    thirds = window.low_mm + (window.high_mm - window.low_mm) * np.array([1.0, 3.0, 5.0]) / 6.0
    return [float(w) for w in rng.permutation(np.round(thirds / _STEP_MM) * _STEP_MM)]


def _confirming(bench: _Bench, fit: StanceFit, family: Family, taken: int) -> list[HipLineTrial]:
    """Six placements, the chosen width among as arrived; none when no width was chosen."""
    answer, own = fit.families[family], bench.players[family].as_arrived_mm[family]
    if answer.width_mm is None:
        return []
    widths = {"chosen": answer.best_width_mm, "as arrived": own}
    order = confirmation_order(bench.rng)
    return [bench.read(taken + i, widths[which], family, confirms=True) for i, which in enumerate(order, 1)]
