r"""An address seen from the side through its landmarks: angles, hands, eyes and balance with their errors.

::

          vertex o
                  \          frame, once scaled and upright:
             o     o eye     x ahead of the heel, along the foot; y up from the floor; mm
     cervicale \
                o shoulder   trunk   shoulder over hip, from the vertical, + forward
               / \           thigh   hip over knee, from the vertical, + hip behind the knee
          hip o   \ elbow    knee    flex, 0 when straight: shank forward plus thigh backward
               \   o wrist   arm     shoulder to wrist, from the vertical, + away from the body
           knee o
                |
       heel o-- o ankle --o toe tip          o ball

Both sides of the body fall on one another in a side view. Stand the camera 4 m or more away at hip height:
the near and the far hip differ in scale by their depth over the distance.
"""

import math
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from evenground.body.segments import MODELS, MissingLandmarksError, ModelName, centre_of_mass
from evenground.errors import MeasureError
from evenground.estimate import Estimate
from evenground.sourced import Sourced
from evenground.visit import Limb

__all__ = [
    "LANDMARKS",
    "FeetMissingError",
    "FootTooShortError",
    "NoScaleError",
    "SideAngles",
    "SidePhoto",
    "SideView",
    "known_length_scale",
    "measure_side",
    "seen_at_yaw_deg",
    "upright",
]

FloatArray = NDArray[np.float64]

LANDMARKS = (
    "vertex",
    "eye",
    "ear",
    "cervicale",
    "shoulder",
    "elbow",
    "wrist",
    "fingertip",
    "hands",
    "hip",
    "knee",
    "ankle",
    "heel",
    "toe_tip",
    "metatarsal",
    "ball",
)
"""Every point that a side view may mark; `hands` is the middle of both hands on the grip."""

ROLL_SD = Sourced(1.5, "deg", "ours: a hand-held camera without a plumb line in the picture")
PLUMB_SD = Sourced(2.0, "mm", "ours: an end of a plumb line, marked by eye")
MODEL_SD = Sourced(
    2.9,
    "% of foot length",
    "ours: two published tables differ by 4.1 for one golfer (Winter 47.1, de Leva 43.0); over root 2",
)
SHORTEST_FOOT = Sourced(50.0, "mm", "ours: nothing stands on less")
PROSTHESIS_SD = Sourced(2.0, "% of foot length", "ours: a limb whose mass is not the table's")


class NoScaleError(MeasureError):
    """A picture in pixels without anything of known length in it."""

    do = "Mark a known length in the picture, or enter the points in millimetres."

    def __init__(self) -> None:
        super().__init__()
        self.where = "posture"
        self.what = "The points are in pixels and nothing says how large a pixel is."


class FeetMissingError(MeasureError):
    """Landmarks without a foot to stand the figure on."""

    do = "Mark the heel and the toe tip."

    def __init__(self, missing: tuple[str, ...]) -> None:
        super().__init__(missing)
        self.where = "posture"
        names = " and ".join(missing).replace("_", " ")
        self.what = f"Nothing says where the foot and the floor are: {names} not marked."


class FootTooShortError(MeasureError):
    """A heel and a toe tip that no foot lies between."""

    do = "Put the heel and the toe tip where they are, and check the known length."

    def __init__(self, foot_mm: float) -> None:
        super().__init__(foot_mm)
        self.where = "posture"
        self.what = f"The foot would be {foot_mm:.0f} mm long."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SidePhoto:
    """Landmarks as marked: (2,) each, pixels with y down or millimetres with y up.

    `mm_per_px` is None for points in millimetres. `plumb` is the top and bottom of something that hangs
    straight, in the points' own frame; without it the picture's edge stands in and the angles' error grows.
    """

    points: Mapping[str, FloatArray]
    unit: Literal["px", "mm"]
    mm_per_px: float | None = None
    mm_per_px_relative_se: float = 0.0
    plumb: tuple[FloatArray, FloatArray] | None = None
    landmark_sd_mm: float = 10.0
    plumb_sd_mm: float = PLUMB_SD.value


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SideView:
    """Landmarks in mm, upright, x ahead of the heel and y up from the floor; (2,) each."""

    points: Mapping[str, FloatArray]
    roll_sd_deg: float
    scale_relative_se: float
    landmark_sd_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SideAngles:
    """What one side view says; None where its points were not marked, with the reason in `notes`.

    `eye_beyond_ball_mm` is + when the eyes are past the ball, - when inside it. `eye_line_deg` is the line
    from the ear to the eye, + looking down. `centre_of_mass_percent` is in % of foot length from the heel,
    by the table that `model` names.
    """

    trunk_deg: Estimate | None
    thigh_deg: Estimate | None
    shank_deg: Estimate | None
    knee_flex_deg: Estimate | None
    hip_flexion_deg: Estimate | None
    arm_hang_deg: Estimate | None
    eye_line_deg: Estimate | None
    eye_beyond_ball_mm: Estimate | None
    hands_height_mm: Estimate | None
    hands_from_thigh_mm: Estimate | None
    ball_from_toe_mm: Estimate | None
    foot_mm: Estimate
    centre_of_mass_percent: Estimate | None
    centre_of_mass_mm: tuple[float, float] | None
    model: ModelName | None
    notes: tuple[str, ...]


def known_length_scale(
    start: FloatArray, end: FloatArray, length_mm: float, error_mm: float
) -> tuple[float, float] | None:
    """Millimetres a pixel from something of known length, and its relative error; None for two equal points.

    Parameters
    ----------
    start, end
        (2,) each, its ends in pixels.
    length_mm, error_mm
        What it measures, and how well that is known (standard error).

    Notes
    -----
    Relative error: that of the length itself, and a pixel at each end, in quadrature.
    """
    pixels = float(np.hypot(*(end - start)))
    if pixels == 0.0:
        return None
    return length_mm / pixels, float(np.hypot(error_mm / length_mm, math.sqrt(2.0) / pixels))


def upright(photo: SidePhoto) -> SideView:
    """Scale, level and turn the landmarks into the frame drawn above.

    Raises
    ------
    NoScaleError
        If the points are pixels without a scale.
    FeetMissingError
        If heel or toe tip is not marked.
    FootTooShortError
        If they are less than 50 mm apart along the floor (ours).

    Notes
    -----
    The player may face either way: the toe tip lies ahead of the heel. The floor is the lower of heel and toe
    tip. A plumb line's own error is ``sqrt(2) e / l``.
    """
    if missing := tuple(n for n in ("heel", "toe_tip") if n not in photo.points):
        raise FeetMissingError(missing)
    if photo.unit == "px" and photo.mm_per_px is None:
        raise NoScaleError
    flip = np.array([1.0, -1.0 if photo.unit == "px" else 1.0])
    scale = 1.0 if photo.mm_per_px is None or photo.unit == "mm" else photo.mm_per_px
    points = {name: scale * flip * at for name, at in photo.points.items()}
    roll_sd = ROLL_SD.value if photo.unit == "px" else 0.0
    if photo.plumb is not None:
        top, bottom = (scale * flip * end for end in photo.plumb)
        down = bottom - top if bottom[1] < top[1] else top - bottom
        lean = math.atan2(down[0], -down[1])
        back = np.array([[math.cos(lean), math.sin(lean)], [-math.sin(lean), math.cos(lean)]])
        points = {name: back @ at for name, at in points.items()}
        roll_sd = math.degrees(math.sqrt(2.0) * photo.plumb_sd_mm / float(np.hypot(*down)))
    foot = points["toe_tip"][0] - points["heel"][0]
    if abs(foot) < SHORTEST_FOOT.value:
        raise FootTooShortError(float(abs(foot)))
    ahead = 1.0 if foot > 0.0 else -1.0
    origin = np.array([points["heel"][0], _floor_mm(points)])
    turned = {name: (at - origin) * np.array([ahead, 1.0]) for name, at in points.items()}
    return SideView(
        points=turned,
        roll_sd_deg=roll_sd,
        scale_relative_se=photo.mm_per_px_relative_se,
        landmark_sd_mm=photo.landmark_sd_mm,
    )


def _lean_deg(points: Mapping[str, FloatArray], lower: str, upper: str) -> float:
    """Lean of a segment from the vertical, + when its upper end is ahead."""
    along = points[upper] - points[lower]
    return math.degrees(math.atan2(along[0], along[1]))


def _arm_hang_deg(points: Mapping[str, FloatArray]) -> float:
    down = points["wrist"] - points["shoulder"]
    return math.degrees(math.atan2(down[0], -down[1]))


def _eye_line_deg(points: Mapping[str, FloatArray]) -> float:
    ahead = points["eye"] - points["ear"]
    return math.degrees(math.atan2(-ahead[1], ahead[0]))


def _hands(points: Mapping[str, FloatArray]) -> FloatArray:
    return points["hands"] if "hands" in points else points["wrist"]


def _floor_mm(points: Mapping[str, FloatArray]) -> float:
    return float(min(points["heel"][1], points["toe_tip"][1]))


def _from_thigh_mm(points: Mapping[str, FloatArray]) -> float:
    """Level distance from the thigh's line to the hands, + ahead."""
    hip, knee, hands = points["hip"], points["knee"], _hands(points)
    tall = float(hip[1] - knee[1])
    share = 0.0 if tall == 0.0 else float(hands[1] - knee[1]) / tall
    return float(hands[0] - (knee[0] + min(max(share, 0.0), 1.0) * (hip[0] - knee[0])))


Figure = Callable[[Mapping[str, FloatArray]], float]

_FIGURES: Mapping[str, tuple[tuple[str, ...], Figure, Literal["deg", "mm"]]] = {
    "trunk_deg": (("hip", "shoulder"), lambda p: _lean_deg(p, "hip", "shoulder"), "deg"),
    "thigh_deg": (("knee", "hip"), lambda p: -_lean_deg(p, "knee", "hip"), "deg"),
    "shank_deg": (("ankle", "knee"), lambda p: _lean_deg(p, "ankle", "knee"), "deg"),
    "knee_flex_deg": (
        ("ankle", "knee", "hip"),
        lambda p: _lean_deg(p, "ankle", "knee") - _lean_deg(p, "knee", "hip"),
        "deg",
    ),
    "hip_flexion_deg": (
        ("knee", "hip", "shoulder"),
        lambda p: _lean_deg(p, "hip", "shoulder") - _lean_deg(p, "knee", "hip"),
        "deg",
    ),
    "arm_hang_deg": (("shoulder", "wrist"), _arm_hang_deg, "deg"),
    "eye_line_deg": (("ear", "eye"), _eye_line_deg, "deg"),
    "eye_beyond_ball_mm": (("eye", "ball"), lambda p: float(p["eye"][0] - p["ball"][0]), "mm"),
    "hands_height_mm": (("wrist",), lambda p: float(_hands(p)[1]) - _floor_mm(p), "mm"),
    "hands_from_thigh_mm": (("hip", "knee", "wrist"), _from_thigh_mm, "mm"),
    "ball_from_toe_mm": (("toe_tip", "ball"), lambda p: float(p["ball"][0] - p["toe_tip"][0]), "mm"),
    "foot_mm": (("heel", "toe_tip"), lambda p: float(p["toe_tip"][0] - p["heel"][0]), "mm"),
}


def _gradient(view: SideView, figure: Figure) -> float:
    """Standard error of a figure from the landmarks alone: each coordinate moved on its own."""
    step = 0.5  # mm: far below the landmarks' error, far above rounding
    total = 0.0
    for name, at in view.points.items():
        for axis in (0, 1):
            moved = []
            for sign in (1.0, -1.0):
                there = at.copy()
                there[axis] += sign * step
                moved.append(figure({**view.points, name: there}))
            total += ((moved[0] - moved[1]) / (2.0 * step)) ** 2
    return math.sqrt(total) * view.landmark_sd_mm


def _rolled(view: SideView, figure: Figure) -> float:
    """Error of a figure from the picture's own tilt."""
    if view.roll_sd_deg == 0.0:
        return 0.0
    turn = math.radians(0.1)
    c, s = math.cos(turn), math.sin(turn)
    there = {name: np.array([c * x - s * y, s * x + c * y]) for name, (x, y) in view.points.items()}
    return abs(figure(there) - figure(view.points)) / 0.1 * view.roll_sd_deg


def _estimate(view: SideView, figure: Figure, unit: str) -> Estimate:
    value = figure(view.points)
    scale = abs(value) * view.scale_relative_se if unit == "mm" else 0.0
    se = math.hypot(_gradient(view, figure), _rolled(view, figure), scale)
    return Estimate(value=value, se=se, n=1, unit=unit)


def _model_for(view: SideView, wanted: ModelName, absent: Collection[Limb]) -> tuple[ModelName | None, str]:
    """The wanted table where its points are there, Winter's coarser one where only those are."""
    tries: tuple[ModelName, ...] = (wanted, "winter")
    for name in dict.fromkeys(tries):
        try:
            centre_of_mass(view.points, MODELS[name], absent=absent)
        except MissingLandmarksError as exc:
            reason = exc.what
            continue
        if name == wanted:
            return name, ""
        return name, f"Head or finger points are missing: the centre of mass is by {name.title()}'s table."
    return None, reason


def measure_side(
    photo: SidePhoto,
    *,
    model: ModelName = "de leva men",
    limbs: Mapping[Limb, str] | None = None,
) -> SideAngles:
    """Everything that one side view says, each figure with its error.

    Parameters
    ----------
    photo
        Landmarks as marked.
    model
        Table of segment masses; Winter's coarser one stands in where head or finger points are missing.
    limbs
        Limbs that are absent or prosthetic; an absent one carries no mass.

    Raises
    ------
    NoScaleError, FeetMissingError, FootTooShortError
        See `upright`.

    Notes
    -----
    Errors: landmarks (each coordinate on its own, `landmark_sd_mm`), the vertical, the scale, and for the
    centre of mass the choice of table, 2.9 % of foot length (ours). A centre of mass from a photo is no
    better than +/- 5 % of foot length; let the mat decide (`evenground.measure.balance`). Clothing hides the
    hip by 20 to 40 mm (common practice, no source). Segment tables: `evenground.body.segments`.
    """
    view, limbs = upright(photo), limbs or {}
    absent = {limb for limb, state in limbs.items() if state == "absent"}
    found: dict[str, Estimate | None] = {}
    missing = []
    for name, (needed, figure, unit) in _FIGURES.items():
        lacking = [n for n in needed if n not in view.points]
        found[name] = None if lacking else _estimate(view, figure, unit)
        if lacking and name not in {"eye_line_deg", "eye_beyond_ball_mm", "ball_from_toe_mm"}:
            missing.append(f"{name.rpartition('_')[0].replace('_', ' ')}: {' and '.join(lacking)} not marked")
    chosen, note = _model_for(view, model, absent)
    notes = [n for n in (note, *missing) if n]
    percent = at = None
    if chosen is not None:
        percent, at = _balance(view, chosen, absent, limbs)
    if photo.unit == "px" and photo.plumb is None:
        notes.append("No plumb line: the picture's edge was taken as upright, to 1.5 deg.")
    return SideAngles(
        **found,  # type: ignore[arg-type]  # foot_mm is never None: `upright` asked for its points
        centre_of_mass_percent=percent,
        centre_of_mass_mm=at,
        model=chosen,
        notes=tuple(notes),
    )


def _balance(
    view: SideView, model: ModelName, absent: Collection[Limb], limbs: Mapping[Limb, str]
) -> tuple[Estimate, tuple[float, float]]:
    table = MODELS[model]

    def percent(points: Mapping[str, FloatArray]) -> float:
        x = centre_of_mass(points, table, absent=absent).at[0]
        return float(100.0 * (x - points["heel"][0]) / (points["toe_tip"][0] - points["heel"][0]))

    at = centre_of_mass(view.points, table, absent=absent).at
    estimate = _estimate(view, percent, "% of foot").widened(MODEL_SD.value)
    if "prosthetic" in limbs.values():
        estimate = estimate.widened(PROSTHESIS_SD.value)
    return estimate, (float(at[0]), float(at[1]))


def seen_at_yaw_deg(true_deg: float, yaw_deg: float) -> float:
    """Angle from the vertical that a camera off the true side view shows: forward lengths shrink.

    ``tan(seen) = tan(true) cos(yaw)``.

    Examples
    --------
    >>> seen_at_yaw_deg(40.0, 10.0)
    39.57
    """
    return math.degrees(math.atan(math.tan(math.radians(true_deg)) * math.cos(math.radians(yaw_deg))))
