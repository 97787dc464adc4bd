"""From a picture of a plane to the plane itself: the projective map through known points, with its error."""

import numpy as np
from numpy.typing import NDArray

from evenground.errors import MeasureError

__all__ = ["NoPlaneError", "fit_plane", "fit_similarity", "on_plane"]

FloatArray = NDArray[np.float64]


class NoPlaneError(MeasureError):
    """Points from which no plane can be told: fewer than four, or on one line."""

    do = "Take the picture again with every mark of the reference in view."

    def __init__(self, count: int) -> None:
        super().__init__(count)
        self.where = "photo"
        self.what = f"{count} points do not tell where the plane lies."


def _normal(points: FloatArray) -> FloatArray:
    """(3, 3) map that brings points to mean 0 and mean distance root 2, so that the fit is well balanced."""
    middle = points.mean(axis=0)
    scale = np.sqrt(2.0) / max(float(np.hypot(*(points - middle).T).mean()), 1e-12)
    return np.array([[scale, 0.0, -scale * middle[0]], [0.0, scale, -scale * middle[1]], [0.0, 0.0, 1.0]])


def fit_plane(seen_px: FloatArray, plane_mm: FloatArray) -> FloatArray:
    """Projective map from the picture to the plane.

    Parameters
    ----------
    seen_px
        (N, 2), N >= 4, in the picture.
    plane_mm
        (N, 2), where these points lie.

    Returns
    -------
    homography
        (3, 3), last element 1; exact for four points, least squares of the algebraic error for more.

    Raises
    ------
    NoPlaneError
        With fewer than four points, or points on one line.

    Notes
    -----
    Direct linear transformation on normalised points. Source: Hartley and Zisserman, Multiple View Geometry
    in Computer Vision, 2nd ed., algorithm 4.2.
    """
    seen, plane = np.asarray(seen_px, dtype=float), np.asarray(plane_mm, dtype=float)
    if len(seen) < 4:
        raise NoPlaneError(len(seen))
    one, other = _normal(seen), _normal(plane)
    x, y = (seen @ one[:2, :2].T + one[:2, 2]).T
    u, v = (plane @ other[:2, :2].T + other[:2, 2]).T
    zero, unit = np.zeros_like(x), np.ones_like(x)
    rows = np.concatenate(
        [
            np.column_stack([-x, -y, -unit, zero, zero, zero, u * x, u * y, u]),
            np.column_stack([zero, zero, zero, -x, -y, -unit, v * x, v * y, v]),
        ]
    )
    _, sizes, right = np.linalg.svd(rows, full_matrices=len(rows) < 9)
    if sizes[7] < 1e-9 * sizes[0]:
        raise NoPlaneError(len(seen))
    whole = np.linalg.inv(other) @ right[-1].reshape(3, 3) @ one
    return np.asarray(whole / whole[2, 2])


def fit_similarity(seen_px: FloatArray, plane_mm: FloatArray) -> tuple[FloatArray, float]:
    """Turn, scale and shift from picture to plane, as a (3, 3) map, and its rms misfit in pixels.

    For pictures taken from straight above: four numbers instead of eight, so noise at a small reference is
    not carried out to a hand beside it. Both must be of one handedness.

    Notes
    -----
    Least squares over complex numbers, ``plane = a seen + b``.
    """
    z = np.asarray(seen_px) @ np.array([1.0, 1.0j])
    w = np.asarray(plane_mm) @ np.array([1.0, 1.0j])
    zc, wc = z - z.mean(), w - w.mean()
    a = np.vdot(zc, wc) / np.vdot(zc, zc)
    b = w.mean() - a * z.mean()
    misfit = np.sqrt(float(np.mean(np.abs(a * z + b - w) ** 2))) / abs(a)
    matrix = np.array([[a.real, -a.imag, b.real], [a.imag, a.real, b.imag], [0.0, 0.0, 1.0]])
    return matrix, float(misfit)


def on_plane(homography: FloatArray, points: FloatArray) -> FloatArray:
    """Points (N, 2) of the picture on the plane, (N, 2)."""
    mapped = np.asarray(points, dtype=float) @ homography[:, :2].T + homography[:, 2]
    return np.asarray(mapped[..., :2] / mapped[..., 2:])
