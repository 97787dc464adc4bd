"""Times of stepping onto the mat, each placed a little anew: as arrived, barefoot, and fitted."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from evenground.measure.recording import MatRecording
from evenground.simulate.mat import StanceTruth, Standing, Swaying, simulate_mat
from evenground.simulate.player_scenario import FootTruth, OwnStance, Scenario
from evenground.visit import Footwear, Placement, StanceTime

__all__ = ["LAYOUT_NAME", "Stood", "ground_truth", "stand"]

LAYOUT_NAME = "mat/grid-layout.toml"

# How placements of one stance differ (invented): SD of width, toe-out, load share, fore-aft offset, shift.
_WIDTH_MM, _TOE_OUT_DEG, _LOAD_PERCENT, _AHEAD_MM, _SHIFT_MM = 6.0, 1.2, 1.5, 3.0, 12.0

_KINDS: tuple[tuple[str, StanceTime, Footwear], ...] = (
    ("as-arrived", "as arrived", "golf shoes"),
    ("barefoot", "as arrived", "barefoot"),
    ("fitted", "fitted", "golf shoes"),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stood:
    """One placement: how it is entered, what the mat recorded, and the truth of that placement."""

    placement: Placement
    recording: MatRecording
    truth: StanceTruth


def ground_truth(rng: np.random.Generator, own: OwnStance, fitted_mm: float) -> Mapping[str, FootTruth]:
    """Average stance of each kind of placement, irons, right-handed: the lead foot is the left one."""
    load = float(rng.normal(50.0, 4.0))
    barefoot_load = load + float(rng.normal(0.0, 1.0))
    turn = (own.toe_out_lead_deg, own.toe_out_trail_deg)
    return {
        "as-arrived": _feet(own.width_mm, turn, load),
        "barefoot": _feet(own.width_mm, (turn[0] - 1.0, turn[1] - 1.0), barefoot_load),
        "fitted": _feet(fitted_mm, turn, load + 0.5 * (50.0 - load)),
    }


def _feet(width_mm: float, toe_out_deg: tuple[float, float], load_percent: float) -> FootTruth:
    return FootTruth(
        width_mm=width_mm,
        toe_out_left_deg=toe_out_deg[0],
        toe_out_right_deg=toe_out_deg[1],
        load_left_percent=load_percent,
    )


def stand(
    rng: np.random.Generator,
    truth: Mapping[str, FootTruth],
    scenario: Scenario,
    *,
    shoe_mm: float,
    foot_mm: float,
    mass_kg: float,
) -> tuple[Stood, ...]:
    """Every placement of the visit.

    Parameters
    ----------
    rng
        Draws placements, sway and the mat's noise.
    truth
        Average stance by kind.
    scenario
        Number, length and rate of the placements, the mat, and whether the last one is a text grid.
    shoe_mm, foot_mm, mass_kg
        What stands on the mat.
    """
    stood = []
    for kind, stance, footwear in _KINDS:
        for number in range(1, scenario.placements + 1):
            shod = footwear == "golf shoes"
            standing = _placed(rng, truth[kind], scenario, shoe_mm if shod else foot_mm, mass_kg, shod=shod)
            grid = scenario.text_grid and kind == "fitted" and number == scenario.placements
            name = f"mat/{kind}-{number}.{'txt' if grid else 'parquet'}"
            swaying = Swaying(duration_s=scenario.placement_s, rate_hz=scenario.rate_hz)
            made = simulate_mat(standing, scenario.mat, swaying, rng=rng, name=name)
            placement = Placement(
                recording=name,
                footwear=footwear,
                stance=stance,
                layout=LAYOUT_NAME if grid else None,
                family="irons",
            )
            stood.append(Stood(placement=placement, recording=made.recording, truth=made.truth))
    return tuple(stood)


def _placed(
    rng: np.random.Generator,
    truth: FootTruth,
    scenario: Scenario,
    length_mm: float,
    mass_kg: float,
    *,
    shod: bool,
) -> Standing:
    width, left, right, load, ahead, shift_x, shift_y = rng.standard_normal(7)
    return Standing(
        width_mm=truth.width_mm + _WIDTH_MM * width,
        left_ahead_mm=_AHEAD_MM * ahead,
        toe_out_left_deg=truth.toe_out_left_deg + _TOE_OUT_DEG * left,
        toe_out_right_deg=truth.toe_out_right_deg + _TOE_OUT_DEG * right,
        load_left_percent=truth.load_left_percent + _LOAD_PERCENT * load,
        foot_length_mm=length_mm,
        mass_kg=mass_kg,
        shod=shod,
        stance_turned_deg=scenario.stance_turned_deg,
        shift_mm=(_SHIFT_MM * shift_x, _SHIFT_MM * shift_y),
    )
