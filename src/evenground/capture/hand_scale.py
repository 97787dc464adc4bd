"""Something of known size beside a hand: an ID-1 card, the edge of an A4 or Letter sheet, or a scan's dpi."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenground.capture.segment import Piece
from evenground.errors import CaptureError
from evenground.measure.homography import fit_plane, fit_similarity, on_plane
from evenground.sourced import Sourced

__all__ = [
    "CARD",
    "SHEETS",
    "Plane",
    "Reference",
    "ScaleNotFoundError",
    "TiltTooStrongError",
    "card_plane",
    "quad_of",
    "sheet_plane",
    "tags_plane",
]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """A rectangle of known size: long side, short side, their relative tolerance."""

    name: str
    long_mm: Sourced
    short_mm: Sourced
    relative_sd: float


CARD = Reference(
    name="card",
    long_mm=Sourced(85.60, "mm", "ISO/IEC 7810: ID-1"),
    short_mm=Sourced(53.98, "mm", "ISO/IEC 7810: ID-1"),
    relative_sd=0.0015,
)
SHEETS = {
    "a4": Reference(
        name="A4 sheet",
        long_mm=Sourced(297.0, "mm", "ISO 216: A4"),
        short_mm=Sourced(210.0, "mm", "ISO 216: A4"),
        relative_sd=0.004,
    ),
    "letter": Reference(
        name="Letter sheet",
        long_mm=Sourced(279.4, "mm", "US Letter, 11 in"),
        short_mm=Sourced(215.9, "mm", "US Letter, 8.5 in"),
        relative_sd=0.004,
    ),
}
CORNER_SD = Sourced(0.1, "px", "ours: a corner from straight lines fitted to four edges, over rendered cards")
PRINT_RELATIVE_SD = Sourced(0.003, "", "ours: a printer at 100 % whose check bar nobody measured")
LEAST_TAGS = 3
STRAIGHT_DOWN_PX = 0.7  # a misfit under this is noise: the camera looked straight down
STRONGEST_TILT = 0.30  # opposite sides of a reference that differ by more are seen too much from the side
_DRAWS = 40


class ScaleNotFoundError(CaptureError):
    """A picture without anything of known size in it."""

    do = "Put the reference flat beside the hand, wholly in the picture, on ground of another colour."

    def __init__(self, photo: str, wanted: str) -> None:
        super().__init__(photo, wanted)
        self.where = photo
        self.what = f"No {wanted} is to be seen, so nothing in the picture has a known size."


class TiltTooStrongError(CaptureError):
    """A reference seen so much from the side that sizes would be guesses."""

    do = "Hold the camera straight above the hand."

    def __init__(self, photo: str, percent: float) -> None:
        super().__init__(photo, percent)
        self.where = photo
        self.what = (
            f"Opposite sides of the reference differ by {percent:.0f} %: the camera looks too much from "
            "the side."
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plane:
    """Map from the picture to mm on the reference's plane, and draws of it that show its error."""

    name: str
    homography: FloatArray
    draws: tuple[FloatArray, ...]
    relative_sd: float
    px_per_mm: float
    tilted: bool

    def scale_sd(self, at_px: FloatArray) -> float:
        """Relative SD of a length between two points (2, 2) of the picture."""
        lengths = [float(np.hypot(*np.diff(on_plane(h, at_px), axis=0)[0])) for h in self.draws]
        return math.hypot(float(np.std(lengths)) / max(float(np.mean(lengths)), 1e-9), self.relative_sd)


def quad_of(piece: Piece) -> FloatArray | None:
    """Corners (4, 2) of a piece that is a quadrilateral, in order around it; None when it is none."""
    import cv2

    hull = cv2.convexHull(piece.outline_px.astype(np.float32))
    around = cv2.arcLength(hull, closed=True)
    for slack in (0.01, 0.02, 0.03, 0.04, 0.06):
        corners = cv2.approxPolyDP(hull, slack * around, closed=True).reshape(-1, 2)
        if len(corners) == 4:
            break
    else:
        return None
    full = cv2.contourArea(piece.outline_px.astype(np.float32))
    if full < 0.93 * cv2.contourArea(corners):
        return None
    return _sharpened(piece.outline_px, corners.astype(float))


def _sharpened(outline: FloatArray, corners: FloatArray) -> FloatArray:
    """Corners as meets of straight lines through the middle of each side: rounded corners do not count."""
    lines = []
    for k in range(4):
        start, end = corners[k], corners[(k + 1) % 4]
        along = (end - start) / np.hypot(*(end - start))
        way = (outline - start) @ along / np.hypot(*(end - start))
        off = np.abs((outline - start) @ np.array([-along[1], along[0]]))
        near = outline[(way > 0.15) & (way < 0.85) & (off < max(4.0, 0.03 * np.hypot(*(end - start))))]
        lines.append(_line(near) if len(near) >= 8 else _line(np.array([start, end])))
    return np.array([_meet(lines[k - 1], lines[k]) for k in range(4)])


def _line(points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """A point and a direction of the line through points, those furthest from it left out twice."""
    for _ in range(3):
        middle = points.mean(axis=0)
        direction = np.linalg.svd(points - middle, full_matrices=False)[2][0]
        off = np.abs((points - middle) @ np.array([-direction[1], direction[0]]))
        points = points[off <= max(2.5 * float(np.median(off)), 1e-6)] if len(points) > 8 else points
    return middle, direction


def _meet(one: tuple[FloatArray, FloatArray], other: tuple[FloatArray, FloatArray]) -> FloatArray:
    matrix = np.column_stack([one[1], -other[1]])
    share = np.linalg.solve(matrix, other[0] - one[0])
    return np.asarray(one[0] + share[0] * one[1])


def _plane(photo: str, reference: Reference, corners: FloatArray) -> Plane:
    """The plane of a rectangle whose corners are known; its long side is found by its longer sides."""
    sides = [float(np.hypot(*(corners[(k + 1) % 4] - corners[k]))) for k in range(4)]
    if sides[0] + sides[2] < sides[1] + sides[3]:
        corners, sides = np.roll(corners, -1, axis=0), [*sides[1:], sides[0]]
    tilt = max(abs(sides[0] / sides[2] - 1.0), abs(sides[1] / sides[3] - 1.0))
    if tilt > STRONGEST_TILT:
        raise TiltTooStrongError(photo, 100.0 * tilt)
    long, short = reference.long_mm.value, reference.short_mm.value
    (ax, ay), (bx, by) = corners[1] - corners[0], corners[2] - corners[1]
    height = short if ax * by - ay * bx > 0.0 else -short  # either way round, y runs down as in the picture
    target = np.array([[0.0, 0.0], [long, 0.0], [long, height], [0.0, height]])
    misfit = fit_similarity(corners, target)[1]
    tilted = misfit > STRAIGHT_DOWN_PX

    def fit(points: FloatArray) -> FloatArray:
        return fit_plane(points, target) if tilted else fit_similarity(points, target)[0]

    rng = np.random.default_rng(1)
    draws = tuple(fit(corners + rng.normal(0.0, CORNER_SD.value, (4, 2))) for _ in range(_DRAWS))
    return Plane(
        name=reference.name,
        homography=fit(corners),
        draws=draws,
        relative_sd=reference.relative_sd,
        px_per_mm=(sides[0] + sides[2]) / (2.0 * long),
        tilted=tilted,
    )


def _aspect(corners: FloatArray) -> float:
    sides = [float(np.hypot(*(corners[(k + 1) % 4] - corners[k]))) for k in range(4)]
    one, other = sides[0] + sides[2], sides[1] + sides[3]
    return max(one, other) / min(one, other)


def tags_plane(photo: str, seen_px: Mapping[int, FloatArray], layout_mm: Mapping[int, FloatArray]) -> Plane:
    """The plane of a printed hand sheet from its tags.

    Raises
    ------
    ScaleNotFoundError
        With fewer than three of its tags.
    """
    ids = sorted(set(seen_px) & set(layout_mm))
    if len(ids) < LEAST_TAGS:
        raise ScaleNotFoundError(photo, "hand sheet with three of its tags")
    seen = np.vstack([seen_px[i] for i in ids])
    target = np.vstack([layout_mm[i] for i in ids])
    rng = np.random.default_rng(1)
    draws = tuple(
        fit_plane(seen + rng.normal(0.0, CORNER_SD.value, seen.shape), target) for _ in range(_DRAWS)
    )
    sides = [
        np.hypot(*(seen_px[i][1] - seen_px[i][0])) / np.hypot(*(layout_mm[i][1] - layout_mm[i][0]))
        for i in ids
    ]
    return Plane(
        name="hand sheet",
        homography=fit_plane(seen, target),
        draws=draws,
        relative_sd=PRINT_RELATIVE_SD.value,
        px_per_mm=float(np.median(sides)),
        tilted=False,
    )


def card_plane(photo: str, things: list[Piece], shape: tuple[int, int]) -> tuple[Plane, Piece]:
    """The plane of the card among the things on the ground, and which of them it is.

    Raises
    ------
    ScaleNotFoundError
        If no thing is a card's rectangle.
    TiltTooStrongError
        If it is seen too much from the side.
    """
    wanted = CARD.long_mm.value / CARD.short_mm.value
    best: tuple[float, Piece, FloatArray] | None = None
    for piece in things:
        corners = quad_of(piece)
        if corners is None or _touches(corners, shape):
            continue
        off = abs(math.log(_aspect(corners) / wanted))
        if off < 0.22 and (best is None or off < best[0]):
            best = (off, piece, corners)
    if best is None:
        raise ScaleNotFoundError(photo, "card")
    return _plane(photo, CARD, best[2]), best[1]


def _touches(corners: FloatArray, shape: tuple[int, int]) -> bool:
    height, width = shape
    x, y = corners.T
    return bool(x.min() < 1.0 or y.min() < 1.0 or x.max() > width - 2.0 or y.max() > height - 2.0)


def sheet_plane(
    photo: str, sheet: Piece, reference: Reference, shape: tuple[int, int]
) -> tuple[Plane, FloatArray]:
    """The plane of a sheet that lies on another ground, the hand on it; and its corners.

    Raises
    ------
    ScaleNotFoundError
        If the piece is no sheet, or not wholly in the picture.
    """
    hull = _convex(sheet)
    corners = quad_of(hull)
    if corners is None or _touches(corners, shape):
        raise ScaleNotFoundError(photo, reference.name)
    plane = _plane(photo, reference, corners)
    wanted = reference.long_mm.value / reference.short_mm.value
    if abs(math.log(_aspect(corners) / wanted)) > 0.06 and not plane.tilted:
        raise ScaleNotFoundError(photo, reference.name)
    return plane, corners


def _convex(piece: Piece) -> Piece:
    """A sheet without what the arm hides of its edge."""
    import cv2

    hull = cv2.convexHull(piece.outline_px.astype(np.float32)).reshape(-1, 2)
    steps = [
        np.linspace(a, b, max(2, int(np.hypot(*(b - a)))), endpoint=False)
        for a, b in zip(hull, np.roll(hull, -1, 0), strict=True)
    ]
    return Piece(mask=piece.mask, area_px=piece.area_px, outline_px=np.vstack(steps))
