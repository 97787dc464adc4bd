"""Numbers of the stance-width search, each with its source; those marked ours are choices, not findings."""

from evenground.sourced import Sourced

__all__ = [
    "AMPLITUDES_DEG",
    "BALL_SLOPE_SD",
    "BORROW_AMPLITUDE_SHARE",
    "BORROW_CONSTANT_SD",
    "BORROW_SLOPE_SD",
    "BUDGET_AFTER",
    "BUDGET_BEFORE",
    "CENTRE_SHARE",
    "CHANGE_AMPLITUDE_SHARE",
    "CHANGE_CONSTANT_SD",
    "CHANGE_SLOPE_SD",
    "CONSTANT_SD",
    "DEFAULT_STATURE",
    "DRIFT_SD",
    "LEAST_GAIN",
    "LEAST_WINDOW",
    "LENGTHS_MM",
    "LIKELY_FROM",
    "MARGIN",
    "NEAR_TIE_GAIN",
    "NOISES_DEG",
    "NOISE_CENTRE",
    "NOISE_SPREAD_KNOWN",
    "NOISE_SPREAD_UNKNOWN",
    "NONE_BELOW",
    "SAME_WIDTH",
    "SLIP_SDS",
    "SLOPE_SD",
    "SQUARE_FROM",
    "TIE",
    "TOE_OUT_SLOPE_SD",
    "WINDOW_SHARES",
    "WORD_AMPLITUDE_SHARE",
    "WORD_CONSTANT_SD",
    "WORD_SLOPE_SD",
]

_OURS_PRIOR = "ours, the prior of the stance-width model, docs/method/stance.md"
_OURS_RULE = "ours, a rule of the stance-width search, docs/method/stance.md"

CONSTANT_SD = Sourced(5.0, "deg", _OURS_PRIOR)
SLOPE_SD = Sourced(2.0, "deg/100 mm", _OURS_PRIOR)
LENGTHS_MM = tuple(Sourced(v, "mm", _OURS_PRIOR) for v in (60.0, 110.0, 180.0))
AMPLITUDES_DEG = tuple(Sourced(v, "deg", _OURS_PRIOR) for v in (2.0, 4.0, 7.0))
NOISES_DEG = tuple(Sourced(v, "deg", _OURS_PRIOR) for v in (1.0, 1.5, 2.0, 3.0, 4.5))
CENTRE_SHARE = Sourced(0.23, "of stature", "ours, middle of the three windows: where the slope turns")
DRIFT_SD = Sourced(0.2, "deg/trial", "ours, warming up and tiring together seldom exceed 2 deg over a series")

NOISE_CENTRE = Sourced(2.0, "deg", "ours, without a studio's own figure; middle of the grid of noises")
NOISE_SPREAD_UNKNOWN = Sourced(
    0.6, "log units", "ours, a factor of 1.8 either way when no studio SD is given"
)
NOISE_SPREAD_KNOWN = Sourced(
    0.25, "log units", "ours, players differ by a quarter from the studio's pooled SD"
)

BORROW_CONSTANT_SD = Sourced(2.0, "deg", "ours, added where a family borrows another's curve")
BORROW_SLOPE_SD = Sourced(1.0, "deg/100 mm", "ours, added where a family borrows another's curve")
BORROW_AMPLITUDE_SHARE = Sourced(0.5, "of amplitude", "ours, added where a family borrows another's curve")
CHANGE_CONSTANT_SD = Sourced(3.0, "deg", "ours, prior of the change from before to after the hip routine")
CHANGE_SLOPE_SD = Sourced(1.0, "deg/100 mm", "ours, prior of the change from before to after the hip routine")
CHANGE_AMPLITUDE_SHARE = Sourced(0.5, "of amplitude", "ours, prior of the change from before to after")

_OURS_CONDITION = "ours, prior of what a condition does to the hip line, docs/method/stance.md"
WORD_CONSTANT_SD = Sourced(2.0, "deg", _OURS_CONDITION)
WORD_SLOPE_SD = Sourced(0.7, "deg/100 mm", _OURS_CONDITION)
WORD_AMPLITUDE_SHARE = Sourced(0.25, "of amplitude", _OURS_CONDITION)
TOE_OUT_SLOPE_SD = Sourced(2.0, "deg per 10 deg of toe-out", _OURS_CONDITION)
BALL_SLOPE_SD = Sourced(1.0, "deg per 50 mm of ball", _OURS_CONDITION)

DEFAULT_STATURE = Sourced(1700.0, "mm", "ours, only used and flagged when no stature is given")
WINDOW_SHARES = {
    "putter": (Sourced(0.12, "of stature", _OURS_RULE), Sourced(0.26, "of stature", _OURS_RULE)),
    "irons": (Sourced(0.15, "of stature", _OURS_RULE), Sourced(0.30, "of stature", _OURS_RULE)),
    "woods": (Sourced(0.18, "of stature", _OURS_RULE), Sourced(0.34, "of stature", _OURS_RULE)),
}
LEAST_WINDOW = Sourced(120.0, "mm", _OURS_RULE)

MARGIN = Sourced(2.0, "deg", "ours, the default practical margin; the teacher's own replaces it")
SQUARE_FROM = Sourced(0.9, "probability", _OURS_RULE)
LIKELY_FROM = Sourced(0.7, "probability", _OURS_RULE)
NONE_BELOW = Sourced(0.1, "probability", _OURS_RULE)
TIE = Sourced(0.02, "probability", _OURS_RULE)
LEAST_GAIN = Sourced(0.02, "summed probability", _OURS_RULE)
NEAR_TIE_GAIN = Sourced(0.003, "summed probability", _OURS_RULE)
BUDGET_BEFORE = Sourced(8.0, "trials", _OURS_RULE)
BUDGET_AFTER = Sourced(4.0, "trials", _OURS_RULE)
SLIP_SDS = Sourced(5.0, "", "ours: a reading this many SDs from what the others expect is a slip, not noise")
SAME_WIDTH = Sourced(6.0, "mm", "ours, two widths set within this are the same width")
