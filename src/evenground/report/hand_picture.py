"""The photo of a hand with the points that were found drawn on it."""

from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from evenground.capture.hand_photo import FoundHand
from evenground.capture.photo import Photo
from evenground.measure.hand_outline import HandLandmarks
from evenground.measure.homography import on_plane

__all__ = ["hand_picture", "write_hand_picture"]

ACCENT, PAPER = (156, 61, 42), (250, 247, 240)


def hand_picture(photo: Photo, found: FoundHand, marks: HandLandmarks) -> Image.Image:
    """The photo with outline, fingertips, webs, knuckle chord, wrist and the line of the hand's length."""
    seen = Image.fromarray(photo.rgb)
    back = np.asarray(np.linalg.inv(found.to_mm), dtype=np.float64)

    def at(*points: NDArray[np.float64]) -> list[tuple[float, float]]:
        return [(float(x), float(y)) for x, y in on_plane(back, np.array(points))]

    pen = ImageDraw.Draw(seen)
    wide = max(2, round(max(seen.size) / 420))
    pen.line(at(*found.shape.outline_mm[::4], found.shape.outline_mm[0]), fill=PAPER, width=wide)
    for line in (marks.wrist, marks.knuckles, (marks.wrist_middle, marks.tips["middle"])):
        ends = at(*line)
        pen.line(ends, fill=PAPER, width=3 * wide)
        pen.line(ends, fill=ACCENT, width=wide)
    for x, y in at(*marks.tips.values(), *marks.webs.values(), *marks.wrist):
        r = 2.2 * wide
        pen.ellipse((x - r, y - r, x + r, y + r), fill=PAPER, outline=ACCENT, width=wide)
    return seen


def write_hand_picture(out: Path, photo: Photo, found: FoundHand, marks: HandLandmarks) -> None:
    """Write `hand_picture` to a file."""
    hand_picture(photo, found, marks).save(out)
