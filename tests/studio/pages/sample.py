"""One invented visit typed in whole, for tests that look at pages with something on them."""

from tests.studio.pages.conftest import Desk

__all__ = ["type_in"]

STANCES = (("putter", "258", "11", "3"), ("irons", "320", "21", "10"), ("woods", "397", "25", "9"))
TRIALS = (("300", "-1"), ("400", "4.5"), ("500", "-1.5"), ("340", "2.5"), ("470", "1"), ("310", "0"))
ANGLES = (("trunk_deg", 36), ("thigh_deg", 18), ("knee_flex_lead_deg", 24), ("arm_hang_deg", 4))
OFFSETS = ("12", "-20", "30", "5")


def type_in(desk: Desk) -> None:
    """Type every check except the mat's."""
    desk.type("safety", "screening", "cleared")
    for field, text in (("name", "own golf shoes"), ("length_mm", "285"), ("heel_breadth_mm", "66")):
        desk.type("shoes", field, text)
    for family, width, lead, trail in STANCES:
        desk.type("as arrived", "width_mm", width, family=family)
        desk.type("as arrived", "toe_out_lead_deg", lead, family=family)
        desk.type("as arrived", "toe_out_trail_deg", trail, family=family)
        desk.type("ball", "inside_lead_heel_mm", "130", family=family, repeat=1)
        desk.type("ball", "from_toe_line_mm", "400", family=family, repeat=1)
    for repeat, text in ((1, "1780"), (2, "1782")):
        desk.type("body size", "size_mm", text, name="stature", repeat=repeat)
    desk.type("body mass", "mass_kg", "82.5")
    for side in ("left", "right"):
        desk.type("hand", "length_mm", "193", side=side)
        desk.type("hand", "palm_length_mm", "117", side=side)
    desk.trial("own club", mark="7 iron", family="irons")
    desk.type("hip-line set-up", "landmark", "back of the pelvis")
    for width, angle in TRIALS:
        desk.trial("hip-line trial", width_mm=width, hip_line_deg=angle, family="irons", phase="before")
    for field, angle_deg in ANGLES:
        desk.type("posture", field, str(angle_deg), family="irons", repeat=1)
    for toward in ("lead", "trail"):
        desk.type("turn", "turn_deg", "81", toward=toward, repeat=1)
    desk.type("aim set-up", "distance_m", "2")
    for offset in OFFSETS:
        desk.trial("aim trial", offset_mm=offset, condition="as arrived")
