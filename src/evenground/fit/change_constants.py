"""How large a change between two visits must be for a teacher to act on it; all ours."""

from evenground.sourced import Sourced

__all__ = [
    "AIM_DEG",
    "BALANCE_PERCENT",
    "BALL_MM",
    "HAND_MM",
    "LINE_DEG",
    "LOAD_PERCENT",
    "POSTURE_DEG",
    "TOE_OUT_DEG",
    "TURN_DEG",
    "WIDTH_MM",
]

WIDTH_MM = Sourced(
    25.0, "mm", "ours: an inch of stance width is what a player notices when asked to stand so"
)
TOE_OUT_DEG = Sourced(5.0, "deg", "ours: less cannot be taught to a foot")
BALL_MM = Sourced(21.0, "mm", "ours: the radius of a ball, 42.67 mm across by the Equipment Rules")
POSTURE_DEG = Sourced(5.0, "deg", "ours: less cannot be seen from where a teacher stands")
TURN_DEG = Sourced(5.0, "deg", "ours: about the smallest real change of published turn tests")
LOAD_PERCENT = Sourced(5.0, "%", "ours: of the load on one foot")
BALANCE_PERCENT = Sourced(5.0, "% of foot length", "ours: a finger's breadth under the foot")
LINE_DEG = Sourced(3.0, "deg", "ours: a load line turned by less turns no hip")
HAND_MM = Sourced(5.0, "mm", "ours: a hand that grew by as much asks for a new look at its grips")
AIM_DEG = Sourced(0.5, "deg", "ours: a third of what a hole allows from five feet")
