"""Numbers of the aim part, each with its source."""

from evenground.sourced import Sourced

__all__ = [
    "AIM_SLIP_SD_DEG",
    "BALL_RADIUS_MM",
    "CAPTURE_SPEED_M_S",
    "FACE_SHARE",
    "GREEN_READING_M",
    "HOLE_DIAMETER_MM",
    "LEAST_ANGLE_DEG",
    "LEAST_SPREAD_MM",
    "PAST_M",
    "RAMP_SPEED_M_S",
]

HOLE_DIAMETER_MM = Sourced(108.0, "mm", "Rules of Golf, Definitions: hole")
BALL_RADIUS_MM = Sourced(21.335, "mm", "Equipment Rules, Part 4: diameter not less than 42.67 mm")
CAPTURE_SPEED_M_S = Sourced(
    1.63, "m/s", "Holmes 1991, Am J Phys 59:129; Penner 2002, Can J Phys 80:83, dead centre (second-hand)"
)
RAMP_SPEED_M_S = Sourced(1.83, "m/s", "release speed of the standard ramp, 6.00 ft/s (second-hand)")
GREEN_READING_M = Sourced(3.048, "m", "ours: a green that reads 10 ft")
PAST_M = Sourced(0.43, "m", "common practice, no source: 17 in past the hole")
FACE_SHARE = Sourced(0.83, "", "Karlsen & Nilsson 2010 (second-hand): share of the face in the start line")
LEAST_SPREAD_MM = Sourced(1.0, "mm", "ours: offsets are not read more finely, so no spread is smaller")
LEAST_ANGLE_DEG = Sourced(0.1, "deg", "ours: a face angle is not read more finely, so no spread is smaller")
AIM_SLIP_SD_DEG = Sourced(
    1.39,
    "deg",
    "novices miss by 1.11 deg on average at 1.83 m, x 1.2533 for an SD (Science and Golf IV, 2002, abstract)",
)
