"""What lies on a plain ground: each pixel's distance from the ground's own colour, shading allowed for."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Ground", "Piece", "distance_from_ground", "pieces"]

FloatArray = NDArray[np.float32]

_RIM = 0.02  # of the longer side: the picture's edge, where most of it is ground
_SHADOW = 0.6  # how much a darker place counts: a shadow darkens the ground and keeps its colour
_COLOUR = 1.6  # how much colour counts beside brightness
_LEAST = 5.0  # CIELAB: under this a difference is noise or grain of the ground
_SMALL = 700


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """Distance (R, C) of each pixel from the ground's colour, in CIELAB units, and the ground's own noise."""

    distance: FloatArray
    noise: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """One thing on the ground: its mask (R, C), its area, and its outline (N, 2) to a fraction of a pixel."""

    mask: NDArray[np.bool_]
    area_px: int
    outline_px: NDArray[np.float64]


def _lab(rgb: NDArray[np.uint8]) -> FloatArray:
    import cv2

    lab = cv2.cvtColor(rgb, cv2.COLOR_RGB2LAB).astype(np.float32)
    lab[..., 0] *= 100.0 / 255.0
    lab[..., 1:] -= 128.0
    return np.asarray(lab)


def _surface(height: int, width: int) -> FloatArray:
    """(R, C, 6) terms of a quadratic over the picture: light falls off slowly across a ground."""
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    x, y = x / width - 0.5, y / height - 0.5
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)


def _weighed(off: NDArray[np.floating]) -> FloatArray:
    bright = np.where(off[..., 0] < 0.0, _SHADOW, 1.0) * off[..., 0]
    return np.asarray(np.sqrt(bright**2 + (_COLOUR * off[..., 1]) ** 2 + (_COLOUR * off[..., 2]) ** 2))


def distance_from_ground(rgb: NDArray[np.uint8]) -> Ground:
    """How far each pixel's colour lies from that of the ground around the picture's edge.

    Parameters
    ----------
    rgb
        (R, C, 3), a few things on one plain ground that reaches most of the picture's edge.

    Notes
    -----
    The commonest colour of the edge is taken as the ground; a quadratic surface in CIELAB is fitted to what
    is near it and grown over the whole picture in six rounds, so that a lamp's fall-off is no edge.
    """
    import cv2

    factor = min(1.0, _SMALL / max(rgb.shape[:2]))
    small = cv2.resize(rgb, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
    lab = _lab(np.asarray(small))
    terms = _surface(*lab.shape[:2])
    keep, noise = _near_rim(lab), 0.0
    fit: NDArray[np.floating] = np.zeros((6, 3))
    for _ in range(6):
        chosen = np.flatnonzero(keep.ravel())
        chosen = chosen[:: max(1, len(chosen) // 6000)]
        fit = np.linalg.lstsq(terms.reshape(-1, 6)[chosen], lab.reshape(-1, 3)[chosen], rcond=None)[0]
        off = _weighed(lab - terms @ fit)
        noise = 2.2 * float(np.median(off[keep])) + 3.0
        keep = off < max(noise, _LEAST)
    whole = _lab(rgb)
    surface = cv2.resize(terms @ fit, (rgb.shape[1], rgb.shape[0]), interpolation=cv2.INTER_LINEAR)
    return Ground(distance=_weighed(whole - surface).astype(np.float32), noise=max(noise, _LEAST))


def _near_rim(lab: FloatArray) -> NDArray[np.bool_]:
    """Pixels at the picture's edge that are near its commonest colour."""
    import cv2

    rim = np.zeros(lab.shape[:2], bool)
    wide = max(3, int(_RIM * max(rim.shape)))
    rim[:wide] = rim[-wide:] = True
    rim[:, :wide] = rim[:, -wide:] = True
    cv2.setRNGSeed(1)
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 20, 0.5)
    sample = lab[rim][::3].copy()
    _, found, centres = cv2.kmeans(sample, 4, np.zeros(0, np.int32), stop, 2, cv2.KMEANS_PP_CENTERS)
    common = centres[int(np.bincount(np.asarray(found, np.int64).ravel(), minlength=4).argmax())]
    return np.asarray(rim & (np.linalg.norm(lab - common, axis=-1) < 18.0))


def pieces(ground: Ground, *, least_share: float = 0.003) -> list[Piece]:
    """Things on the ground, largest first, each outlined at half its own contrast.

    Parameters
    ----------
    ground
        From `distance_from_ground`.
    least_share
        Smaller ones, as a share of the picture, are dust.
    """
    import cv2

    height, width = ground.distance.shape
    soft = np.asarray(cv2.GaussianBlur(ground.distance, (0, 0), 1.0), np.float32)
    rough = (soft > 1.6 * ground.noise).astype(np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(rough, connectivity=8)
    found = []
    for label in range(1, count):
        if stats[label, cv2.CC_STAT_AREA] < least_share * height * width:
            continue
        x, y, w, h = (int(stats[label, k]) for k in range(4))
        box = (slice(max(y - 3, 0), y + h + 3), slice(max(x - 3, 0), x + w + 3))
        found.append(_piece(soft, labels == label, box))
    return sorted((p for p in found if p is not None), key=lambda p: -p.area_px)


def _piece(soft: FloatArray, mask: NDArray[np.bool_], box: tuple[slice, slice]) -> Piece | None:
    """One thing, cut at half the contrast of what it mostly is; holes inside it are filled."""
    import cv2

    level = 0.5 * float(np.median(soft[mask]))
    near = cv2.dilate(mask[box].astype(np.uint8), np.ones((5, 5), np.uint8))
    part = np.where(near > 0, soft[box], 0.0).astype(np.float32)
    large = cv2.resize(part, None, fx=2.0, fy=2.0, interpolation=cv2.INTER_LINEAR)
    outlines, _ = cv2.findContours((large > level).astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if not outlines:
        return None
    outline = max(outlines, key=cv2.contourArea).reshape(-1, 2)
    if len(outline) < 20:
        return None
    filled = np.zeros(soft.shape, np.uint8)
    inner = np.zeros(part.shape, np.uint8)
    # A cell of the doubled picture lies a quarter of a pixel off the pixel that it came from.
    there = outline / 2.0 - 0.25
    cv2.fillPoly(inner, [np.rint(there).astype(np.int32)], 1)
    filled[box] = inner
    at = there + np.array([box[1].start, box[0].start])
    return Piece(mask=filled.astype(bool), area_px=int(filled.sum()), outline_px=at.astype(float))
