"""The points of a hand in the photo's own pixels, and those that a person moved, as they are typed."""

from collections.abc import Sequence

import numpy as np

from evenground.capture.hand_photo import FoundHand
from evenground.capture.photo import Photo
from evenground.errors import CaptureError
from evenground.measure.hand_outline import HandLandmarks
from evenground.measure.hand_points import HAND_POINTS, HandPoints, found_points
from evenground.measure.hand_sizes import HandSizes

__all__ = ["NoSuchMoveError", "moved_points", "points_in"]


class NoSuchMoveError(CaptureError):
    """A moved point that cannot be read."""

    do = f"Write 'wrist, thumb side=702,1488', in the photo's pixels. Points: {'; '.join(HAND_POINTS)}."

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.where = "--move"
        self.what = f"{text!r} moves no point."


def moved_points(texts: Sequence[str]) -> dict[str, tuple[float, float]]:
    """Moved points, each typed as ``name=x,y``.

    Raises
    ------
    NoSuchMoveError
        For another name or form.
    """
    moved = {}
    for text in texts:
        name, _, at = text.partition("=")
        try:
            x, y = (float(v) for v in at.split(","))
        except ValueError as exc:
            raise NoSuchMoveError(text) from exc
        if name.strip() not in HAND_POINTS or not np.isfinite([x, y]).all():
            raise NoSuchMoveError(text)
        moved[name.strip()] = (x, y)
    return moved


def points_in(photo: Photo, hand: FoundHand, marks: HandLandmarks, sizes: HandSizes) -> HandPoints:
    """What was found of a hand, in the whole photo's pixels however much it was reduced to be measured."""
    to_mm = hand.to_mm @ np.diag([photo.reduced, photo.reduced, 1.0])
    return HandPoints(
        found=found_points(marks, to_mm),
        picture_to_mm=to_mm,
        measuring=hand.measuring,
        side=sizes.side,
        palm_up=sizes.palm_up,
        palm_mm=float(marks.palm_mm),
        palm_middle=(float(marks.palm_middle[0]), float(marks.palm_middle[1])),
        seen_as=marks.seen_as,
        wrist_found=marks.wrist_found,
    )
