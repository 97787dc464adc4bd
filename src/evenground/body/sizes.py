"""The sizes of a body that a studio takes: what each one is, who has it, and what one reading of it is worth.

Names are those of ISO 7250-1:2017 where it has one, in words of ours; the survey's column stands beside it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from evenground.sourced import Sourced

__all__ = [
    "MASS",
    "SIDED",
    "SIZES",
    "SIZE_NAMES",
    "SURVEY_COLUMNS",
    "Size",
    "SizeName",
    "tape_sd",
    "words",
]

SizeName = Literal[
    "stature",
    "shoulder_height",
    "biacromial_breadth",
    "hip_breadth",
    "crotch_height",
    "wrist_height",
    "arm_length",
    "foot_length",
    "foot_breadth",
    "neck_height",
    "iliac_crest_height",
    "trochanter_height",
    "kneecap_height",
    "tibial_height",
    "ankle_height",
    "bideltoid_breadth",
    "chest_breadth",
    "chest_depth",
    "chest_circumference",
    "waist_circumference",
    "bicristal_breadth",
    "asis_breadth",
    "pelvic_depth",
    "leg_length",
    "span",
    "upper_arm_length",
    "forearm_length",
    "shoulder_elbow_length",
    "elbow_grip_length",
    "forward_reach",
    "wrist_circumference",
    "hand_breadth",
    "hand_circumference",
    "ball_of_foot_length",
    "heel_breadth",
]
"""Sizes of the body check, the oldest first; hand and palm length belong to the hands check."""

SIZE_NAMES: tuple[SizeName, ...] = get_args(SizeName)

MASS = "mass"
"""Name of the body's mass among the survey's sizes; kilograms where the others are millimetres."""

Part = Literal["legs", "arms", "hands", "feet"]
"""Limbs that a size needs: without one of that kind, or with a prosthesis there, it says nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """One size: what it is, the survey's columns that add up to it, the SD of one reading, what it needs.

    `columns` is empty where the survey has no such size. `standing` sizes are heights over the floor or taken
    upright; `sided` ones may be taken left and right.
    """

    what: str
    columns: tuple[str, ...] = ()
    tape: Sourced
    needs: tuple[Part, ...] = ()
    standing: bool = False
    sided: bool = False


def _tape(sd: float, how: str) -> Sourced:
    return Sourced(sd, "mm", f"ours: one reading {how}")


_WALL = _tape(5.0, "against a wall")
_FELT = _tape(8.0, "landmark felt through cloth")
_TAPE = _tape(6.0, "with a tape")
_SNUG = _tape(10.0, "with a tape round the body, over a shirt")
_SMALL = _tape(3.0, "with a calliper or a short rule")
_RULE = _tape(1.5, "with a rule")
_ROUND = _tape(3.0, "with a tape round the hand")
_GAUGE = _tape(2.0, "on a foot gauge")
_ARMS: tuple[Part, ...] = ("arms",)
_LEGS: tuple[Part, ...] = ("legs",)
_FEET: tuple[Part, ...] = ("legs", "feet")
_HANDS: tuple[Part, ...] = ("arms", "hands")


def _height(what: str, column: str, tape: Sourced, needs: tuple[Part, ...] = _LEGS) -> Size:
    return Size(what=f"floor to {what}", columns=(column,), tape=tape, needs=needs, standing=True)


def _plain(
    what: str,
    *columns: str,
    tape: Sourced = _TAPE,
    needs: tuple[Part, ...] = (),
    sided: bool = False,
    standing: bool = False,
) -> Size:
    return Size(what=what, columns=columns, tape=tape, needs=needs, sided=sided, standing=standing)


def _limb(what: str, *columns: str, tape: Sourced, needs: tuple[Part, ...]) -> Size:
    return _plain(what, *columns, tape=tape, needs=needs, sided=True)


SIZES: Mapping[str, Size] = {
    "stature": _height("the top of the head", "stature", _WALL),
    "shoulder_height": _height("the acromion", "acromialheight", _FELT),
    "biacromial_breadth": _plain("between the acromia", "biacromialbreadth"),
    "hip_breadth": _plain("widest across the hips, standing", "hipbreadth", standing=True),
    "crotch_height": _height("the crotch", "crotchheight", _TAPE),
    "wrist_height": _height(
        "the wrist (stylion), arm hanging, without shoes", "wristheight", _TAPE, ("legs", "arms")
    ),
    "arm_length": _limb(
        "acromion to wrist", "acromionradialelength", "radialestylionlength", tape=_TAPE, needs=_ARMS
    ),
    "foot_length": _limb("heel to the longest toe", "footlength", tape=_GAUGE, needs=_FEET),
    "foot_breadth": _limb("widest across the foot", "footbreadthhorizontal", tape=_GAUGE, needs=_FEET),
    "neck_height": _height("the lowest neck bone (cervicale)", "cervicaleheight", _FELT),
    "iliac_crest_height": _height("the top of the hip bone", "iliocristaleheight", _FELT),
    "trochanter_height": _height("the bone at the side of the hip", "trochanterionheight", _FELT),
    "kneecap_height": _height("the middle of the kneecap", "kneeheightmidpatella", _TAPE),
    "tibial_height": _height("the top of the shin bone", "tibialheight", _TAPE),
    "ankle_height": _height("the outer ankle bone", "lateralmalleolusheight", _SMALL),
    "bideltoid_breadth": _plain("across the shoulder muscles", "bideltoidbreadth"),
    "chest_breadth": _plain("across the chest", "chestbreadth"),
    "chest_depth": _plain("chest, front to back", "chestdepth"),
    "chest_circumference": _plain("round the chest", "chestcircumference", tape=_SNUG),
    "waist_circumference": _plain("round the waist", "waistcircumference", tape=_SNUG),
    "bicristal_breadth": _plain("between the tops of the hip bones", "bicristalbreadth"),
    "asis_breadth": _plain("between the front spines of the hip bones", tape=_FELT),
    "pelvic_depth": _plain("middle of the front spines to middle of the back ones", tape=_FELT),
    "leg_length": _limb("front spine of the hip bone to the inner ankle bone", tape=_FELT, needs=_LEGS),
    "span": _plain("fingertip to fingertip, arms out", "span", needs=("arms", "hands")),
    "upper_arm_length": _limb(
        "acromion to the elbow's outer joint line", "acromionradialelength", tape=_TAPE, needs=_ARMS
    ),
    "forearm_length": _limb(
        "elbow's outer joint line to wrist", "radialestylionlength", tape=_TAPE, needs=_ARMS
    ),
    "shoulder_elbow_length": _limb(
        "acromion to the bent elbow's tip", "shoulderelbowlength", tape=_TAPE, needs=_ARMS
    ),
    "elbow_grip_length": _limb(
        "bent elbow's back to the centre of a gripped rod",
        "forearmcenterofgriplength",
        tape=_TAPE,
        needs=_HANDS,
    ),
    "forward_reach": _limb(
        "wall behind the shoulder to the thumb's tip", "thumbtipreach", tape=_FELT, needs=_HANDS
    ),
    "wrist_circumference": _limb("round the wrist", "wristcircumference", tape=_ROUND, needs=_ARMS),
    "hand_breadth": _limb("across the knuckles, no thumb", "handbreadth", tape=_RULE, needs=_HANDS),
    "hand_circumference": _limb("round the knuckles", "handcircumference", tape=_ROUND, needs=_HANDS),
    "ball_of_foot_length": _limb("heel to the ball, inside", "balloffootlength", tape=_GAUGE, needs=_FEET),
    "heel_breadth": _limb("across the heel", "heelbreadth", tape=_GAUGE, needs=_FEET),
}
"""What the body check takes, by name."""

SIDED: tuple[str, ...] = tuple(name for name, size in SIZES.items() if size.sided)

_HAND = {
    "hand_length": _limb("wrist crease to the middle fingertip", "handlength", tape=_RULE, needs=_HANDS),
    "palm_length": _limb("wrist crease to the middle finger's root", "palmlength", tape=_RULE, needs=_HANDS),
}
_MASS = Size(
    what="body mass",
    columns=("weightkg",),
    tape=Sourced(1.0, "kg", "ours: one weighing in clothes, their weight guessed"),
)

ALL: Mapping[str, Size] = {**SIZES, **_HAND, MASS: _MASS}
"""Every size that the survey's table may hold."""

SURVEY_COLUMNS: Mapping[str, tuple[str, ...]] = {n: s.columns for n, s in ALL.items() if s.columns}
"""Our sizes and the columns of the survey's public file that add up to each."""


def tape_sd(name: str) -> float:
    """SD of one reading of a size in a studio, mm (kg for mass); a tape's for a size not known here."""
    return (ALL[name].tape if name in ALL else _TAPE).value


def words(name: str) -> str:
    """A size's name as a person reads it.

    Examples
    --------
    >>> words("wrist_height")
    'wrist height'
    """
    return name.replace("_", " ")
