"""Numbers of the grip and club parts, each with its source; *common practice* has none."""

from evenground.sourced import Sourced

__all__ = [
    "BORE_SE_MM",
    "BUTT_SE_MM",
    "CLUB_LONGEST_MM",
    "CLUB_SHORTEST_MM",
    "D0_INCH_OUNCES",
    "EXTRAPOLATED_SHARE",
    "FEWEST_HANDS",
    "FEWEST_PLAYERS",
    "FINGER_SLOPE",
    "FULCRUM_MM",
    "GAP_SHORTEST_MM",
    "GLOVE_MM",
    "GLOVE_SE_MM",
    "GRAM_OUNCES",
    "GRIP_SHORTEST_MM",
    "GRIP_WIDEST_MM",
    "HAND_SE_MM",
    "HAND_SLOPE",
    "LENGTH_SE_MM",
    "MEASURED_SE_MM",
    "MOST_BORE_STRETCH",
    "MOULD_SE_MM",
    "OVAL_SE_SHARE",
    "POINT_INCH_OUNCES",
    "PROFILE_STEP_MM",
    "PROFILE_TOLERANCE_MM",
    "PUTTER_STEEPEST_LIE_DEG",
    "REFERENCE_DIAMETER_MM",
    "REFERENCE_FINGER_MM",
    "REFERENCE_HAND_MM",
    "RIB_MM",
    "SLOPE_SE_SHARE",
    "SORE_SE_MM",
    "STANDARD_GRAVITY",
    "STATION_SE_MM",
    "SURPRISE_P",
    "SURVEY_LONGEST_HAND_MM",
    "SURVEY_SHORTEST_HAND_MM",
    "TAPER_SE_MM",
    "TAPE_SE_SHARE",
    "TAPE_THINNEST_MM",
    "TOLERANCE_MM",
    "UPPER_SHORTEST_MM",
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
EXTRAPOLATED_SHARE = Sourced(0.5, "", "ours: half of what the model changes beyond its adults may be wrong")
FEWEST_PLAYERS = Sourced(8.0, "", "ours: fewer leave the model's own error unknown to a third or more")
FEWEST_HANDS = Sourced(12.0, "", "ours: three a number that is fitted")
SLOPE_SE_SHARE = Sourced(1.0, "", "ours: a studio's slope may be nothing, or twice the default's")
TAPER_SE_MM = Sourced(0.6, "mm", "ours: a studio's taper, against the trade's 0.5 to 2.0 mm")
SORE_SE_MM = Sourced(0.8, "mm", "ours: two steps of 1/64 in either way are left to comfort")
GLOVE_MM = Sourced(0.5, "mm", "common practice, no source: leather of a golf glove, 0.4 to 0.6 mm")
GLOVE_SE_MM = Sourced(0.05, "mm", "ours: half of the spread of a glove's leather")

# What a build is made of.
TAPE_SE_SHARE = Sourced(0.10, "", "ours: tape thickness, wrapped, per layer")
BUTT_SE_MM = Sourced(0.05, "mm", "ours: a calliper on a shaft")
MOULD_SE_MM = Sourced(0.15, "mm", "ours: outside of a moulded grip against its stated profile")
BORE_SE_MM = Sourced(0.10, "mm", "ours: bore of a moulded grip against its stated core")
LENGTH_SE_MM = Sourced(1.0, "mm", "ours: length that a grip is pulled to, held against a rule")
STATION_SE_MM = Sourced(1.0, "mm", "ours: where along a grip the calliper is put")
MEASURED_SE_MM = Sourced(0.2, "mm", "ours: a calliper across a soft grip, read once")
OVAL_SE_SHARE = Sourced(0.02, "", "ours: an oval of the same width and depth in place of the true outline")
TAPE_THINNEST_MM = Sourced(0.02, "mm", "ours: no tape is thinner")
SURPRISE_P = Sourced(0.001, "", "ours: a misfit rarer than this has another cause than the tape")
TOLERANCE_MM = Sourced(0.4, "mm", "ours: one step of 1/64 in, what fitting by hand tells apart")
MOST_BORE_STRETCH = Sourced(1.30, "", "ours: shaft and tape over bore beyond which a grip does not go on")
PROFILE_STEP_MM = Sourced(2.0, "mm", "ours: spacing at which a built profile is checked")
PROFILE_TOLERANCE_MM = Sourced(0.2, "mm", "ours: rise down the shaft that no hand or gauge calls a bulge")

# The Rules.
GRIP_WIDEST_MM = Sourced(44.45, "mm", f"{_RULES}, 3b(iii)")
RIB_MM = Sourced(1.016, "mm", "the bodies' guide, earlier edition: largest less smallest diameter at a rib")
GAP_SHORTEST_MM = Sourced(38.1, "mm", "the bodies' guide, earlier edition: 1.5 in between two putter grips")
UPPER_SHORTEST_MM = Sourced(
    127.0, "mm", "the bodies' guide, earlier edition: upper of two putter grips, 5 in"
)
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
