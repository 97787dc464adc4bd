"""One hand out of a photo or a scan: found on its plain ground, on a plane of known scale, or refused."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from evenground.capture.hand_scale import (
    SHEETS,
    Plane,
    ScaleNotFoundError,
    card_plane,
    sheet_plane,
    tags_plane,
)
from evenground.capture.photo import Photo
from evenground.capture.segment import Ground, Piece, distance_from_ground, pieces
from evenground.capture.sheets import sheets
from evenground.capture.tags import find_tags
from evenground.errors import CaptureError
from evenground.measure.hand_outline import HandShape
from evenground.measure.hand_sizes import HandHeight, Measuring
from evenground.measure.homography import on_plane
from evenground.sourced import Sourced

__all__ = ["BadScaleError", "BlurredError", "FoundHand", "NoHandError", "TwoHandsError", "find_hand"]

FloatArray = NDArray[np.float64]

MASK_PX_PER_MM = 2.0
EDGE_PX = Sourced(0.25, "px", "ours: an outline at half its contrast, over rendered hands")
HEIGHT = Sourced(8.0, "mm", "ours: a flat hand's outline stands half its thickness over the table")
HEIGHT_SD = Sourced(4.0, "mm", "ours: palm against finger, light against heavy hands")
UNKNOWN_HEIGHT = Sourced(
    0.008, "of a length", "ours: 8 mm of height seen from 0.5 to 1.5 m, camera not known"
)
CAMERA_SD = Sourced(0.15, "of the distance", "ours: a focal length as cameras write it down")
CAMERA_GIVEN_SD = Sourced(0.03, "of the distance", "ours: a tape held from the table to the camera")
BLUR_MM = 2.2
SOFT_MM = 0.33
"""Noise is smoothed over this before an edge's steepness is told: a sharp edge is 1.2 mm wide then."""
EDGE_MM = 3.0
"""Rim of a sheet that is left out: its own edge and shadow."""
FIELD = (0.05, 0.75)
"""Least and most of the picture that one hand may fill."""


class BadScaleError(CaptureError):
    """A scale that is none of those on offer."""

    do = "Give tags, card, a4, letter, or dpi:N for a scan."

    def __init__(self, scale: str) -> None:
        super().__init__(scale)
        self.where = "--scale"
        self.what = f"{scale!r} is no scale."


class NoHandError(CaptureError):
    """A picture without a hand on a plain ground."""

    do = "Lay the hand flat on a plain ground of another colour, and light it evenly."

    def __init__(self, photo: str) -> None:
        super().__init__(photo)
        self.where = photo
        self.what = "No hand is to be seen on a plain ground."


class TwoHandsError(CaptureError):
    """A picture with more than one hand."""

    do = "Take one hand at a time."

    def __init__(self, photo: str) -> None:
        super().__init__(photo)
        self.where = photo
        self.what = "There is more than one hand in the picture."


class BlurredError(CaptureError):
    """A picture whose edges are too soft to measure."""

    do = "Hold the camera still and let it focus, then take the picture again."

    def __init__(self, photo: str, wide_mm: float) -> None:
        super().__init__(photo, wide_mm)
        self.where = photo
        self.what = f"The hand's edge is {wide_mm:.1f} mm wide in the picture: it is blurred."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FoundHand:
    """A hand on a plane in mm, what the picture adds to its errors, and the way back into the picture."""

    shape: HandShape
    measuring: Measuring
    to_mm: FloatArray
    scale_name: str
    notes: tuple[str, ...]


def find_hand(
    photo: Photo, scale: str, *, camera_mm: float | None = None, height_mm: float | None = None
) -> FoundHand:
    """The one hand in a picture, on the plane of its reference.

    Parameters
    ----------
    photo
        The picture.
    scale
        ``tags``, ``card``, ``a4``, ``letter`` or ``dpi:N``.
    camera_mm
        How far the camera was from the table; otherwise from the lens where the camera wrote it down.
    height_mm
        How high the outline stands over the reference; half a hand's thickness unless said.

    Raises
    ------
    BadScaleError, ScaleNotFoundError, TiltTooStrongError, NoHandError, TwoHandsError, BlurredError
        Each says what to do.
    """
    if (dpi := _dpi(scale)) is not None:
        return _scanned(photo, dpi)
    ground = distance_from_ground(photo.rgb)
    shape = (photo.rgb.shape[0], photo.rgb.shape[1])
    if scale == "card":
        things = pieces(ground)
        plane, card = card_plane(photo.name, things, shape)
        hand = _one_hand(photo.name, [p for p in things if p is not card], shape)
        return _found(photo, hand, plane, ground, (camera_mm, height_mm))
    if scale in SHEETS:
        things = pieces(ground)
        if not things:
            raise ScaleNotFoundError(photo.name, SHEETS[scale].name)
        plane, corners = sheet_plane(photo.name, things[0], SHEETS[scale], shape)
        return _on_sheet(photo, plane, corners, (camera_mm, height_mm))
    if scale == "tags":
        return _on_tags(photo, (camera_mm, height_mm))
    raise BadScaleError(scale)


def _dpi(scale: str) -> float | None:
    said = re.fullmatch(r"dpi:(\d{2,4}(?:\.\d+)?)", scale)
    if said is None:
        return None
    dpi = float(said[1])
    if not 50.0 <= dpi <= 2400.0:
        raise BadScaleError(scale)
    return dpi


def _one_hand(name: str, things: list[Piece], shape: tuple[int, int]) -> Piece:
    """The largest thing, when it is the only one of a hand's size."""
    whole = shape[0] * shape[1]
    large = [p for p in things if FIELD[0] * whole < p.area_px < FIELD[1] * whole]
    if not large or large[0] is not things[0]:
        raise NoHandError(name)
    if len(things) > 1 and things[1].area_px > 0.3 * large[0].area_px:
        raise TwoHandsError(name)
    return large[0]


def _scanned(photo: Photo, dpi: float) -> FoundHand:
    """A flat-bed scan: the hand lies on the glass, so its height over it is nothing."""
    px_per_mm = dpi * photo.reduced / 25.4
    ground = distance_from_ground(photo.rgb)
    hand = _one_hand(photo.name, pieces(ground), (photo.rgb.shape[0], photo.rgb.shape[1]))
    to_mm = np.diag([1.0 / px_per_mm, 1.0 / px_per_mm, 1.0])
    measuring = Measuring(point_sd_mm=EDGE_PX.value / px_per_mm, scale_relative_sd=0.002)
    _sharp(photo.name, ground, hand, px_per_mm)
    return _shaped(hand, photo, to_mm, measuring, f"{dpi:g} dpi", ())


def _on_tags(photo: Photo, given: tuple[float | None, float | None]) -> FoundHand:
    """A hand between the tags of the printed hand sheet; the tags are painted over once they are read."""
    layout = sheets().hand_mm
    seen = find_tags(photo).corners_px
    plane = tags_plane(photo.name, seen, layout)
    corners = np.vstack(list(layout.values()))
    box = (corners.min(axis=0), corners.max(axis=0))
    return _straightened(photo, plane, box, given, painted=[c for i, c in layout.items() if i in seen])


def _on_sheet(
    photo: Photo, plane: Plane, corners: FloatArray, given: tuple[float | None, float | None]
) -> FoundHand:
    """A hand on a sheet of paper, whose own edge is no ground."""
    mm = on_plane(plane.homography, corners)
    return _straightened(photo, plane, (mm.min(axis=0) + EDGE_MM, mm.max(axis=0) - EDGE_MM), given)


def _straightened(
    photo: Photo,
    plane: Plane,
    box_mm: tuple[FloatArray, FloatArray],
    given: tuple[float | None, float | None],
    *,
    painted: Sequence[FloatArray] = (),
) -> FoundHand:
    """A hand on paper, the paper turned straight first, since it is the ground that the hand lies on."""
    import cv2

    low, high = box_mm
    finer = min(plane.px_per_mm * 1.2, 6.0)
    place = np.array([[finer, 0.0, -finer * low[0]], [0.0, finer, -finer * low[1]], [0.0, 0.0, 1.0]])
    size = np.ceil((high - low) * finer).astype(int)
    seen: NDArray[Any] = cv2.warpPerspective(
        photo.rgb, place @ plane.homography, (int(size[0]), int(size[1]))
    )
    rgb = np.ascontiguousarray(seen, dtype=np.uint8)
    paper = tuple(float(v) for v in np.quantile(rgb.reshape(-1, 3), 0.9, axis=0))
    for corners in painted:
        middle = corners.mean(axis=0)
        grown = (middle + (corners - middle) * 1.35 - low) * finer
        cv2.fillPoly(rgb, [np.rint(grown).astype(np.int32)], paper)
    ground = distance_from_ground(rgb)
    hand = _one_hand(photo.name, pieces(ground), (rgb.shape[0], rgb.shape[1]))
    _sharp(photo.name, ground, hand, finer)
    back = np.array([[1.0 / finer, 0.0, low[0]], [0.0, 1.0 / finer, low[1]], [0.0, 0.0, 1.0]])
    sheet = Photo(name=photo.name, rgb=rgb, reduced=photo.reduced, focal_px=None)
    ends = on_plane(np.asarray(np.linalg.inv(plane.homography), dtype=np.float64), np.array([low, high]))
    measuring = _measuring(photo, plane, ends, given)
    found = _shaped(hand, sheet, back, measuring, plane.name, _tilt_note(plane))
    return FoundHand(
        shape=found.shape,
        measuring=measuring,
        to_mm=plane.homography,
        scale_name=plane.name,
        notes=found.notes,
    )


def _found(
    photo: Photo, hand: Piece, plane: Plane, ground: Ground, given: tuple[float | None, float | None]
) -> FoundHand:
    _sharp(photo.name, ground, hand, plane.px_per_mm)
    box = hand.outline_px
    ends = np.array([box[int(np.argmin(box[:, 1]))], box[int(np.argmax(box[:, 1]))]])
    measuring = _measuring(photo, plane, ends, given)
    return _shaped(hand, photo, plane.homography, measuring, plane.name, _tilt_note(plane))


def _tilt_note(plane: Plane) -> tuple[str, ...]:
    return ("The camera was tilted; sizes are corrected by the reference.",) if plane.tilted else ()


def _measuring(
    photo: Photo, plane: Plane, ends_px: FloatArray, given: tuple[float | None, float | None]
) -> Measuring:
    """Outline, scale and height; the camera's distance from its lens where that is known."""
    camera, height = given
    camera_sd = CAMERA_SD if camera is None else CAMERA_GIVEN_SD
    if camera is None and photo.focal_px is not None:
        camera = photo.focal_px / plane.px_per_mm
    known = None
    if camera is not None:
        known = HandHeight(
            height_mm=HEIGHT.value if height is None else height,
            height_sd_mm=HEIGHT_SD.value,
            camera_mm=camera,
            camera_sd_mm=camera_sd.value * camera,
        )
    return Measuring(
        point_sd_mm=EDGE_PX.value / plane.px_per_mm,
        scale_relative_sd=plane.scale_sd(ends_px),
        height=known,
        unknown_height_relative_sd=UNKNOWN_HEIGHT.value,
    )


def _sharp(name: str, ground: Ground, hand: Piece, px_per_mm: float) -> None:
    """Refuse a hand whose edge is smeared: contrast at the outline over the steepness there."""
    import cv2

    soft = cv2.GaussianBlur(ground.distance, (0, 0), SOFT_MM * px_per_mm)
    steep_x = cv2.Sobel(soft, cv2.CV_32F, 1, 0, scale=0.125)
    steep_y = cv2.Sobel(soft, cv2.CV_32F, 0, 1, scale=0.125)
    steep = cv2.dilate(np.hypot(steep_x, steep_y), np.ones((5, 5), np.uint8))
    at = np.clip(np.rint(hand.outline_px).astype(int), 0, np.array(steep.shape)[::-1] - 1)
    contrast = float(np.median(ground.distance[hand.mask]))
    wide_mm = contrast / max(float(np.median(steep[at[:, 1], at[:, 0]])), 1e-6) / px_per_mm
    if wide_mm > BLUR_MM:
        raise BlurredError(name, wide_mm)


def _shaped(
    hand: Piece, photo: Photo, to_mm: FloatArray, measuring: Measuring, scale: str, notes: tuple[str, ...]
) -> FoundHand:
    """Outline and mask of a hand in mm; outline points on the picture's edge marked."""
    import cv2

    height, width = photo.rgb.shape[:2]
    x, y = hand.outline_px.T
    edge = (x < 1.5) | (y < 1.5) | (x > width - 2.5) | (y > height - 2.5)
    outline = on_plane(to_mm, hand.outline_px)
    low = outline.min(axis=0) - 2.0
    size = np.ceil((outline.max(axis=0) - low + 2.0) * MASK_PX_PER_MM).astype(int)
    mask = np.zeros((int(size[1]), int(size[0])), np.uint8)
    cv2.fillPoly(mask, [np.rint((outline - low) * MASK_PX_PER_MM * 16.0).astype(np.int32)], 1, shift=4)
    shape = HandShape(
        outline_mm=outline,
        at_edge=edge,
        mask=mask.astype(bool),
        mm_per_px=1.0 / MASK_PX_PER_MM,
        origin_mm=(float(low[0]), float(low[1])),
    )
    return FoundHand(shape=shape, measuring=measuring, to_mm=to_mm, scale_name=scale, notes=notes)
