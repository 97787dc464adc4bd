"""Segment lengths of one body seen from the side: measured where taken, predicted where not."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from evenground.body.survey import SURVEY, Line, Reference
from evenground.errors import MeasureError
from evenground.estimate import Estimate
from evenground.sourced import Sourced

__all__ = ["SideLengths", "StatureMissingError", "side_lengths"]

# Lines on stature worked out of the survey's public file, as `slope`, `offset_mm`, standard error of
# estimate. Names after ISO 7250-1 where it has one; the survey's column is named beside it.
_LINES: Mapping[str, Mapping[Reference, Line]] = {
    "shoulder_height": {  # acromialheight
        "men": Line(slope=0.8926, offset_mm=-126.9, see_mm=16.2),
        "women": Line(slope=0.8793, offset_mm=-96.9, see_mm=13.7),
    },
    "neck_height": {  # cervicaleheight
        "men": Line(slope=0.9084, offset_mm=-78.1, see_mm=11.2),
        "women": Line(slope=0.9126, offset_mm=-90.4, see_mm=10.5),
    },
    "trochanter_height": {  # trochanterionheight
        "men": Line(slope=0.6098, offset_mm=-169.9, see_mm=25.9),
        "women": Line(slope=0.5970, offset_mm=-126.9, see_mm=23.0),
    },
    "tibial_height": {  # tibialheight: the knee joint's line
        "men": Line(slope=0.3344, offset_mm=-119.1, see_mm=13.5),
        "women": Line(slope=0.3325, offset_mm=-103.6, see_mm=13.1),
    },
    "ankle_height": {  # lateralmalleolusheight
        "men": Line(slope=0.0387, offset_mm=5.0, see_mm=5.0),
        "women": Line(slope=0.0348, offset_mm=6.0, see_mm=4.6),
    },
    "upper_arm_length": {  # acromionradialelength
        "men": Line(slope=0.2028, offset_mm=-20.9, see_mm=10.6),
        "women": Line(slope=0.2120, offset_mm=-34.0, see_mm=10.5),
    },
    "arm_length": {  # acromionradialelength + radialestylionlength
        "men": Line(slope=0.3636, offset_mm=-35.4, see_mm=17.6),
        "women": Line(slope=0.3752, offset_mm=-58.5, see_mm=17.5),
    },
    "biacromial_breadth": {
        "men": Line(slope=0.1486, offset_mm=154.6, see_mm=16.2),
        "women": Line(slope=0.1612, offset_mm=102.8, see_mm=15.1),
    },
    "foot_length": {
        "men": Line(slope=0.1373, offset_mm=30.1, see_mm=9.1),
        "women": Line(slope=0.1399, offset_mm=18.5, see_mm=8.6),
    },
}

GRIP_BEYOND_WRIST = {
    "men": Sourced(81.1, "mm", f"{SURVEY}: elbow to centre of grip less radiale to stylion; SD 8.7"),
    "women": Sourced(76.4, "mm", f"{SURVEY}: elbow to centre of grip less radiale to stylion; SD 7.9"),
}
GRIP_SD = Sourced(8.7, "mm", f"{SURVEY}: SD of the same difference, the larger of the two")
TAPE_SD = Sourced(5.0, "mm", "ours: one size taken once with a tape or a height bar")
_MIDDLE_MM = 1700.0  # a stature between the survey's men and women, where their lines are compared
HEEL_TO_ANKLE = Sourced(
    0.20,
    "foot lengths",
    "ours, near the static pose of dos Santos et al. 2017 (PeerJ 5:e3626): 54 mm of 240 mm",
)
METATARSAL = Sourced(
    0.74, "foot lengths", f"{SURVEY}: ball of foot length over foot length, 200.9 of 271.2 mm (men)"
)


class StatureMissingError(MeasureError):
    """A body without the one size that the others can be predicted from."""

    do = "Measure the stature, or every height of the body that the address needs."

    def __init__(self, missing: tuple[str, ...]) -> None:
        super().__init__(missing)
        self.where = "body"
        self.what = (
            f"Without the stature these cannot be told: {', '.join(n.replace('_', ' ') for n in missing)}."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class SideLengths:
    """A body from the side, in mm: lengths along each segment, standing heights for ankle and foot.

    ::

        vertex  head  cervicale  neck  shoulder  trunk  hip  thigh  knee  shank  ankle  ankle_height  floor
                                       shoulder  upper_arm  elbow  forearm  wrist  grip   centre of the fist

    `half_shoulders` is half the breadth between the shoulders: hands that meet take that much of the arms'
    length sideways. `predicted` names the sizes that were not measured.
    """

    shank_mm: Estimate
    thigh_mm: Estimate
    trunk_mm: Estimate
    neck_mm: Estimate
    head_mm: Estimate
    upper_arm_mm: Estimate
    forearm_mm: Estimate
    grip_mm: Estimate
    half_shoulders_mm: Estimate
    ankle_height_mm: Estimate
    foot_mm: Estimate
    predicted: tuple[str, ...]


def _grip_mm(reference: Reference | None) -> float:
    if reference is not None:
        return GRIP_BEYOND_WRIST[reference].value
    return sum(g.value for g in GRIP_BEYOND_WRIST.values()) / len(GRIP_BEYOND_WRIST)


def _line(name: str, reference: Reference | None) -> Line:
    """The line of one size; without a reference the middle of both, which costs half their distance."""
    if reference is not None:
        return _LINES[name][reference]
    men, women = _LINES[name]["men"], _LINES[name]["women"]
    apart = abs(men.at(_MIDDLE_MM) - women.at(_MIDDLE_MM)) / 2.0
    return Line(
        slope=(men.slope + women.slope) / 2.0,
        offset_mm=(men.offset_mm + women.offset_mm) / 2.0,
        see_mm=math.hypot(max(men.see_mm, women.see_mm), apart),
    )


def side_lengths(sizes_mm: Mapping[str, float], reference: Reference | None) -> SideLengths:
    """Segment lengths from the sizes that were taken; the rest from stature.

    Parameters
    ----------
    sizes_mm
        Standing sizes by their ISO 7250-1 names: stature, shoulder_height, trochanter_height, tibial_height,
        ankle_height, neck_height, arm_length (shoulder to wrist), biacromial_breadth, foot_length.
    reference
        Whose survey lines predict what is missing; None for the middle of both, with a larger error.

    Returns
    -------
    lengths
        A measured size carries a tape's error (5 mm, ours), a predicted one its line's standard error of
        estimate.

    Raises
    ------
    StatureMissingError
        If there is no stature: the head's length needs it, and so does whatever must be predicted.

    Notes
    -----
    Thigh, trunk and neck are differences of standing heights, so their errors combine; the covariance between
    two lines on one stature is left out, which makes the stated error too large rather than too small. Source
    of the lines: `evenground.body.survey.SURVEY`, recomputed. The shoulder is the acromion, the hip the
    trochanter: skin points, some 20 to 40 mm from the joints' centres.
    """
    stature = sizes_mm.get("stature")
    missing = tuple(name for name in _LINES if name not in sizes_mm)
    if stature is None:
        raise StatureMissingError(missing or ("head",))

    def size(name: str) -> Estimate:
        if name in sizes_mm:
            return Estimate(value=sizes_mm[name], se=TAPE_SD.value, n=1, unit="mm")
        line = _line(name, reference)
        return Estimate(value=line.at(stature), se=line.see_mm, n=1, unit="mm")

    def between(upper: Estimate, lower: Estimate) -> Estimate:
        se = (upper.se**2 + lower.se**2) ** 0.5
        return Estimate(value=upper.value - lower.value, se=se, n=1, unit="mm")

    shoulder, hip, knee, ankle = (
        size(n) for n in ("shoulder_height", "trochanter_height", "tibial_height", "ankle_height")
    )
    arm, upper_arm = size("arm_length"), size("upper_arm_length")
    share = upper_arm.value / _line("arm_length", reference).at(
        stature
    )  # where the elbow sits is of no weight
    top = Estimate(value=stature, se=TAPE_SD.value, n=1, unit="mm")
    neck = size("neck_height")
    return SideLengths(
        shank_mm=between(knee, ankle),
        thigh_mm=between(hip, knee),
        trunk_mm=between(shoulder, hip),
        neck_mm=between(neck, shoulder),
        head_mm=between(top, neck),
        upper_arm_mm=arm.scaled(share),
        forearm_mm=arm.scaled(1.0 - share),
        grip_mm=Estimate(value=_grip_mm(reference), se=GRIP_SD.value, n=1, unit="mm"),
        half_shoulders_mm=size("biacromial_breadth").scaled(0.5),
        ankle_height_mm=ankle,
        foot_mm=size("foot_length"),
        predicted=tuple(n for n in missing if n != "upper_arm_length"),
    )
