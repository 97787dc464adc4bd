"""A photo of a tagged bar with what was read from it: tags, strip, lines, and each number on its line."""

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from evenground.capture.bar_photo import LINES, Line, ReadPhoto
from evenground.capture.sheets import sheets
from evenground.report.paper import font_folders

__all__ = ["bar_picture"]

FloatArray = NDArray[np.float64]
ACCENT, PAPER, INK = (156, 61, 42), (250, 247, 240), (38, 34, 30)
MOST_SIDE = 1600


def bar_picture(read: ReadPhoto, wanted: Sequence[Line | Literal["ball"]] = ()) -> Image.Image:
    """The photo with what was read drawn on it, turned until the target line runs across, the player below.

    Parameters
    ----------
    read
        From `read_bar_photo`.
    wanted
        Which lines are drawn with their numbers; all that were found when empty.
    """
    pen = _Pen(read)
    for tag, corners in read.tags.corners_px.items():
        pen.outline(corners, of_strip=tag in sheets().strip_mm)
    pen.target_line()
    for name, angle in read.found.angles.items():
        if wanted and name not in wanted:
            continue
        first, last, _ = sheets().ends[LINES[name]]
        ends = [read.tags.corners_px[tag].mean(axis=0) for tag in (first, last)]
        pen.line(*ends)
        pen.words(
            np.vstack([read.tags.corners_px[tag] for tag in (first, last)]),
            _angle_words(name, angle.angle_deg.value, angle.angle_deg.half_width()),
        )
    if read.found.ball_mm is not None and (not wanted or "ball" in wanted):
        x, ahead = read.found.ball_from_lead_mm or read.found.ball_mm
        at = read.tags.corners_px[sheets().ball[0]]
        error = max(x.half_width(), ahead.half_width())
        pen.words(at, f"ball {x.value:.0f} mm inside, {ahead.value:.0f} mm ahead, ± {error:.1f} mm")
    lens = "lens calibrated" if read.found.calibrated else "lens not calibrated"
    pen.foot(f"strip {read.found.strip_misfit_mm:.2f} mm off its sheet, {lens}")
    return pen.picture


def _angle_words(name: Line, value: float, half: float) -> str:
    """A number in words that need no sign."""
    plus, minus = ("outward", "inward") if "toe-out" in name else ("open", "closed")
    return f"{name} {abs(value):.1f}° {plus if value >= 0 else minus}, ± {half:.1f}°"


class _Pen:
    """Draws on the part of the photo that holds tags, in its pixels, however it is turned for the page."""

    def __init__(self, read: ReadPhoto) -> None:
        seen = read.tags.corners_px
        plan = {i: c for i, c in sheets().strip_mm.items() if i in seen}
        self._strip = {i: seen[i] for i in plan}
        self._quarters = _quarter_turns(np.array([seen[i].mean(axis=0) for i in plan]), plan)
        left, top, right, bottom = _box(list(seen.values()), read.photo.rgb.shape)
        self._corner = np.array([left, top], float)
        self._size = (right - left, bottom - top)
        self._scale = min(1.0, MOST_SIDE / max(self._size))
        part = Image.fromarray(np.ascontiguousarray(read.photo.rgb[top:bottom, left:right]))
        part.thumbnail((MOST_SIDE, MOST_SIDE), Image.Resampling.LANCZOS)
        self.picture = part.rotate(90 * self._quarters, expand=True)
        self._draw = ImageDraw.Draw(self.picture)
        self._wide = max(2, round(max(self.picture.size) / 500))
        sans = Path(font_folders()[0]) / "SourceSansPro-Regular.otf"
        self._font = ImageFont.truetype(str(sans), max(16, round(max(self.picture.size) / 40)))
        self._taken: list[tuple[float, float, float, float]] = []

    def _at(self, point: FloatArray) -> tuple[float, float]:
        """Where a pixel of the photo lies in the picture; turned counter-clockwise by whole quarters."""
        x, y = (float(v) for v in point - self._corner)
        wide, tall = self._size
        for _ in range(self._quarters):
            x, y, wide, tall = y, wide - 1.0 - x, tall, wide
        return x * self._scale, y * self._scale

    def outline(self, corners: FloatArray, *, of_strip: bool) -> None:
        """A tag's edge, the strip's thinner than a bar's."""
        ring = [self._at(c) for c in (*corners, corners[0])]
        self._draw.line(ring, fill=PAPER, width=2 * self._wide)
        self._draw.line(ring, fill=INK if of_strip else ACCENT, width=self._wide)

    def line(self, start: FloatArray, end: FloatArray) -> None:
        """What an angle is read from."""
        ends = [self._at(start), self._at(end)]
        self._draw.line(ends, fill=PAPER, width=3 * self._wide)
        self._draw.line(ends, fill=ACCENT, width=self._wide)

    def target_line(self) -> None:
        """Along the strip, through the middles of its nearest row."""
        rows = sheets().strip_mm
        near = min(rows[i][:, 1].mean() for i in self._strip)
        row = sorted(
            (i for i in self._strip if rows[i][:, 1].mean() < near + 1.0), key=lambda i: rows[i][0, 0]
        )
        if len(row) < 2:
            return
        ends = [self._at(self._strip[i].mean(axis=0)) for i in (row[0], row[-1])]
        self._draw.line(ends, fill=PAPER, width=2 * self._wide)
        self._draw.line(ends, fill=INK, width=max(1, self._wide // 2))

    def foot(self, words: str) -> None:
        """Words along the lower edge, smaller than the numbers."""
        font = self._font.font_variant(size=max(14, round(0.75 * self._font.size)))
        left, top, right, bottom = self._draw.textbbox((0, 0), words, font=font)
        pad = 3.0 * self._wide
        low = self.picture.height - 1.0
        self._draw.rectangle((0, low - (bottom - top) - 2.0 * pad, right - left + 2.0 * pad, low), fill=PAPER)
        self._draw.text((pad - left, low - (bottom - top) - pad - top), words, fill=INK, font=font)

    def words(self, near: FloatArray, words: str) -> None:
        """Words on a slip of paper over all of `near` (N, 2), else under it; never over other words."""
        places = np.array([self._at(p) for p in near])
        left, top, right, bottom = self._draw.textbbox((0, 0), words, font=self._font)
        wide, tall, pad = right - left, bottom - top, 4.0 * self._wide
        x = float(np.clip(places[:, 0].mean() - wide / 2.0, pad, max(self.picture.width - wide - pad, pad)))
        over, under = places[:, 1].min() - tall - 3.0 * pad, places[:, 1].max() + 3.0 * pad
        rows = [over - k * (tall + 3.0 * pad) for k in range(3)] + [
            under + k * (tall + 3.0 * pad) for k in range(9)
        ]
        slips = [(x - pad, y - pad, x + wide + pad, y + tall + pad) for y in rows if y > pad]
        slip = next((s for s in slips if not any(_meet(s, other) for other in self._taken)), slips[-1])
        self._taken.append(slip)
        self._draw.rectangle(slip, fill=PAPER, outline=ACCENT)
        self._draw.text((slip[0] + pad - left, slip[1] + pad - top), words, fill=INK, font=self._font)


def _meet(one: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _box(corners: Sequence[FloatArray], shape: Sequence[int]) -> tuple[int, int, int, int]:
    """The part of a photo that holds all tags, with room for words around them."""
    points = np.vstack(list(corners))
    room = 0.2 * float((points.max(axis=0) - points.min(axis=0)).max())
    left, top = np.maximum(np.floor(points.min(axis=0) - room), 0.0).astype(int)
    right, bottom = np.minimum(np.ceil(points.max(axis=0) + room), [shape[1], shape[0]]).astype(int)
    return int(left), int(top), int(right), int(bottom)


def _quarter_turns(seen: FloatArray, plan: dict[int, FloatArray]) -> int:
    """How many quarters counter-clockwise bring the strip's x axis nearest to the picture's."""
    x = np.array([c[:, 0].mean() for c in plan.values()])
    along = (x - x.mean()) @ (seen - seen.mean(axis=0))
    return round(math.degrees(math.atan2(float(along[1]), float(along[0]))) / 90.0) % 4
