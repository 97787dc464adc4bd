"""Corners of a dark square on a light ground to a small part of a pixel: straight lines fitted to its sides.

Built-in corner searches look at the corner itself, where blur rounds it; a side has hundreds of pixels.
"""

import math

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

__all__ = ["refine_corners"]

FloatArray = NDArray[np.float64]

_SPAN = (0.14, 0.86)
_ROUNDS = 2


def refine_corners(grey: NDArray[np.floating], corners: FloatArray) -> FloatArray | None:
    """Corners of one square tag from lines along its four sides.

    Parameters
    ----------
    grey
        (R, C) brightness.
    corners
        (4, 2) x, y of a first guess, good to a few pixels, in order around the square.

    Returns
    -------
    refined
        (4, 2), pixel centres at whole numbers; None when a side has no edge to speak of (glare, blur).

    Notes
    -----
    Across each side, at 25 to 120 places, the middle of the brightness step (its gradient's centroid) is
    taken; a line is fitted twice, the worst places left out, and neighbouring lines are met. On rendered
    tags 0.05 px at 40 px a side, better on larger ones (bench/prove_camera.py).
    """
    found = np.asarray(corners, dtype=float)
    for _ in range(_ROUNDS):
        lines = [_side(grey, found[k], found[(k + 1) % 4], found.mean(axis=0)) for k in range(4)]
        if any(line is None for line in lines):
            return None
        met = np.array([_meet(lines[k - 1], lines[k]) for k in range(4)])  # type: ignore[arg-type]
        if not np.all(np.isfinite(met)) or float(np.abs(met - corners).max()) > _reach(corners) * 2.0:
            return None
        found = met
    return found


def _reach(corners: FloatArray) -> float:
    """Half a module of the shortest side in pixels: how far across it one may look and not meet the code."""
    sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    return float(np.clip(0.45 * sides.min() / 8.0, 1.6, 8.0))


def _side(
    grey: NDArray[np.floating], start: FloatArray, end: FloatArray, middle: FloatArray
) -> tuple[FloatArray, FloatArray] | None:
    """A point and a direction of the line along one side, None without an edge."""
    along = end - start
    length = float(np.hypot(*along))
    if length < 8.0:
        return None
    out = np.array([along[1], -along[0]]) / length
    if float((start + along / 2.0 - middle) @ out) < 0.0:
        out = -out
    reach = float(np.clip(0.45 * length / 8.0, 1.6, 8.0))
    steps = np.arange(-reach, reach + 1e-9, 0.25)
    count = int(np.clip(0.6 * length, 25, 120))
    places = start + np.linspace(*_SPAN, count)[:, None] * along
    x = places[:, 0, None] + steps * out[0]
    y = places[:, 1, None] + steps * out[1]
    if x.min() < 1.0 or y.min() < 1.0 or x.max() > grey.shape[1] - 2.0 or y.max() > grey.shape[0] - 2.0:
        return None
    bright = ndimage.map_coordinates(grey, [y, x], order=1, output=np.float64)
    rise = np.clip(np.diff(bright, axis=1), 0.0, None)  # from the dark square out into the light
    step = rise.sum(axis=1)
    usual = float(np.sort(step)[len(step) // 2])
    if usual < 20.0:
        return None
    rise = np.where(rise > 0.2 * rise.max(axis=1, keepdims=True), rise, 0.0)
    off = (rise @ (steps[:-1] + 0.125)) / np.maximum(rise.sum(axis=1), 1e-9)
    points = places + off[:, None] * out
    return _line(points[step > 0.4 * usual])


def _line(points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """A point and a direction of the line through points; its direction from the sums of squares, exactly."""
    for _ in range(2):
        middle = points.mean(axis=0)
        x, y = (points - middle).T
        turn = 0.5 * math.atan2(2.0 * float(x @ y), float(x @ x) - float(y @ y))
        direction = np.array([math.cos(turn), math.sin(turn)])
        off = np.abs(x * -direction[1] + y * direction[0])
        keep = off <= max(3.0 * float(np.sort(off)[len(off) // 2]), 0.02)
        if keep.sum() < 8:
            break
        points = points[keep]
    return middle, direction


def _meet(one: tuple[FloatArray, FloatArray], other: tuple[FloatArray, FloatArray]) -> FloatArray:
    (p, a), (q, b) = one, other
    across = a[0] * b[1] - a[1] * b[0]
    if abs(across) < 1e-6:
        return np.full(2, np.nan)
    share = ((q[0] - p[0]) * b[1] - (q[1] - p[1]) * b[0]) / across
    return np.asarray(p + share * a)
