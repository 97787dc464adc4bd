"""Numbers that scales and force plates stand on, each with its source."""

from evenground.sourced import Sourced

__all__ = ["PLATE_LOAD_SE", "SCALE_PLACE_SE_MM", "SCALE_SE_KG"]

PLATE_LOAD_SE = Sourced(
    0.003, "", "ours: error of one plate's force as a share of body weight, gain and offset"
)
SCALE_SE_KG = Sourced(0.7, "kg", "ours: error of one reading of a bathroom scale under a swaying player")
SCALE_PLACE_SE_MM = Sourced(5.0, "mm", "ours: how well a foot's middle stands over a scale's typed place")
