"""Segment lengths of one body seen from the side: measured where taken, predicted where not."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from evenground.body.joint import predict
from evenground.body.sizes import tape_sd
from evenground.body.survey import SURVEY, Reference, survey_table
from evenground.errors import MeasureError
from evenground.estimate import Estimate, difference
from evenground.sourced import Sourced

__all__ = ["SideLengths", "StatureMissingError", "side_lengths"]

_NEEDED = (
    "shoulder_height",
    "neck_height",
    "trochanter_height",
    "tibial_height",
    "ankle_height",
    "upper_arm_length",
    "arm_length",
    "biacromial_breadth",
    "foot_length",
)

GRIP_BEYOND_WRIST = {
    "men": Sourced(81.1, "mm", f"{SURVEY}: elbow to centre of grip less radiale to stylion; SD 8.7"),
    "women": Sourced(76.4, "mm", f"{SURVEY}: elbow to centre of grip less radiale to stylion; SD 7.9"),
}
GRIP_SD = Sourced(8.7, "mm", f"{SURVEY}: SD of the same difference, the larger of the two")
TAPE_SD = Sourced(5.0, "mm", "ours: one size taken once with a tape or a height bar")
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


def _expected(known: Mapping[str, Estimate], reference: Reference | None) -> Mapping[str, Estimate]:
    """What is not known, given what is; without a table the middle of both, half their distance off."""
    if reference is not None:
        return predict(known, survey_table(reference))
    men, women = (predict(known, survey_table(r)) for r in ("men", "women"))
    return {name: _between(men[name], women[name]) for name in men}


def _between(one: Estimate, other: Estimate) -> Estimate:
    apart = abs(one.value - other.value) / 2.0
    se = math.hypot(max(one.se, other.se), apart)
    return Estimate(value=(one.value + other.value) / 2.0, se=se, n=one.n, unit=one.unit)


def side_lengths(sizes_mm: Mapping[str, float], reference: Reference | None) -> SideLengths:
    """Segment lengths from the sizes that were taken; the rest as a body with these sizes has them.

    Parameters
    ----------
    sizes_mm
        Standing sizes by their names in `evenground.body.sizes`: stature, and of shoulder_height,
        trochanter_height, tibial_height, ankle_height, neck_height, upper_arm_length, arm_length,
        biacromial_breadth and foot_length those that were taken. Others help to predict what is missing.
    reference
        Whose survey table predicts what is missing; None for the middle of both, with a larger error.

    Returns
    -------
    lengths
        A measured size carries the error of one reading (`evenground.body.sizes.tape_sd`), a predicted one
        the SD of people with these sizes.

    Raises
    ------
    StatureMissingError
        If there is no stature: the head's length needs it, and so does whatever must be predicted.

    Notes
    -----
    Thigh, trunk and neck are differences of standing heights, so their errors combine; the covariance between
    two predictions from one body is left out, which makes the stated error too large rather than too small.
    Predictions are those of `evenground.body.joint.predict`. The shoulder is the acromion, the hip the
    trochanter: skin points, some 20 to 40 mm from the joints' centres.
    """
    missing = tuple(name for name in _NEEDED if name not in sizes_mm)
    if "stature" not in sizes_mm:
        raise StatureMissingError(missing or ("head",))
    known = {n: Estimate(value=mm, se=tape_sd(n), unit="mm") for n, mm in sizes_mm.items()}
    size = {**_expected(known, reference), **known}
    ankle, arm = size["ankle_height"], size["arm_length"]
    # Where the elbow sits matters little, and a whole that was measured outranks its predicted part.
    share = size["upper_arm_length"].value / arm.value
    return SideLengths(
        shank_mm=difference(size["tibial_height"], ankle),
        thigh_mm=difference(size["trochanter_height"], size["tibial_height"]),
        trunk_mm=difference(size["shoulder_height"], size["trochanter_height"]),
        neck_mm=difference(size["neck_height"], size["shoulder_height"]),
        head_mm=difference(size["stature"], size["neck_height"]),
        upper_arm_mm=arm.scaled(share),
        forearm_mm=arm.scaled(1.0 - share),
        grip_mm=Estimate(value=_grip_mm(reference), se=GRIP_SD.value, n=1, unit="mm"),
        half_shoulders_mm=size["biacromial_breadth"].scaled(0.5),
        ankle_height_mm=ankle,
        foot_mm=size["foot_length"],
        predicted=tuple(n for n in missing if n != "upper_arm_length"),
    )
