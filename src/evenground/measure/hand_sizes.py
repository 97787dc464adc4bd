"""Sizes of one flat hand from its landmarks, each with an error that says where it comes from."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenground.estimate import Estimate, Source, budget
from evenground.floor import Side
from evenground.measure.hand_outline import FINGERS, Finger, HandLandmarks
from evenground.sourced import Sourced

__all__ = ["HandHeight", "HandSizes", "Measuring", "hand_sizes"]

FloatArray = NDArray[np.float64]

TIP_SD = Sourced(0.05, "mm", "ours: a fingertip's outline, over rendered hands")
WEB_SD = Sourced(0.05, "mm", "ours: the bottom of a gap, over rendered hands")
SLANTED_WEB_SD = Sourced(0.3, "mm", "ours: the same beside a finger that leans far out, over rendered hands")
ROUNDED = Sourced(
    4.6, "point SDs", "ours: soft edges round off a tip and fill the bottom of a gap, over rendered hands"
)
KNUCKLE_SD = Sourced(
    0.8,
    "mm",
    "ours: breadth told from webs, 0.7 over 20 outlines of two hands (Stegmann and Gomez 2002), 0.8 over "
    "rendered hands",
)
WRIST_SD = {
    "end": Sourced(1.1, "mm", "ours: the outline ends at the wrist; over rendered hands"),
    "forearm": Sourced(
        3.0,
        "mm",
        "ours: where hand turns into forearm, over rendered hands whose crease lies 2.5 mm (SD) off that "
        "bend; where a player's own lies nobody sees from above",
    ),
    "placed": Sourced(2.5, "mm", "ours: the wrist's crease, marked on the photo by a person"),
    "proportion": Sourced(8.0, "mm", "ours: no bend to be seen, told from the palm's width"),
}
BASE_BEYOND_WEB = Sourced(
    6.1,
    "mm",
    "ours: middle finger by hand less palm, 76.8 mm (ANSUR II: Gordon et al. 2014, men), less web to tip, "
    "70.7 mm "
    "(Anat Cell Biol 2024 57(2), 51 young adults)",
)
BASE_SD = Sourced(3.0, "mm", "ours: two groups of people, and webs that differ between fingers")


@dataclass(frozen=True, slots=True, kw_only=True)
class HandHeight:
    """How high the hand's outline stands over the reference, how far the camera is from it; SD of each."""

    height_mm: float
    height_sd_mm: float
    camera_mm: float
    camera_sd_mm: float

    @property
    def shrink(self) -> float:
        """What lengths at that height are multiplied with: they look larger by ``D / (D - z)``."""
        return (self.camera_mm - self.height_mm) / self.camera_mm

    @property
    def relative_sd(self) -> float:
        """Relative error of that factor."""
        away = self.camera_mm - self.height_mm
        from_height = self.height_sd_mm / away
        return math.hypot(from_height, self.height_mm * self.camera_sd_mm / (self.camera_mm * away))


@dataclass(frozen=True, slots=True, kw_only=True)
class Measuring:
    """What the picture itself adds: SD of an outline point, of the scale, of the hand's height."""

    point_sd_mm: float
    scale_relative_sd: float
    height: HandHeight | None = None
    unknown_height_relative_sd: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HandSizes:
    """One hand. Names after ISO 7250-1; the two definitions of the middle finger are never mixed.

    `middle_hand_minus_palm_mm` is hand length less palm length, what grips are sized by; `fingers_mm` run
    from the middle of the webs beside a finger to its tip. `side_by_shape` holds for a hand with its back up.
    """

    side: Side
    side_by_shape: Side
    palm_up: bool
    hand_length_mm: Estimate
    palm_length_mm: Estimate
    hand_breadth_mm: Estimate
    middle_hand_minus_palm_mm: Estimate
    fingers_mm: Mapping[Finger, Estimate]
    wrist_found: str
    largest_error: str
    notes: tuple[str, ...]


def _apart(one: FloatArray, other: FloatArray) -> float:
    return float(np.hypot(*(one - other)))


def _base(marks: HandLandmarks, finger: Finger) -> FloatArray:
    """Middle of a finger's base: between its webs, or level with the one that it shares with the next finger.

    The thumb's web lies far below the index's base and says nothing about it.
    """
    if finger in ("middle", "ring"):
        one, other = (web for pair, web in marks.webs.items() if finger in pair)
        return np.asarray((one + other) / 2.0)
    web, under = {
        "thumb": (marks.webs["thumb", "index"], marks.wrist[0]),
        "index": (marks.webs["index", "middle"], marks.knuckles[0]),
        "little": (marks.webs["ring", "little"], marks.knuckles[1]),
    }[finger]
    axis = marks.tips[finger] - (web + under) / 2.0
    axis = axis / max(float(np.hypot(*axis)), 1e-9)
    return np.asarray(marks.tips[finger] - axis * float((marks.tips[finger] - web) @ axis))


def hand_sizes(
    marks: HandLandmarks, measuring: Measuring, *, side: Side | None = None, palm_up: bool = False
) -> HandSizes:
    """Lengths and breadths of one hand.

    Parameters
    ----------
    marks
        Landmarks in mm on the reference's plane.
    measuring
        What the picture adds to their errors.
    side
        Whose hand it is, when that is known; otherwise told by the shape.
    palm_up
        Whether the palm faces the camera; the shape is then the other hand's.

    Notes
    -----
    Hand length: middle of the wrist to the middle fingertip. Palm length: hand length less (web to tip plus
    6.1 mm), since the crease under the middle finger lies nearer the wrist than the webs beside it. Errors
    of the two ends, the scale and the height add in quadrature; each end counts once.
    """
    seen = marks.seen_as
    by_shape: Side = ("right" if seen == "left" else "left") if palm_up else seen
    notes = []
    if side is not None and side != by_shape:
        notes.append(
            f"The shape is a {by_shape} hand's with its {'palm' if palm_up else 'back'} up: check the side."
        )
    factor = 1.0 if measuring.height is None else measuring.height.shrink
    length = factor * _apart(marks.tips["middle"], marks.wrist_middle)
    finger = factor * _web_to_tip(marks, "middle", measuring)
    wrist_sd = WRIST_SD[marks.wrist_found].value
    hand, largest = _estimate(length, measuring, {"wrist": wrist_sd, "fingertip": TIP_SD.value})
    beyond = finger + BASE_BEYOND_WEB.value
    palm, _ = _estimate(
        length - beyond,
        measuring,
        {"wrist": wrist_sd, "webs": WEB_SD.value, "base of the finger": BASE_SD.value},
    )
    middle, _ = _estimate(
        beyond,
        measuring,
        {"fingertip": TIP_SD.value, "webs": WEB_SD.value, "base of the finger": BASE_SD.value},
    )
    breadth, _ = _estimate(factor * _apart(*marks.knuckles), measuring, {"knuckles": KNUCKLE_SD.value})
    if marks.wrist_found == "proportion":
        notes.append("No bend between hand and forearm was found: the wrist is a guess, drag it where it is.")
    elif marks.wrist_found == "forearm":
        notes.append("The wrist's crease is estimated from where hand turns into forearm.")
    return HandSizes(
        side=by_shape if side is None else side,
        side_by_shape=by_shape,
        palm_up=palm_up,
        hand_length_mm=hand,
        palm_length_mm=palm,
        hand_breadth_mm=breadth,
        middle_hand_minus_palm_mm=middle,
        fingers_mm={f: _finger(marks, f, factor, measuring) for f in FINGERS},
        wrist_found=marks.wrist_found,
        largest_error=largest,
        notes=tuple(notes),
    )


def _web_to_tip(marks: HandLandmarks, finger: Finger, measuring: Measuring) -> float:
    """Length of a finger in the picture, what soft edges take off it given back."""
    return _apart(marks.tips[finger], _base(marks, finger)) + ROUNDED.value * measuring.point_sd_mm


def _finger(marks: HandLandmarks, finger: Finger, factor: float, measuring: Measuring) -> Estimate:
    length = factor * _web_to_tip(marks, finger, measuring)
    webs = (SLANTED_WEB_SD if finger in ("thumb", "little") else WEB_SD).value
    return _estimate(length, measuring, {"fingertip": TIP_SD.value, "webs": webs})[0]


def _estimate(value: float, measuring: Measuring, ends: Mapping[str, float]) -> tuple[Estimate, str]:
    """A length with its error, and which source of it is the largest."""
    height = measuring.unknown_height_relative_sd
    if measuring.height is not None:
        height = measuring.height.relative_sd
    sources = [
        *(Source(name=name, se=sd) for name, sd in ends.items()),
        Source(name="outline", se=math.sqrt(2.0) * measuring.point_sd_mm),
        Source(name="scale", se=value * measuring.scale_relative_sd),
        Source(name="height over the reference", se=value * height),
    ]
    found = budget(sources, unit="mm")
    largest = max(sources, key=lambda s: s.se).name
    return Estimate(value=value, se=found.se, n=1, unit="mm"), largest
