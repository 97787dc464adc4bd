"""Segment tables and centres of mass against the published tables and worked examples."""

import csv
from pathlib import Path

import numpy as np
import pytest

from evenground.body.segments import MODELS, ModelName, Segment, centre_of_mass, load_shift_mm

# A golfer at address, both sides superposed, metres; origin under the ankle, x toward the ball. Worked
# numbers computed for our sheet of check values, section 3.4, from Winter's and de Leva's tables (rows bsp-3
# to bsp-7).
GOLFER = {
    "heel": (-0.055, 0.0),
    "toe_tip": (0.215, 0.0),
    "metatarsal": (0.150, 0.020),
    "ankle": (0.0, 0.070),
    "knee": (0.030, 0.510),
    "hip": (-0.120, 0.925),
    "shoulder": (0.210, 1.335),
    "elbow": (0.225, 1.000),
    "wrist": (0.255, 0.740),
    "cervicale": (0.240, 1.400),
    "vertex": (0.400, 1.600),
    "fingertip": (0.285, 0.560),
}


def golfer() -> dict[str, np.ndarray]:
    return {name: np.array(at) for name, at in GOLFER.items()}


@pytest.mark.parametrize(
    ("model", "x_m", "y_m", "foot_percent"),
    [("winter", 0.072202, 0.973913, 47.11), ("de leva men", 0.061115, 0.947397, 43.01)],
)
def test_golfers_centre_of_mass_is_the_worked_one(
    model: ModelName, x_m: float, y_m: float, foot_percent: float
) -> None:
    at = centre_of_mass(golfer(), MODELS[model]).at
    assert at == pytest.approx([x_m, y_m], abs=1e-5)
    assert 100.0 * (at[0] + 0.055) / 0.270 == pytest.approx(foot_percent, abs=0.01)


def test_lower_limb_of_winters_example() -> None:
    # Winter's limb, coordinates in cm: foot (93.00, 6.15), leg (85.75, 35.89), thigh (78.29, 76.39), whole
    # limb (81.77, 58.37). An open university notebook prints the same to its three decimals of a metre.
    limb = {"metatarsal": (101.1, 1.3), "ankle": (84.9, 11.0), "knee": (86.4, 54.9), "hip": (72.1, 92.8)}
    legs = {s.name: s for s in MODELS["winter"].segments if s.name in {"foot", "leg", "thigh"}}
    parts = {
        name: np.array(limb[s.first]) + s.centre_fraction * (np.array(limb[s.last]) - np.array(limb[s.first]))
        for name, s in legs.items()
    }
    assert parts["foot"] == pytest.approx([93.00, 6.15], abs=0.01)
    assert parts["leg"] == pytest.approx([85.75, 35.89], abs=0.01)
    assert parts["thigh"] == pytest.approx([78.29, 76.39], abs=0.01)
    mass = {name: s.mass_fraction for name, s in legs.items()}
    whole = sum(mass[n] * parts[n] for n in mass) / sum(mass.values())
    assert whole == pytest.approx([81.771, 58.367], abs=1e-3)


@pytest.mark.parametrize(
    ("model", "sum_"), [("winter", 1.0), ("de leva men", 1.0), ("de leva women", 0.9999)]
)
def test_mass_fractions_add_up_as_published(model: ModelName, sum_: float) -> None:
    assert sum(s.mass_fraction * s.sides(()) for s in MODELS[model].segments) == pytest.approx(sum_, abs=1e-9)


@pytest.mark.parametrize(
    ("load_kg", "at_mm", "shift_mm"), [(0.40, 600.0, 2.63), (4.536, 450.0, 20.27), (9.072, 450.0, 38.48)]
)
def test_a_mass_in_the_hands_moves_the_centre_as_worked_out(
    load_kg: float, at_mm: float, shift_mm: float
) -> None:
    assert load_shift_mm(80.0, 72.202, load_kg, at_mm) == pytest.approx(shift_mm, abs=0.01)


@pytest.mark.data
@pytest.mark.parametrize("sex", ["male", "female"])
def test_table_is_the_published_one(data_dir: Path, sex: str) -> None:
    # de Leva 1996 as tabulated in the open repository BMClab/BMC, CC BY 4.0.
    rows = list(csv.DictReader((data_dir / "bsp" / f"deleva_{sex}.csv").read_text("utf-8").splitlines()))
    published = {r["segment"].lower(): (float(r["mass_fraction"]), float(r["cm_fraction"])) for r in rows}
    source = {"head": "head 2", "trunk": "trunk 3", "hand": "hand 2"}  # the end points that a side view shows
    model = MODELS["de leva men" if sex == "male" else "de leva women"]

    def ours(s: Segment) -> tuple[float, float]:
        return s.mass_fraction, s.centre_fraction

    assert {s.name: ours(s) for s in model.segments} == {
        s.name: published[source.get(s.name, s.name)] for s in model.segments
    }
