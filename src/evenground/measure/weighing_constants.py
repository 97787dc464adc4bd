"""Tolerances and unit factors for total force against body weight."""

from evenground.sourced import Sourced

__all__ = [
    "MASS_TOLERANCE",
    "OFFSET_LEAST_N",
    "OFFSET_SPLIT_SD",
    "PERSON_OFF",
    "SHOES_KG",
    "UNIT_FACTORS",
    "UNIT_NEAR",
]

_EXACT = "exact by definition of the units (pound 0.45359237 kg, inch 25.4 mm, standard gravity)"

UNIT_FACTORS = {
    "kilograms were taken for newtons": Sourced(1.0 / 9.80665, "", _EXACT),
    "newtons were taken for kilograms": Sourced(9.80665, "", _EXACT),
    "the mass is in pounds": Sourced(0.45359237, "", _EXACT),
    "the mass is in stones": Sourced(6.35029318, "", _EXACT),
    "pounds-force were taken for newtons": Sourced(1.0 / (0.45359237 * 9.80665), "", _EXACT),
    "newtons were taken for pounds-force": Sourced(0.45359237 * 9.80665, "", _EXACT),
    "newtons a square centimetre were taken for kilopascals or centimetres for millimetres": Sourced(
        0.1, "", _EXACT
    ),
    "kilopascals were taken for newtons a square centimetre": Sourced(10.0, "", _EXACT),
    "pounds a square inch were taken for kilopascals": Sourced(
        0.0254**2 * 1000.0 / (0.45359237 * 9.80665), "", _EXACT
    ),
    "pascals were taken for kilopascals": Sourced(1000.0, "", _EXACT),
    "kilopascals were taken for pascals": Sourced(0.001, "", _EXACT),
}
"""What was mixed up, and force over weight when it was."""

UNIT_NEAR = Sourced(0.12, "", "ours: logarithm of how far a ratio may lie from a unit's factor")
MASS_TOLERANCE = Sourced(0.03, "", "ours: food, drink and clothes over a day, as a share of body weight")
PERSON_OFF = Sourced(0.04, "", "ours: share of body weight off from which a person stands out")
OFFSET_LEAST_N = Sourced(3.0, "N", "ours: smallest offset worth a sentence")
OFFSET_SPLIT_SD = Sourced(0.1, "", "ours: how unevenly an offset may lie under two feet, as a share of it")
SHOES_KG = Sourced(0.8, "kg", "ours: a pair of golf shoes")
