"""Tags in a photo: found by their code on a smaller copy, their corners by our own lines on the whole."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenground.capture.photo import Photo
from evenground.errors import CaptureError
from evenground.measure.corners import refine_corners

__all__ = ["FoundTags", "MirroredPrintError", "TagNotFoundError", "TooDarkError", "find_tags", "missing_tag"]

FloatArray = NDArray[np.float64]

DETECT_SIDE = 1500
STEEPEST_BLURRED = 0.15
BURNT_OUT = 252
GLARE_PX = 900
TYPICAL_FOCAL = 26.0 / 43.27
"""Focal length over the diagonal of the usual phone's main camera (ours), where the photo says nothing."""


class TagNotFoundError(CaptureError):
    """A tag that the photo does not show."""

    do = "Move the camera until all of it is in view, and avoid glare and shadow on the tags."

    def __init__(self, photo: str, wanted: str, found: tuple[int, ...], why: str = "") -> None:
        super().__init__(photo, wanted, found, why)
        self.where = photo
        listed = ", ".join(map(str, found)) or "no tag at all"
        self.what = f"{wanted} is not in the picture (found: {listed}){why and f'; {why}'}."


class MirroredPrintError(CaptureError):
    """Tags that are only found in a mirror."""

    do = "Switch mirroring off in the camera's settings, or print the sheets again without it."

    def __init__(self, photo: str) -> None:
        super().__init__(photo)
        self.where = photo
        self.what = "The tags are mirrored."


class TooDarkError(CaptureError):
    """A photo without enough light for a tag to be told."""

    do = "Put the lights on, or wait until the camera has set itself."

    def __init__(self, photo: str) -> None:
        super().__init__(photo)
        self.where = photo
        self.what = "The picture is too dark."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FoundTags:
    """Corners (4, 2) in pixels by tag, in the order of each print; tags whose sides could not be fitted."""

    corners_px: Mapping[int, FloatArray]
    unclear: tuple[int, ...]


def _detected(grey: NDArray[np.uint8], factor: float) -> dict[int, FloatArray]:
    import cv2

    family = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    settings.minMarkerPerimeterRate = 0.02
    settings.minDistanceToBorder = 0
    corners, ids, _ = cv2.aruco.ArucoDetector(family, settings).detectMarkers(grey)
    if ids is None:
        return {}
    # The middle of a pixel of the smaller copy lies between those of the full picture.
    at = [(np.asarray(c, float).reshape(4, 2) + 0.5) * factor - 0.5 for c in corners]
    return {int(i): c for i, c in zip(np.asarray(ids).ravel(), at, strict=True)}


def find_tags(photo: Photo) -> FoundTags:
    """Every tag in a photo, its corners to a small part of a pixel.

    Raises
    ------
    TooDarkError
        If hardly any pixel is light.
    MirroredPrintError
        If tags are found only in the mirrored picture.
    """
    import cv2

    grey = np.asarray(cv2.cvtColor(photo.rgb, cv2.COLOR_RGB2GRAY), np.uint8)
    small = _smaller(grey)
    exact = grey.shape[1] / small.shape[1]
    found = _detected(small, exact)
    if not found:
        if float(np.quantile(small, 0.98)) < 40.0:
            raise TooDarkError(photo.name)
        if _detected(np.ascontiguousarray(small[:, ::-1]), exact):
            raise MirroredPrintError(photo.name)
    corners: dict[int, FloatArray] = {}
    unclear = []
    for tag, rough in found.items():
        fitted = _fitted(grey, rough)
        if fitted is None:
            unclear.append(tag)
        else:
            corners[tag] = fitted
    return FoundTags(corners_px=corners, unclear=tuple(sorted(unclear)))


def _smaller(grey: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The picture with its longer side reduced to what codes are looked for in."""
    import cv2

    factor = max(1.0, max(grey.shape) / DETECT_SIDE)
    if factor == 1.0:
        return grey
    size = {"fx": 1.0 / factor, "fy": 1.0 / factor}
    return np.asarray(cv2.resize(grey, None, **size, interpolation=cv2.INTER_AREA), np.uint8)


def missing_tag(
    photo: Photo, wanted: str, tags: tuple[int, ...], found: FoundTags
) -> TagNotFoundError | MirroredPrintError:
    """What to say of tags that a photo does not show: mirrored, or missing for a reason that can be seen.

    Parameters
    ----------
    photo, found
        The photo, and what was found in it.
    wanted, tags
        What is missing, in words and by number.
    """
    import cv2

    small = _smaller(np.asarray(cv2.cvtColor(photo.rgb, cv2.COLOR_RGB2GRAY), np.uint8))
    if set(_detected(np.ascontiguousarray(small[:, ::-1]), 1.0)) & set(tags):
        return MirroredPrintError(photo.name)
    seen = tuple(sorted((*found.corners_px, *found.unclear)))
    return TagNotFoundError(photo.name, wanted, seen, _why_unseen(small))


def _why_unseen(small: NDArray[np.uint8]) -> str:
    """Blur or glare, as far as a picture shows them; empty when it shows neither.

    A step from black to white blurred by an SD of s pixels rises by 0.4 / s of its height in a pixel at most;
    1.5 px of our own blur come first, so that noise is no step: 0.27 for a sharp picture.
    """
    import cv2

    white = cv2.erode((small >= BURNT_OUT).astype(np.uint8), np.ones((5, 5), np.uint8))
    _, _, patches, _ = cv2.connectedComponentsWithStats(white)
    if len(patches) > 1 and int(patches[1:, cv2.CC_STAT_AREA].max()) >= GLARE_PX:
        return "a patch of the picture is burnt out by glare"
    calm = cv2.GaussianBlur(small.astype(np.float32), (0, 0), 1.5)
    low, high = (float(v) for v in np.quantile(calm, (0.005, 0.995)))
    rise = np.abs(np.diff(calm, axis=1))
    if float(np.quantile(rise, 0.9995)) < STEEPEST_BLURRED * max(high - low, 1.0):
        return "the picture is blurred"
    return ""


def _fitted(grey: NDArray[np.uint8], rough: FloatArray) -> FloatArray | None:
    """Corners fitted on the tag's own patch: 12 million pixels need not become floats."""
    low = np.floor(rough.min(axis=0)).astype(int) - 14
    high = np.ceil(rough.max(axis=0)).astype(int) + 14
    left, top = max(int(low[0]), 0), max(int(low[1]), 0)
    patch = grey[top : int(high[1]) + 1, left : int(high[0]) + 1].astype(np.float64)
    offset = np.array([left, top], float)
    fitted = refine_corners(patch, rough - offset)
    return None if fitted is None else fitted + offset
