"""Numbers that the ground part stands on, each with its source."""

from evenground.sourced import Sourced

__all__ = [
    "AREA_EDGE",
    "BREADTH_AHEAD",
    "BREADTH_BEHIND",
    "CONTACT_END",
    "CONTACT_SHARE",
    "CUT_LOAD",
    "DEAD_SHARE",
    "ELLIPSE_LEVEL",
    "FOOT_BREADTH_MAX_MM",
    "FOOT_LENGTH_MAX_MM",
    "FOOT_LENGTH_MIN_MM",
    "FORCE_MISMATCH_FLAG",
    "FORCE_MISMATCH_MAX",
    "FOREFOOT_FROM",
    "FOREFOOT_TO",
    "FRONT_UNEVEN_CELLS",
    "FRONT_UNEVEN_MM",
    "GAIN_SPREAD_MAX",
    "HEEL_DOWN",
    "HEEL_LOST_MM",
    "HEEL_TO",
    "LEAN_ARCH",
    "LEAN_SEEN",
    "LEAN_TOES",
    "LOADED_SHARE",
    "PITCH_FOREFOOT",
    "PITCH_HEEL",
    "SHORT_RECORDING_S",
    "STANDARD_GRAVITY",
    "SUSPECTS_MOST",
    "TAU_LOG_SD",
    "TAU_MEDIAN_S",
    "TRIM_SHARE",
    "TURNED_FLAG_DEG",
]

_BDS = "ours, from fits to the 24 recordings of Santos and Duarte 2016, PeerJ 4:e2648 (whole and in quarters)"
_PLACED = "ours, from simulated feet and the prints of Pataky et al. 2011 redrawn on 5 to 15 mm cells"

STANDARD_GRAVITY = Sourced(9.80665, "m/s^2", "CGPM 3 (1901), declaration on the unit of mass")
ELLIPSE_LEVEL = Sourced(0.95, "", "Schubert and Kirchner 2014, Gait & Posture 39:518")
TAU_MEDIAN_S = Sourced(4.0, "s", _BDS)
TAU_LOG_SD = Sourced(1.1, "", _BDS)

TRIM_SHARE = Sourced(0.02, "", "ours: share of a foot's load cut at each end before the zones are laid")
HEEL_TO = Sourced(0.35, "", "ours: rear part of the loaded length whose centroid is the heel centre")
FOREFOOT_FROM = Sourced(0.60, "", "ours: start of the forefoot part of the loaded length")
FOREFOOT_TO = Sourced(0.93, "", "ours: end of the forefoot part, which leaves the toe tips out")
CONTACT_SHARE = Sourced(0.02, "", "ours: share of the highest pressure from which a cell counts as touched")
CUT_LOAD = Sourced(0.0016, "1/mm", "ours, from simulated feet that touch: most load on the line between them")

FOOT_LENGTH_MIN_MM = Sourced(140.0, "mm", "ours: shortest loaded length taken for a foot")
FOOT_LENGTH_MAX_MM = Sourced(370.0, "mm", "ours: longest loaded length taken for a foot or a shoe")
FOOT_BREADTH_MAX_MM = Sourced(165.0, "mm", "ours: broadest loaded breadth taken for a foot or a shoe")
SHORT_RECORDING_S = Sourced(5.0, "s", "ours: below this a recording is a snapshot")
FORCE_MISMATCH_FLAG = Sourced(0.05, "", "ours: share of body weight off from which it is said")
FORCE_MISMATCH_MAX = Sourced(0.15, "", "ours: share of body weight off from which the mat is not believed")
PITCH_HEEL = Sourced(0.012, "", f"{_PLACED}: error of a heel centre per pitch, rounded up")
PITCH_FOREFOOT = Sourced(0.028, "", f"{_PLACED}: error of a forefoot centre per pitch, rounded up")
HEEL_DOWN = Sourced(
    0.5, "", "ours: share of a foot's load on its rear half from which its heel is surely down"
)
HEEL_LOST_MM = Sourced(5.0, "mm", "ours: doubt of a heel's centre from which its recording is of no use")
FRONT_UNEVEN_CELLS = Sourced(2.0, "", "ours: cells by which the fronts of two contacts differ by chance")
FRONT_UNEVEN_MM = Sourced(5.0, "mm", "ours: and by which the two feet of one player may")
CONTACT_END = Sourced(0.22, "", f"{_PLACED}: error of a contact end per pitch")
AREA_EDGE = Sourced(0.15, "", f"{_PLACED}: error of a touched area per area of its border cells")

_SHAPES = "ours, from the prints of Pataky et al. 2008 (J Biomech 41:1987) and 2011 on cells of 5 to 12 mm"
BREADTH_AHEAD = Sourced(0.05, "", f"{_SHAPES}: log of forefoot over heel breadth, all of which lie above it")
BREADTH_BEHIND = Sourced(0.08, "", f"{_SHAPES}: turned backwards, all of which lie below minus it")
LEAN_ARCH = Sourced(0.10, "", f"{_SHAPES}: how far outward the arch rests, share of length")
LEAN_TOES = Sourced(0.079, "", f"{_SHAPES}: how far inward the toes press, share of length")
LEAN_SEEN = Sourced(0.3, "", f"{_SHAPES}: least lean that tells a side; the real prints have 0.44 and more")
TURNED_FLAG_DEG = Sourced(25.0, "deg", "ours: turn of both axes together from which the mat may lie askew")
LOADED_SHARE = Sourced(0.1, "", "ours: share of the highest cell from which a cell is well loaded")
DEAD_SHARE = Sourced(0.1, "", "ours: share of its least neighbour under which a cell amid load reads nothing")
SUSPECTS_MOST = Sourced(0.02, "", "ours: share of the loaded cells from which faults are a sole's pattern")
GAIN_SPREAD_MAX = Sourced(0.05, "", "ours: cells of one mat that differ by more need its gain map")
