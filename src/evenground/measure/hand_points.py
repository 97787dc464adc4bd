"""A hand's points as a photo shows them: by name in its pixels, where they were found or moved to."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenground.floor import Side
from evenground.measure.hand_outline import FINGERS, Finger, HandLandmarks, WristFound
from evenground.measure.hand_sizes import HandSizes, Measuring, hand_sizes
from evenground.measure.homography import on_plane

__all__ = ["HAND_POINTS", "HandPoints", "found_points", "sizes_at"]

FloatArray = NDArray[np.float64]
Spot = tuple[float, float]

WEBS: tuple[tuple[Finger, Finger], ...] = (
    ("thumb", "index"),
    ("index", "middle"),
    ("middle", "ring"),
    ("ring", "little"),
)
WRIST = ("wrist, thumb side", "wrist, little side")
KNUCKLES = ("knuckles, index side", "knuckles, little side")
HAND_POINTS = (
    *(f"{finger} tip" for finger in FINGERS),
    *(f"{one}-{other} web" for one, other in WEBS),
    *KNUCKLES,
    *WRIST,
)
"""Names of the points of a hand, from the tips to the wrist."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HandPoints:
    """What was found in one photo of a hand, kept so that a moved point needs no second look at the photo.

    `found` are the points of `HAND_POINTS` in the photo's pixels, `picture_to_mm` (3, 3) maps those to the
    reference's plane; `measuring` is what the picture adds to errors.
    """

    found: Mapping[str, Spot]
    picture_to_mm: FloatArray
    measuring: Measuring
    side: Side
    palm_up: bool
    palm_mm: float
    palm_middle: Spot
    seen_as: Side
    wrist_found: WristFound


def found_points(marks: HandLandmarks, picture_to_mm: FloatArray) -> dict[str, Spot]:
    """The landmarks of a hand by name, back in the pixels that `picture_to_mm` (3, 3) maps to the plane."""
    places = [
        *(marks.tips[finger] for finger in FINGERS),
        *(marks.webs[pair] for pair in WEBS),
        *marks.knuckles,
        *marks.wrist,
    ]
    back = np.asarray(np.linalg.inv(picture_to_mm), dtype=np.float64)
    seen = on_plane(back, np.array(places))
    return {name: (float(x), float(y)) for name, (x, y) in zip(HAND_POINTS, seen, strict=True)}


def sizes_at(hand: HandPoints, placed: Mapping[str, Spot]) -> HandSizes:
    """Sizes of a hand with some of its points moved.

    Parameters
    ----------
    hand
        What was found.
    placed
        Moved points in the photo's pixels, by name; the others count where they were found.

    Notes
    -----
    A wrist of which either end was moved is the crease as a person marked it, with that error.
    """
    points = {**hand.found, **placed}
    at = dict(
        zip(
            HAND_POINTS, on_plane(hand.picture_to_mm, np.array([points[n] for n in HAND_POINTS])), strict=True
        )
    )
    marks = HandLandmarks(
        tips={finger: at[f"{finger} tip"] for finger in FINGERS},
        webs={(one, other): at[f"{one}-{other} web"] for one, other in WEBS},
        wrist=(at[WRIST[0]], at[WRIST[1]]),
        knuckles=(at[KNUCKLES[0]], at[KNUCKLES[1]]),
        palm_mm=hand.palm_mm,
        palm_middle=np.array(hand.palm_middle),
        seen_as=hand.seen_as,
        wrist_found="placed" if set(WRIST) & set(placed) else hand.wrist_found,
    )
    return hand_sizes(marks, hand.measuring, side=hand.side, palm_up=hand.palm_up)
