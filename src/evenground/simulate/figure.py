"""Posed figures with known joints: an address from the side, seen by a camera, marked by an unsteady hand."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from evenground.body.lengths import side_lengths
from evenground.body.segments import MODELS, ModelName, centre_of_mass
from evenground.fit.address_search import landmarks_of
from evenground.measure.side_view import SidePhoto
from evenground.simulate.survey import Reference, draw_body

__all__ = ["PosedFigure", "landmarks_plain", "pose_figure"]

FloatArray = NDArray[np.float64]

# Angles of the drawn address, mean and SD: wide enough to hold every player who walks in.
_SHANK, _THIGH, _TRUNK, _ARM = (4.0, 5.0), (15.0, 6.0), (37.0, 9.0), (12.0, 9.0)
PLUMB_MM = 1800.0
SCALE_MM = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PosedFigure:
    """A marked photo and what is true: angles in degrees, balance in % of foot length, landmarks in mm."""

    photo: SidePhoto
    model: ModelName
    trunk_deg: float
    thigh_deg: float
    shank_deg: float
    knee_flex_deg: float
    arm_hang_deg: float
    balance_percent: float
    hands_height_mm: float
    landmarks_mm: Mapping[str, FloatArray]


def pose_figure(
    rng: np.random.Generator,
    *,
    reference: Reference = "men",
    landmark_sd_mm: float = 10.0,
    roll_deg: float | None = None,
    faces_left: bool = False,
    plumb: bool = True,
) -> PosedFigure:
    """Draw a body, an address, a camera's roll and scale, and landmarks marked with an error.

    Parameters
    ----------
    rng
        Where the draws come from.
    reference
        Whose sizes and segment masses.
    landmark_sd_mm
        SD of each coordinate of each marked point.
    roll_deg
        How far the camera was turned about its axis; drawn with an SD of 1.5 deg when None.
    faces_left
        Whether the player faces the picture's left.
    plumb
        Whether a plumb line hangs in the picture.
    """
    sizes = {n.removesuffix("_mm"): v for n, v in draw_body(rng, reference).items()}
    lengths = side_lengths({n: v for n, v in sizes.items() if n != "mass_kg"}, reference)
    plain = {
        f: getattr(lengths, f"{f}_mm").value
        for f in (
            "shank", "thigh", "trunk", "neck", "head", "upper_arm",
            "forearm", "grip", "half_shoulders", "ankle_height", "foot",
        )
    }  # fmt: skip
    q = np.radians([rng.normal(*mean_sd) for mean_sd in (_SHANK, _THIGH, _TRUNK, _ARM)])
    truth = {n: np.array(at) for n, at in landmarks_of(plain, q, sole_mm=0.0).items()}
    model: ModelName = "de leva men" if reference == "men" else "de leva women"
    balance = centre_of_mass(truth, MODELS[model]).at
    photo = _photo(rng, truth, landmark_sd_mm, roll_deg, faces_left=faces_left, plumb=plumb)
    shank, thigh, trunk, arm = (float(v) for v in np.degrees(q))
    return PosedFigure(
        photo=photo,
        model=model,
        trunk_deg=trunk,
        thigh_deg=thigh,
        shank_deg=shank,
        knee_flex_deg=shank + thigh,
        arm_hang_deg=arm,
        balance_percent=float(100.0 * balance[0] / plain["foot"]),
        hands_height_mm=float(truth["hands"][1]),
        landmarks_mm=truth,
    )


def landmarks_plain(figure: PosedFigure) -> dict[str, Any]:
    """The marked photo as the file that `evenground posture` reads; its scale as a ruler along the top."""
    photo = figure.photo
    mm_per_px = photo.mm_per_px or 1.0
    told: dict[str, Any] = {
        "unit": photo.unit,
        "points": photo.points,
        "scale": {
            "start": (0.0, 0.0),
            "end": (SCALE_MM / mm_per_px, 0.0),
            "length_mm": SCALE_MM,
            "error_mm": photo.mm_per_px_relative_se * SCALE_MM,
        },
        "landmark_error_mm": photo.landmark_sd_mm,
        "model": figure.model,
    }
    if photo.plumb is not None:
        told["plumb"] = {"top": photo.plumb[0], "bottom": photo.plumb[1]}
    return told


def _photo(
    rng: np.random.Generator,
    truth: Mapping[str, FloatArray],
    landmark_sd_mm: float,
    roll_deg: float | None,
    *,
    faces_left: bool,
    plumb: bool,
) -> SidePhoto:
    roll = math.radians(rng.normal(0.0, 1.5) if roll_deg is None else roll_deg)
    mm_per_px = rng.uniform(0.6, 2.0)
    turn = np.array([[math.cos(roll), -math.sin(roll)], [math.sin(roll), math.cos(roll)]])
    way = np.array([-1.0 if faces_left else 1.0, 1.0])
    place = rng.uniform(200.0, 2000.0, 2)

    def seen(at: FloatArray, sd_mm: float) -> FloatArray:
        there = turn @ (way * at + rng.normal(0.0, sd_mm, 2))
        return np.array([place[0] + there[0] / mm_per_px, place[1] - there[1] / mm_per_px])

    points = {name: seen(at, landmark_sd_mm) for name, at in truth.items()}
    ends = (np.array([600.0, PLUMB_MM]), np.array([600.0, 0.0]))
    line = (seen(ends[0], 2.0), seen(ends[1], 2.0))
    ruler = [np.array([-500.0, 0.0]), np.array([-500.0, SCALE_MM])]
    start, end = (seen(at, 1.0) for at in ruler)
    found = SCALE_MM / float(np.hypot(*(end - start)))
    return SidePhoto(
        points=points,
        unit="px",
        mm_per_px=found,
        mm_per_px_relative_se=math.sqrt(2.0) / SCALE_MM,
        plumb=line if plumb else None,
        landmark_sd_mm=landmark_sd_mm,
    )
