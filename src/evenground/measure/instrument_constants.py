"""Limits of the instrument checks, each with its source."""

from evenground.sourced import Sourced

__all__ = [
    "BAD_CELLS_MAX",
    "BAR_LIMIT_DEG",
    "CREEP_LIMIT_MM",
    "DEAD_WEIGHT_MIN_KG",
    "FILL_ERROR",
    "FLOOR_TIMES",
    "FORCE_LIMIT",
    "GAIN_SPREAD_LIMIT",
    "LINEARITY_LIMIT",
    "NOISE_DRIFT_LIMIT",
    "PRINT_LIMIT",
    "READS_RIGHT",
]

FILL_ERROR = Sourced(
    0.03, "1/mm", "ours, from simulated feet: error of a filled cell as a share of its load, a mm of pitch"
)
FLOOR_TIMES = Sourced(3.0, "", "ours: sway under so many floors of a dead weight is the mat's")
DEAD_WEIGHT_MIN_KG = Sourced(20.0, "kg", "ours: a lighter weight says little of a mat under a player")
CREEP_LIMIT_MM = Sourced(2.0, "mm", "ours: a weight that lies still may seem to wander this far")
FORCE_LIMIT = Sourced(0.05, "", "ours: share by which a known weight may read wrong")
BAD_CELLS_MAX = Sourced(0.01, "", "ours: share of cells that may be dead, stuck, noisy or drifting")
NOISE_DRIFT_LIMIT = Sourced(1.0, "", "ours: a minute's drift of all cells, in SD of one cell's noise")
GAIN_SPREAD_LIMIT = Sourced(0.10, "", "ours: furthest that a place may read from the mean of all places")
LINEARITY_LIMIT = Sourced(0.05, "", "ours: change of gain from the lightest to the heaviest weight")
BAR_LIMIT_DEG = Sourced(1.0, "deg", "ours: half of the 2 deg that count as square")
READS_RIGHT = Sourced(0.02, "", "ours: share within which a known weight vouches for a player's weight")
PRINT_LIMIT = Sourced(0.02, "", "ours: a print further off was fitted to the page, not drawn at scale")
