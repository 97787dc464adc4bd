"""What a mat's values show of its pitch, its unit and how it lay, read off the feet on it."""

from typing import Any

from evenground.capture.guess_words import Said
from evenground.capture.layout import Layout
from evenground.measure.direction import Lie
from evenground.measure.ground_constants import STANDARD_GRAVITY
from evenground.measure.recording import FloatArray

__all__ = ["direction_of", "pitch_of", "unit_of"]

FOOT_MM = 258.7
"""A usual foot: half-way between the means of men (271.2 mm) and women (246.3 mm) of ANSUR II, 2012."""

_LIKELY_FORCE_N = (300.0, 1500.0)
_MASS_TOLERANCE = 0.15
_UNITS = ("kPa", "N/cm2", "psi", "N")


def pitch_of(lie: Lie | None, said: Said, stated: tuple[float, float] | None) -> tuple[list[float], str, str]:
    """Pitch in mm, why, and how far to trust it."""
    if stated is not None:
        return list(stated), "as you gave it", "read"
    if said.pitch_mm is not None:
        words = " ".join(said.pitch_mm[1].split())
        return said.pitch_mm[0], f'the file says "{words}"', "read"
    if lie is None:
        return [8.0, 8.0], "no two feet are seen to measure it by; take it from the mat's data sheet", "check"
    pitch = round(2.0 * FOOT_MM / lie.foot_rows) / 2.0
    why = (
        f"the longer foot covers {lie.foot_rows:.0f} cells, as a usual foot does at about this pitch; "
        "take the exact figure from the mat's data sheet"
    )
    return [max(pitch, 1.0), max(pitch, 1.0)], why, "check"


def unit_of(
    mean: FloatArray,
    pitch: list[float],
    said: Said,
    stated: tuple[str | None, float | None],
    *,
    whole: bool,
) -> tuple[str, str, str]:
    """Unit, why, and how far to trust it; `stated` is a unit and a mass in kg where they are known."""
    unit, mass_kg = stated
    if unit is not None:
        return unit, "as you gave it", "read"
    if said.unit is not None:
        return said.unit[0], f'the file says "{said.unit[1]}"', "read"
    forces = {unit: _force_n(mean, unit, pitch) for unit in _UNITS}
    if mass_kg is not None:
        weight = mass_kg * float(STANDARD_GRAVITY)
        near = [u for u, f in forces.items() if abs(f / weight - 1.0) < _MASS_TOLERANCE]
        if len(near) == 1:
            return near[0], f"in this unit the feet press with {forces[near[0]]:.0f} N", "likely"
    if whole and float(mean.max()) > 5.0:
        return "counts", "all values are whole numbers, as raw counts are; load shares need no more", "check"
    likely = [u for u, f in forces.items() if _LIKELY_FORCE_N[0] <= f <= _LIKELY_FORCE_N[1]]
    if likely:
        said_force = f"in this unit the feet press with {forces[likely[0]]:.0f} N, as a person does"
        return likely[0], said_force, "check" if len(likely) > 1 else "likely"
    return "counts", "in no unit of pressure do the feet press as a person does", "check"


def _force_n(mean: FloatArray, unit: str, pitch: list[float]) -> float:
    """Force of the mean map, its unloaded floor left out."""
    layout = Layout.model_validate(
        {
            "rows": max(mean.shape[0], 2),
            "columns": max(mean.shape[1], 2),
            "pitch_mm": pitch,
            "unit": unit,
            "first_row": "heel",
            "first_column": "left",
        }
    )
    loaded = mean[mean > 0.1 * float(mean.max())]
    return float(loaded.sum()) * layout.factor * pitch[0] * pitch[1] / 1000.0


def direction_of(lie: Lie | None) -> list[tuple[str, Any, str, str]]:
    """First row, first column and turn, each with why and how far to trust it.

    `lie` is of the file read with its first row at the toes and its first column at the left: a picture
    seen from above.
    """
    sides = (
        "taken as a picture seen from above; two feet and their mirror image look alike, so have the player "
        "lean on the left foot and see which one darkens"
    )
    if lie is None:
        unseen = "no two feet are seen; look at the picture and turn it"
        return [("first_row", "toe", unseen, "check"), ("first_column", "left", sides, "check")]
    broader = f"the feet are {100.0 * lie.broader:.0f} % broader at that end than at the other"
    trust = "likely" if lie.clear else "check"
    if lie.turn_deg in (0, 180):
        ends = ("toe", "left") if lie.turn_deg == 0 else ("heel", "right")
        return [("first_row", ends[0], f"toes are told by breadth: {broader}", trust),
                ("first_column", ends[1], sides, "check")]  # fmt: skip
    return [
        ("first_row", "toe", "as the picture stands before it is turned", trust),
        ("first_column", "left", sides, "check"),
        ("turned_deg", float(lie.turn_deg), f"the feet lie across; {broader}", trust),
    ]
