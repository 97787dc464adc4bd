r"""Angles and places of tagged things over a tagged floor strip, each end brought down from its own height.

::

        camera o                 a thing at height h is seen on the floor too large and too far out from the
               |\  \             point under the camera, both by k = D / (D - h); its known size tells k, and
             D |  \   \          so the place is brought back: place = nadir + (seen - nadir) / k
               |    o---\ tag at height h
        nadir -+------x----x--- floor: x along the target line, y ahead of the player, mm

Seen from above, along the axis of rotation: a tag seen face-on says nothing about its tilt.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenground.errors import MeasureError
from evenground.estimate import Estimate
from evenground.floor import line_deg
from evenground.measure.homography import fit_plane, on_plane
from evenground.sourced import Sourced

__all__ = [
    "CameraGuess",
    "Floor",
    "Lens",
    "Seen",
    "StripMisfitError",
    "TaggedLine",
    "floor_from_strip",
    "line_between",
    "place_of",
]

FloatArray = NDArray[np.float64]

CORNER_SD = Sourced(0.04, "px", "ours: sides fitted by lines on rendered tags, 0.03, with room for paper")
PRINT_SD = Sourced(0.15, "mm", "ours: where a printer and a pair of scissors put a tag")
FOCAL_SD = Sourced(0.15, "of the focal length", "ours: a lens that nobody calibrated")
BEND_SD = Sourced(0.03, "k1", "ours: first radial coefficient of phone lenses that nobody calibrated")
MISFIT_MM = 2.0
_DRAWS = 64


class StripMisfitError(MeasureError):
    """A floor strip whose tags do not lie where its sheet says."""

    do = "Lay the strip flat, joints on their marks, print it at 100 %, and take the picture again."

    def __init__(self, misfit_mm: float) -> None:
        super().__init__(misfit_mm)
        self.where = "floor strip"
        self.what = (
            f"Its tags lie {misfit_mm:.1f} mm off where the sheet puts them; {MISFIT_MM:g} mm is the limit."
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lens:
    """A calibrated camera: focal length and middle in pixels, distortion coefficients k1 k2 p1 p2 k3."""

    focal_px: tuple[float, float]
    middle_px: tuple[float, float]
    bends: tuple[float, float, float, float, float]

    def straight(self, points_px: FloatArray) -> FloatArray:
        """Points (N, 2) as a lens without distortion shows them: Brown's model, inverted by iteration."""
        f, c = np.array(self.focal_px), np.array(self.middle_px)
        seen = (np.asarray(points_px, float) - c) / f
        k1, k2, p1, p2, k3 = self.bends
        plain = seen.copy()
        for _ in range(12):
            x, y = plain.T
            r2 = x * x + y * y
            radial = 1.0 + r2 * (k1 + r2 * (k2 + r2 * k3))
            shift = np.empty_like(plain)
            shift[:, 0] = 2.0 * p1 * x * y + p2 * (r2 + 2.0 * x * x)
            shift[:, 1] = p1 * (r2 + 2.0 * y * y) + 2.0 * p2 * x * y
            before, plain = plain, (seen - shift) / radial[:, None]
            if np.abs(plain - before).max(initial=0.0) < 1e-13:
                break
        return np.asarray(plain * f + c)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CameraGuess:
    """A camera as far as it is known: a calibrated lens, or a focal length and the picture's middle."""

    focal_px: float
    middle_px: tuple[float, float]
    lens: Lens | None = None

    @property
    def calibrated(self) -> bool:
        """Whether the lens was calibrated."""
        return self.lens is not None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seen:
    """Corners (4, 2) in pixels of a tag of known size, in its print's order; `height_mm` where known."""

    corners_px: FloatArray
    size_mm: float
    height_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Draw:
    """One possible camera: picture to floor, the point under it, its height, the bend left in its lens."""

    to_mm: FloatArray
    nadir_mm: FloatArray
    camera_mm: float
    bend: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Floor:
    """The floor under a picture, its misfit, and draws of what else it may be.

    `draws` move all that may be off, `again` only what another photo of the same strip and lens shows anew.
    """

    best: _Draw
    draws: tuple[_Draw, ...]
    again: tuple[_Draw, ...]
    camera: CameraGuess
    misfit_mm: float
    px_per_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TaggedLine:
    """A line between two tags: anti-clockwise from the target line, its ends' heights, how long it is.

    Heights are as the tags' sizes tell them, also where measured ones brought the ends down.

    `again_deg` is the part of the angle's error that another photo of the same bar, strip and lens shows anew
    (noise at the corners); the rest of it is the same in every such photo.
    """

    anticlockwise_deg: Estimate
    again_deg: float
    length_mm: Estimate
    heights_mm: tuple[Estimate, Estimate]


def _straight(camera: CameraGuess, points: FloatArray, bend: float) -> FloatArray:
    """Undistorted points; an uncalibrated lens has some first-order bend, drawn."""
    if camera.lens is not None:
        return camera.lens.straight(points)
    c = np.array(camera.middle_px)
    off = (points - c) / camera.focal_px
    return np.asarray(c + (points - c) * (1.0 + bend * np.sum(off**2, axis=-1, keepdims=True)))


def _above(to_mm: FloatArray, focal: float, middle: tuple[float, float]) -> tuple[FloatArray, float]:
    """Where on the floor the camera stands over, and how high.

    Notes
    -----
    The floor's map back into the picture is ``K [r1 r2 t]``; the camera's place is ``-R' t``. Source: Zhang
    2000, IEEE Trans Pattern Anal Mach Intell 22:1330.
    """
    lens = np.array([[focal, 0.0, middle[0]], [0.0, focal, middle[1]], [0.0, 0.0, 1.0]])
    plain = np.linalg.inv(lens) @ np.linalg.inv(to_mm)
    scale = 2.0 / (np.linalg.norm(plain[:, 0]) + np.linalg.norm(plain[:, 1]))
    plain = plain * scale
    if plain[2, 2] < 0.0:
        plain = -plain
    turn = np.column_stack([plain[:, 0], plain[:, 1], np.cross(plain[:, 0], plain[:, 1])])
    left, _, right = np.linalg.svd(turn)
    place = -(left @ right).T @ plain[:, 2]
    return np.asarray(place[:2]), float(abs(place[2]))


def _one(
    camera: CameraGuess, seen_px: FloatArray, plane_mm: FloatArray, *, focal: float, bend: float
) -> _Draw:
    to_mm = fit_plane(_straight(camera, seen_px, bend), plane_mm)
    middle = camera.middle_px if camera.lens is None else camera.lens.middle_px
    nadir, height = _above(to_mm, focal, middle)
    return _Draw(to_mm=to_mm, nadir_mm=nadir, camera_mm=height, bend=bend)


def floor_from_strip(
    strip: Mapping[int, FloatArray], layout_mm: Mapping[int, FloatArray], camera: CameraGuess
) -> Floor:
    """The floor under a picture from the strip's tags.

    Parameters
    ----------
    strip
        (4, 2) corners in pixels by tag.
    layout_mm
        (4, 2) the same corners on the printed strip, by tag.
    camera
        The lens, calibrated or not.

    Raises
    ------
    StripMisfitError
        If the tags lie more than 2 mm off where the sheet puts them.
    NoPlaneError
        With no tag of the strip.

    Notes
    -----
    Draws move every corner by 0.04 px and every tag by 0.15 mm (ours); without a calibration also the focal
    length by 15 % and the first radial coefficient by 0.03, so that the stated errors grow to match. Half as
    many draws move the corners alone.
    """
    ids = sorted(set(strip) & set(layout_mm))
    seen = np.vstack([np.zeros((0, 2)), *(strip[i] for i in ids)])
    plane = np.vstack([np.zeros((0, 2)), *(layout_mm[i] for i in ids)])
    focal = camera.focal_px if camera.lens is None else sum(camera.lens.focal_px) / 2.0
    best = _one(camera, seen, plane, focal=focal, bend=0.0)
    off = on_plane(best.to_mm, _straight(camera, seen, 0.0)) - plane
    misfit = float(np.sqrt(np.mean(np.sum(off**2, axis=1))))
    if misfit > MISFIT_MM:
        raise StripMisfitError(misfit)
    rng = np.random.default_rng(20261125)
    loose = not camera.calibrated
    draws, again = [], []
    for _ in range(_DRAWS // 2):
        moved = seen + rng.normal(0.0, CORNER_SD.value, seen.shape)
        again.append(_one(camera, moved, plane, focal=focal, bend=0.0))
    for _ in range(_DRAWS):
        moved = seen + rng.normal(0.0, CORNER_SD.value, seen.shape)
        printed = plane + np.repeat(rng.normal(0.0, PRINT_SD.value, (len(ids), 2)), 4, axis=0)
        draws.append(
            _one(
                camera,
                moved,
                printed,
                focal=focal * (1.0 + FOCAL_SD.value * rng.standard_normal() * loose),
                bend=BEND_SD.value * rng.standard_normal() * loose,
            )
        )
    sides = [
        float(np.hypot(*(strip[i][1] - strip[i][0])) / np.hypot(*(layout_mm[i][1] - layout_mm[i][0])))
        for i in ids
    ]
    return Floor(
        best=best,
        draws=tuple(draws),
        again=tuple(again),
        camera=camera,
        misfit_mm=misfit,
        px_per_mm=float(np.median(sides)),
    )


def _brought_down(floor: Floor, draw: _Draw, seen: Seen, corners: FloatArray) -> tuple[FloatArray, float]:
    """A tag's middle on the floor under it, and the height that its size tells."""
    there = on_plane(draw.to_mm, _straight(floor.camera, corners, draw.bend))
    area = 0.5 * abs(
        float(np.sum(there[:, 0] * np.roll(there[:, 1], -1) - np.roll(there[:, 0], -1) * there[:, 1]))
    )
    told = math.sqrt(area) / seen.size_mm
    k = told if seen.height_mm is None else draw.camera_mm / (draw.camera_mm - seen.height_mm)
    middle = draw.nadir_mm + (there.mean(axis=0) - draw.nadir_mm) / k
    return middle, draw.camera_mm * (1.0 - 1.0 / told)


def place_of(floor: Floor, seen: Seen) -> tuple[Estimate, Estimate]:
    """Where a tag lies, x along the target line and y ahead, on the strip's frame."""
    best, _ = _brought_down(floor, floor.best, seen, seen.corners_px)
    rng = np.random.default_rng(7)
    drawn = np.array([_brought_down(floor, d, seen, _moved(rng, seen))[0] for d in floor.draws])
    x, y = (
        Estimate(value=float(v), se=float(s), n=1, unit="mm")
        for v, s in zip(best, drawn.std(axis=0), strict=True)
    )
    return x, y


def _moved(rng: np.random.Generator, seen: Seen, *, glue: bool = True) -> FloatArray:
    """Corners as they may lie as well: each by itself, and all together by where the tag was glued."""
    px_per_mm = float(np.hypot(*(seen.corners_px[1] - seen.corners_px[0]))) / seen.size_mm
    glued = rng.normal(0.0, PRINT_SD.value * px_per_mm, 2) * glue
    return np.asarray(seen.corners_px + rng.normal(0.0, CORNER_SD.value, (4, 2)) + glued)


def line_between(floor: Floor, first: Seen, last: Seen) -> TaggedLine:
    """The line from one tag to another, each end brought down from its own height.

    Parameters
    ----------
    floor
        From `floor_from_strip`.
    first, last
        The player's left and right end; or heel and toe of a foot or a club face.

    Notes
    -----
    Angle of the two middles on the floor; standard errors are the spread over the floor's draws with the
    tags' own corners moved too. Ends of different height cost nothing as long as the tags' sizes tell them.
    """

    def ends(draw: _Draw, one: FloatArray, other: FloatArray) -> tuple[FloatArray, ...]:
        (a, ha), (b, hb) = _brought_down(floor, draw, first, one), _brought_down(floor, draw, last, other)
        return a, b, np.array([ha, hb])

    a, b, heights = ends(floor.best, first.corners_px, last.corners_px)
    rng = np.random.default_rng(11)
    angles, lengths, highs = [], [], []
    best = line_deg((float(a[0]), float(a[1])), (float(b[0]), float(b[1])))
    for draw in floor.draws:
        p, q, h = ends(draw, _moved(rng, first), _moved(rng, last))
        angles.append(_turned(p, q, best))
        lengths.append(float(np.hypot(*(q - p))))
        highs.append(h)
    again = []
    for draw in floor.again:
        p, q, _ = ends(draw, _moved(rng, first, glue=False), _moved(rng, last, glue=False))
        again.append(_turned(p, q, best))
    spread = np.std(highs, axis=0)
    return TaggedLine(
        anticlockwise_deg=Estimate(value=best, se=_spread(angles), n=1, unit="deg"),
        again_deg=_spread(again),
        length_mm=Estimate(value=float(np.hypot(*(b - a))), se=_spread(lengths), n=1, unit="mm"),
        heights_mm=(
            Estimate(value=float(heights[0]), se=float(spread[0]), n=1, unit="mm"),
            Estimate(value=float(heights[1]), se=float(spread[1]), n=1, unit="mm"),
        ),
    )


def _turned(start: FloatArray, end: FloatArray, from_deg: float) -> float:
    """How far a line is turned from a direction, in [-180, 180)."""
    turn = line_deg((float(start[0]), float(start[1])), (float(end[0]), float(end[1]))) - from_deg
    return (turn + 180.0) % 360.0 - 180.0


def _spread(values: Sequence[float]) -> float:
    return float(np.std(values))
