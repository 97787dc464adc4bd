"""Numbers of the own clubs: errors of what is read off them, and limits that no other table holds."""

from evenground.sourced import Sourced

__all__ = [
    "BALANCE_SE_MM",
    "BALL_SE_MM",
    "CALLIPER_SE_MM",
    "CAP_HEIGHT_SE_MM",
    "CLUBS_MOST",
    "HANDS_SE_MM",
    "HEEL_CENTRE_SE_SHARE",
    "HEEL_CENTRE_SHARE",
    "LEAN_BACKWARD_DEG",
    "LEAN_FORWARD_DEG",
    "LEAN_SE_DEG",
    "LENGTH_SE_MM",
    "LIE_SE_DEG",
    "LOCAL_LONGEST_MM",
    "MASS_SE_G",
    "OTHER_METHOD_SE_MM",
    "TOE_OUT_SE_DEG",
    "UNKNOWN_METHOD_SE_MM",
]

_RULES = "Equipment Rules (The R&A and USGA), Part 2"

LENGTH_SE_MM = Sourced(1.5, "mm", "ours: a club's length by one method, read once")
OTHER_METHOD_SE_MM = Sourced(
    3.0, "mm", "ours: a ruler along the shaft against the Rules' 60 deg plane, several mm apart"
)
UNKNOWN_METHOD_SE_MM = Sourced(5.0, "mm", "ours: a length of which nobody says how it was measured")
LIE_SE_DEG = Sourced(0.5, "deg", "ours: a lie read once on a club gauge")
LEAN_SE_DEG = Sourced(1.0, "deg", "ours: the shaft's lean read once with the sole flat")
CAP_HEIGHT_SE_MM = Sourced(5.0, "mm", "ours: the cap over the ground in one address, off a tape")
MASS_SE_G = Sourced(0.5, "g", "ours: a club on a workshop's scales")
BALANCE_SE_MM = Sourced(1.0, "mm", "ours: a club balanced on an edge and read once")
HANDS_SE_MM = Sourced(5.0, "mm", "ours: where the middle of the hands sits")
CALLIPER_SE_MM = Sourced(0.1, "mm", "ours: a calliper across a grip")
BALL_SE_MM = Sourced(4.0, "mm", "ours: the ball's place read once off a tape")
TOE_OUT_SE_DEG = Sourced(2.0, "deg", "ours: a foot's toe-out read once with a protractor")
HEEL_CENTRE_SHARE = Sourced(0.14, "", "ours: heel centre as a share of the sole's length, from its back")
HEEL_CENTRE_SE_SHARE = Sourced(0.02, "", "ours: error of that share from sole to sole")

LEAN_FORWARD_DEG = Sourced(20.0, "deg", f"{_RULES}, 1d: most lean toward the target")
LEAN_BACKWARD_DEG = Sourced(10.0, "deg", f"{_RULES}, 1d: most lean away from the target")
LOCAL_LONGEST_MM = Sourced(
    1168.4, "mm", "Model Local Rule G-10 (46 in), where a committee has it; not putters; second-hand"
)
CLUBS_MOST = Sourced(14.0, "clubs", "Rules of Golf, 4.1b; second-hand")
