"""Rendered photos of tagged bars over a tagged floor strip: perspective, lens, blur, noise, exposure."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from evenground.capture.sheets import modules, sheets
from evenground.measure.tagged import Lens

__all__ = ["TagScene", "render_board", "render_scene"]

FloatArray = NDArray[np.float64]

PHONE_PX = (4000, 3000)
FOCAL_PX = 26.0 / 43.27 * 5000.0
QUIET = 1.0  # modules of white paper around a tag
INK, PAPER = 25.0, 225.0
PRINT_SD_MM = 0.15


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TagScene:
    """A photo (R, C, 3) and what is true: the bar's angle, its ends' heights, the camera.

    The picture is cut down to the part that holds tags; `middle_px` is where the lens's middle lies in it.
    """

    rgb: NDArray[np.uint8]
    anticlockwise_deg: float
    heights_mm: tuple[float, float]
    length_mm: float
    focal_px: float
    middle_px: tuple[float, float]
    lens: Lens
    corners_px: Mapping[int, FloatArray]


@dataclass(frozen=True, slots=True, eq=False)
class _Camera:
    turn: FloatArray
    place: FloatArray
    focal: float
    middle: FloatArray
    bends: tuple[float, float]

    def project(self, points: FloatArray) -> FloatArray:
        """Points (..., 3) of the room, z up, in pixels; radial bend included."""
        there = (points - self.place) @ self.turn.T
        plain = there[..., :2] / there[..., 2:]
        r2 = np.sum(plain**2, axis=-1, keepdims=True)
        return np.asarray(
            self.middle + self.focal * plain * (1.0 + self.bends[0] * r2 + self.bends[1] * r2**2)
        )


def _camera(
    rng: np.random.Generator,
    *,
    height: float,
    tilt_deg: float,
    bends: tuple[float, float],
    target: FloatArray,
) -> _Camera:
    """A phone held over `target` and tilted; its picture's x axis runs roughly along the target line."""
    about = rng.uniform(0.0, 2.0 * math.pi)
    spin = math.radians(rng.uniform(-20.0, 20.0))
    tilt = math.radians(tilt_deg)
    # Looking down: x right stays, picture y (down) is the room's -y, and depth is the room's -z.
    down = np.array([[1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]])
    c, s = math.cos(spin), math.sin(spin)
    spun = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]) @ down
    axis = np.array([math.cos(about), math.sin(about), 0.0])
    k = np.array([[0.0, -axis[2], axis[1]], [axis[2], 0.0, -axis[0]], [-axis[1], axis[0], 0.0]])
    tilted = np.eye(3) + math.sin(tilt) * k + (1.0 - math.cos(tilt)) * k @ k
    turn = tilted @ spun
    look = turn[2]  # the direction of sight in the room
    place = np.array([*target, 0.0]) - look * (height / -look[2])
    focal = FOCAL_PX * float(np.exp(rng.normal(0.0, 0.1)))
    return _Camera(turn, place, focal, np.array(PHONE_PX, float) / 2.0, bends)


def _corners3(middle: FloatArray, size: float, turn_deg: float) -> FloatArray:
    """Corners (4, 3) of a level tag, in its print's order, seen from above with y ahead."""
    h, a = size / 2.0, math.radians(turn_deg)
    square = np.array([[-h, h], [h, h], [h, -h], [-h, -h]])
    rotation = np.array([[math.cos(a), -math.sin(a)], [math.sin(a), math.cos(a)]])
    return np.column_stack([square @ rotation.T + middle[:2], np.full(4, middle[2])])


def render_scene(
    rng: np.random.Generator,
    *,
    name: str = "bar",
    height_mm: float | None = None,
    tilt_deg: float | None = None,
    ends_apart_mm: float | None = None,
    bent_lens: bool = True,
    hidden: tuple[int, ...] = (),
    blur_px: float | None = None,
    light: float | None = None,
    whole: bool = False,
    ball_mm: tuple[float, float] | None = None,
    tag_scale: float = 1.0,
    held: np.random.Generator | None = None,
) -> TagScene:
    """One photo of a bar over the strip.

    Parameters
    ----------
    rng
        Where every draw comes from.
    name
        Which tagged line of the sheets; the bar unless said.
    height_mm
        The camera over the floor, 1900 to 2300 mm when None.
    tilt_deg
        How far it looks from straight down, up to 20 when None.
    ends_apart_mm
        Difference of the two ends' heights, up to 25 either way when None.
    bent_lens
        Whether the lens has radial bends of a phone's size.
    hidden
        Tags that are covered.
    blur_px, light
        Blur's SD, and exposure (1 is right); drawn when None.
    whole
        Draw all twelve megapixels, and not only the part that holds tags.
    ball_mm
        Where on the floor the ball's tag lies; none when None.
    tag_scale
        At what scale the line's tags were printed, the strip being true.
    held
        Where the camera's own draws come from, for another photo of the same bar over the same strip.
    """
    plan = sheets()
    first, last, size = plan.ends[name]
    angle = float(rng.uniform(-15.0, 15.0))
    length = float(rng.uniform(380.0, 480.0))
    middle = np.array([390.0 + rng.uniform(-80.0, 80.0), 320.0 + rng.uniform(-60.0, 80.0)])
    apart = float(rng.uniform(-25.0, 25.0)) if ends_apart_mm is None else ends_apart_mm
    high = float(rng.uniform(850.0, 1000.0)) if name in ("bar", "shoulders") else 30.0
    if name not in ("bar", "shoulders"):  # heel to toe, about straight ahead
        angle, length, apart = angle + 90.0, 0.6 * length, 0.0
        middle[1] += 140.0
    heights = (high - apart / 2.0, high + apart / 2.0)
    along = np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))]) * length / 2.0
    glued = rng.normal(0.0, PRINT_SD_MM, (2, 2))  # where on the bar the tags were glued
    tags = {tag: np.column_stack([c, np.zeros(4)]) for tag, c in plan.strip_mm.items()}
    tags = {tag: c + np.array([*rng.normal(0.0, PRINT_SD_MM, 2), 0.0]) for tag, c in tags.items()}
    printed = tag_scale * size
    tags[first] = _corners3(np.array([*(middle - along + glued[0]), heights[0]]), printed, angle)
    tags[last] = _corners3(np.array([*(middle + along + glued[1]), heights[1]]), printed, angle)
    if ball_mm is not None:
        tag, own = plan.ball
        tags[tag] = _corners3(np.array([*ball_mm, 0.0]), own, 0.0)
    bends = (float(rng.normal(0.0, 0.03)), float(rng.normal(0.0, 0.01))) if bent_lens else (0.0, 0.0)
    rng = rng if held is None else held
    camera = _camera(
        rng,
        height=float(rng.uniform(1900.0, 2300.0)) if height_mm is None else height_mm,
        tilt_deg=float(rng.uniform(0.0, 20.0)) if tilt_deg is None else tilt_deg,
        bends=bends,
        target=np.array([390.0, 200.0]),
    )
    seen = {tag: camera.project(c) for tag, c in tags.items()}
    low = np.floor(np.min([c.min(axis=0) for c in seen.values()], axis=0)).astype(int) - 40
    high_px = np.ceil(np.max([c.max(axis=0) for c in seen.values()], axis=0)).astype(int) + 40
    if whole:
        low, high_px = np.zeros(2, int), np.array(PHONE_PX)
    grey = _drawn(rng, camera, tags, low, high_px - low, hidden)
    grey = _exposed(rng, grey, blur_px, light)
    offset = low.astype(float)
    lens = Lens(
        focal_px=(camera.focal, camera.focal),
        middle_px=(float(camera.middle[0] - offset[0]), float(camera.middle[1] - offset[1])),
        bends=(bends[0], bends[1], 0.0, 0.0, 0.0),
    )
    return TagScene(
        rgb=np.repeat(grey[..., None], 3, axis=2),
        anticlockwise_deg=angle,
        heights_mm=heights,
        length_mm=length,
        focal_px=camera.focal,
        middle_px=lens.middle_px,
        lens=lens,
        corners_px={tag: c - offset for tag, c in seen.items()},
    )


def _drawn(
    rng: np.random.Generator,
    camera: _Camera,
    tags: Mapping[int, FloatArray],
    low: NDArray[np.intp],
    size: NDArray[np.intp],
    hidden: tuple[int, ...],
) -> NDArray[Any]:
    """Tags on a grey floor, drawn with nine rays a pixel near each tag."""
    floor = float(rng.uniform(90.0, 150.0))
    picture = np.full((int(size[1]), int(size[0])), floor, np.float32)
    for tag, corners in tags.items():
        if tag not in hidden:
            _stamp(picture, camera, tag, corners, low)
    return picture


def _stamp(
    picture: NDArray[np.float32], camera: _Camera, tag: int, corners: FloatArray, low: NDArray[np.intp]
) -> None:
    """One tag with its white paper: the lens is as good as straight across one tag, so a plane map does."""
    import cv2

    middle = corners.mean(axis=0)
    grown = middle + (corners - middle) * (8.0 + 2.0 * QUIET) / 8.0
    code = np.full((10, 10), PAPER, np.float32)
    code[1:9, 1:9] = np.where(modules(tag), INK, PAPER)
    fine = 16
    print_ = np.kron(code, np.ones((fine, fine), np.float32))
    side = float(print_.shape[0])
    inner = np.array([[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]], np.float32) - 0.5
    box = camera.project(grown) - low
    left, top = np.floor(box.min(axis=0)).astype(int) - 2
    right, bottom = np.ceil(box.max(axis=0)).astype(int) + 3
    rays = 4
    outer = ((box - [left, top] + 0.5) * rays - 0.5).astype(np.float32)
    to = cv2.getPerspectiveTransform(inner, outer)
    wide, tall = (right - left) * rays, (bottom - top) * rays
    stamped = cv2.warpPerspective(
        print_, to, (int(wide), int(tall)), flags=cv2.INTER_LINEAR, borderValue=-1.0
    )
    whole = cv2.warpPerspective(np.ones_like(print_), to, (int(wide), int(tall)), flags=cv2.INTER_LINEAR)
    colour = cv2.resize(
        np.maximum(stamped, 0.0) * whole, (int(right - left), int(bottom - top)), interpolation=cv2.INTER_AREA
    )
    cover = cv2.resize(whole, (int(right - left), int(bottom - top)), interpolation=cv2.INTER_AREA)
    into = picture[top:bottom, left:right]
    into[:] = into * (1.0 - cover) + colour


def _exposed(
    rng: np.random.Generator, grey: NDArray[Any], blur_px: float | None, light: float | None
) -> NDArray[np.uint8]:
    import cv2

    soft: NDArray[Any] = cv2.GaussianBlur(
        grey, (0, 0), float(rng.uniform(0.5, 1.4)) if blur_px is None else blur_px
    )
    soft = soft * (float(rng.uniform(0.6, 1.1)) if light is None else light)
    soft = soft + rng.normal(0.0, rng.uniform(1.0, 4.0), soft.shape)
    return np.asarray(np.clip(soft, 0.0, 255.0), np.uint8)


def render_board(
    rng: np.random.Generator, *, wide_px: int = 1200, bends: tuple[float, float] = (0.05, -0.02)
) -> tuple[NDArray[np.uint8], float]:
    """One photo (R, C, 3) of the calibration board, tilted by chance; and the true focal length in pixels."""
    size = np.array([wide_px, round(0.75 * wide_px)], float)
    focal = 0.75 * wide_px
    board = sheets().board_mm
    middle = np.mean([c.mean(axis=0) for c in board.values()], axis=0)
    target = middle + rng.uniform(-40.0, 40.0, 2)
    plain = _camera(rng, height=330.0, tilt_deg=float(rng.uniform(5.0, 35.0)), bends=bends, target=target)
    camera = _Camera(plain.turn, plain.place, focal, (size - 1.0) / 2.0, bends)
    tags = {tag: np.column_stack([c, np.zeros(4)]) for tag, c in board.items()}
    inside = {tag: c for tag, c in tags.items() if _inside(camera.project(c), size)}
    grey = _drawn(rng, camera, inside, np.zeros(2, np.intp), size.astype(np.intp), ())
    return np.repeat(_exposed(rng, grey, 0.8, 1.0)[..., None], 3, axis=2), focal


def _inside(points: FloatArray, size: FloatArray) -> bool:
    return bool(points.min() > 30.0 and np.all(points.max(axis=0) < size - 30.0))
