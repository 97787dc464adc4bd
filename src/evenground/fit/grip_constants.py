"""Numbers of the grip and club parts, each with its source; *common practice* has none."""

from evenground.sourced import Sourced

__all__ = [
    "BORE_SE_MM",
    "BUTT_SE_MM",
    "CLUB_LONGEST_MM",
    "CLUB_SHORTEST_MM",
    "D0_INCH_OUNCES",
    "FINGER_SLOPE",
    "FULCRUM_MM",
    "GRAM_OUNCES",
    "GRIP_SHORTEST_MM",
    "GRIP_WIDEST_MM",
    "HAND_SE_MM",
    "HAND_SLOPE",
    "MOULD_SE_MM",
    "POINT_INCH_OUNCES",
    "PROFILE_STEP_MM",
    "PROFILE_TOLERANCE_MM",
    "PUTTER_STEEPEST_LIE_DEG",
    "REFERENCE_DIAMETER_MM",
    "REFERENCE_FINGER_MM",
    "REFERENCE_HAND_MM",
    "STANDARD_GRAVITY",
    "SURVEY_LONGEST_HAND_MM",
    "SURVEY_SHORTEST_HAND_MM",
    "TAPE_SE_SHARE",
    "USUAL_TAPER_MM",
    "WANTED_SE_MM",
]

_ANSUR = "ANSUR II (Gordon et al. 2014, NATICK/TR-15/007), recomputed from the public file"
_RULES = "Equipment Rules (The R&A and USGA), Part 2"

# What a hand asks for.
REFERENCE_DIAMETER_MM = Sourced(22.86, "mm", "common practice, no source: 0.900 in at 2 in below the cap")
REFERENCE_HAND_MM = Sourced(193.3, "mm", f"{_ANSUR}: mean hand length, men")
REFERENCE_FINGER_MM = Sourced(76.8, "mm", f"{_ANSUR}: mean hand length less palm length, men")
HAND_SLOPE = Sourced(0.028, "mm/mm", "ours: default model, no published optimum for holding a club exists")
FINGER_SLOPE = Sourced(0.070, "mm/mm", "ours: default model, no published optimum for holding a club exists")
USUAL_TAPER_MM = Sourced(1.8, "mm", "common practice, no source: 1.5 to 2.0 mm on ordinary grips")
WANTED_SE_MM = Sourced(0.4, "mm", "ours: one step of 1/64 in, the finest that fitting by hand tells apart")
HAND_SE_MM = Sourced(1.5, "mm", "ours: a hand measured once with a rule")
SURVEY_SHORTEST_HAND_MM = Sourced(165.0, "mm", f"{_ANSUR}: 5th percentile of women")
SURVEY_LONGEST_HAND_MM = Sourced(210.0, "mm", f"{_ANSUR}: 95th percentile of men")

# What a build is made of.
TAPE_SE_SHARE = Sourced(0.10, "", "ours: tape thickness, wrapped, per layer")
BUTT_SE_MM = Sourced(0.05, "mm", "ours: a calliper on a shaft")
MOULD_SE_MM = Sourced(0.15, "mm", "ours: outside of a moulded grip against its stated profile")
BORE_SE_MM = Sourced(0.10, "mm", "ours: bore of a moulded grip against its stated core")
PROFILE_STEP_MM = Sourced(2.0, "mm", "ours: spacing at which a built profile is checked")
PROFILE_TOLERANCE_MM = Sourced(0.2, "mm", "ours: rise down the shaft that no hand or gauge calls a bulge")

# The Rules.
GRIP_WIDEST_MM = Sourced(44.45, "mm", f"{_RULES}, 3b(iii)")
GRIP_SHORTEST_MM = Sourced(177.8, "mm", f"{_RULES}, 3a")
CLUB_SHORTEST_MM = Sourced(457.2, "mm", f"{_RULES}, 1c")
CLUB_LONGEST_MM = Sourced(1219.2, "mm", f"{_RULES}, 1c, clubs other than putters")
PUTTER_STEEPEST_LIE_DEG = Sourced(80.0, "deg", f"{_RULES}, 1d: at least 10 deg from the vertical")

# Swing weight.
FULCRUM_MM = Sourced(355.6, "mm", "common practice: 14 in from the butt")
D0_INCH_OUNCES = Sourced(213.5, "in oz", "common practice, no source")
POINT_INCH_OUNCES = Sourced(1.75, "in oz", "common practice: one point of the 14-inch scale")
GRAM_OUNCES = Sourced(1.0 / 28.349523125, "oz/g", "international avoirdupois ounce, 24 FR 5348 (1959), exact")
STANDARD_GRAVITY = Sourced(9.80665, "m/s^2", "CGPM 3 (1901), declaration on the unit of mass")
