"""A photo of an address from the side, as a visit holds it: its figures, and its part in the posture."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from evenground.body.segments import ModelName
from evenground.estimate import Estimate
from evenground.floor import Handed, lead_side
from evenground.measure.balance import BalanceAgreement, balance_agreement
from evenground.measure.posture import SeenPosture
from evenground.measure.side_view import (
    LANDMARKS,
    PLUMB_SD,
    SideAngles,
    SidePhoto,
    known_length_scale,
    measure_side,
)
from evenground.sourced import Sourced
from evenground.visit import Limb, LimbState, PostureReading, PostureView

__all__ = ["REFERENCES", "SIDE_POINTS", "SeenView", "measure_view", "posture_seen", "side_photo"]

REFERENCES = ("plumb_top", "plumb_bottom", "length_start", "length_end")
"""Ends of what hangs straight, and of what has a known length."""
SIDE_POINTS = (*LANDMARKS, *REFERENCES)
"""Every point that a photo from the side may hold."""


FOUND_PLUMB_SD = Sourced(
    0.5, "mm", "ours: a printed target lined up with a thread by eye; its tags are found far more closely"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenView:
    """What one photo says; `mat` sets its balance beside the mat's, where the player stood on one."""

    angles: SideAngles
    mat: BalanceAgreement | None


def side_photo(view: PostureView) -> SidePhoto:
    """The points of a view as `measure_side` takes them.

    A length or a plumb line with one end is none.
    """
    # In one order, however they came: sums of errors then come out the same to the last digit.
    points = {n: np.array(view.points[n], dtype=np.float64) for n in SIDE_POINTS if n in view.points}
    ends = {name: points.pop(name) for name in REFERENCES if name in points}
    scale = None
    if view.length_mm is not None and {"length_start", "length_end"} <= set(ends):
        scale = known_length_scale(
            ends["length_start"], ends["length_end"], view.length_mm, view.length_error_mm
        )
    plumb = (ends["plumb_top"], ends["plumb_bottom"]) if {"plumb_top", "plumb_bottom"} <= set(ends) else None
    if plumb is not None and np.array_equal(*plumb):
        plumb = None
    by_eye = {"plumb_top", "plumb_bottom"} & set(view.placed)
    return SidePhoto(
        plumb_sd_mm=PLUMB_SD.value if by_eye else FOUND_PLUMB_SD.value,
        points=points,
        unit="px",
        mm_per_px=None if scale is None else scale[0],
        mm_per_px_relative_se=0.0 if scale is None else scale[1],
        plumb=plumb,
    )


def measure_view(
    view: PostureView,
    *,
    reference: Literal["women", "men"] | None = None,
    limbs: Mapping[Limb, LimbState] | None = None,
    mat_percent: Estimate | None = None,
) -> SeenView:
    """Everything that one photo from the side says.

    Parameters
    ----------
    view
        The photo's points.
    reference
        Whose table of segment masses; men's unless said.
    limbs
        Limbs that are absent or prosthetic.
    mat_percent
        Where the mat found the balance, in % of foot length from the heel.

    Raises
    ------
    NoScaleError, FeetMissingError, FootTooShortError
        While the known length, the heel or the toe tip is not placed, or not where it can be.
    """
    model: ModelName = "de leva women" if reference == "women" else "de leva men"
    angles = measure_side(side_photo(view), model=model, limbs=limbs)
    percent = angles.centre_of_mass_percent
    both = percent is not None and mat_percent is not None
    return SeenView(
        angles=angles,
        mat=balance_agreement(percent, mat_percent) if both else None,  # type: ignore[arg-type]  # both are
    )


def posture_seen(view: PostureView, found: SeenView, handed: Handed) -> SeenPosture:
    """A photo's angles as one reading of the posture; the knee is that of the side that was seen."""
    knee = "knee_flex_lead_deg" if view.side == lead_side(handed) else "knee_flex_trail_deg"
    angles = {
        "trunk_deg": found.angles.trunk_deg,
        "thigh_deg": found.angles.thigh_deg,
        knee: found.angles.knee_flex_deg,
        "arm_hang_deg": found.angles.arm_hang_deg,
    }
    known = {name: angle for name, angle in angles.items() if angle is not None}
    return SeenPosture(
        reading=PostureReading(family=view.family, **{name: a.value for name, a in known.items()}),
        se_deg={name: a.se for name, a in known.items()},
    )
