"""Lines between tags over the floor strip: signs, heights, worked parallax, what an unknown lens costs."""

import math

import numpy as np
import pytest
from bench.prove_camera import measured, prove
from scipy import ndimage

from evenground.capture.sheets import corners_mm, sheets
from evenground.measure.corners import refine_corners
from evenground.measure.tagged import (
    CameraGuess,
    Lens,
    Seen,
    StripMisfitError,
    floor_from_strip,
    line_between,
)
from evenground.simulate.tags import render_scene

CAMERA_MM, FOCAL = 2000.0, 3000.0


def straight_down(points: np.ndarray) -> np.ndarray:
    """A camera 2 m over (390, 0) looking straight down, y of the picture downwards."""
    x, y, z = points.T
    return np.column_stack(
        [2000.0 + FOCAL * (x - 390.0) / (CAMERA_MM - z), 1500.0 - FOCAL * y / (CAMERA_MM - z)]
    )


def raised(corners: np.ndarray, height: float) -> np.ndarray:
    return straight_down(np.column_stack([corners, np.full(4, height)]))


def floor_seen(lens: Lens | None = None) -> tuple[CameraGuess, dict[int, np.ndarray]]:
    camera = CameraGuess(focal_px=FOCAL, middle_px=(2000.0, 1500.0), lens=lens)
    return camera, {i: raised(c, 0.0) for i, c in sheets().strip_mm.items()}


def seen(x: float, y: float, height: float, *, known: float | None = None) -> Seen:
    return Seen(corners_px=raised(corners_mm(x, y, 60.0), height), size_mm=60.0, height_mm=known)


PLAIN = Lens(focal_px=(FOCAL, FOCAL), middle_px=(2000.0, 1500.0), bends=(0.0,) * 5)


def test_ends_at_different_heights_cost_nothing_once_brought_down() -> None:
    camera, strip = floor_seen(PLAIN)
    floor = floor_from_strip(strip, sheets().strip_mm, camera)
    left, right = seen(200.0, 300.0, 900.0), seen(600.0, 300.0, 920.0)
    line = line_between(floor, left, right)
    assert line.anticlockwise_deg.value == pytest.approx(0.0, abs=1e-6)
    assert [h.value for h in line.heights_mm] == pytest.approx([900.0, 920.0], abs=1e-6)
    assert line.length_mm.value == pytest.approx(400.0, abs=1e-6)


def test_one_end_20_mm_higher_than_believed_turns_the_line_as_worked_out() -> None:
    # Check values 11.3, cam-2: camera 2 m over the marks, 20 mm of height at 500 mm from under the camera,
    # 400 mm of bar: 0.716 deg at most.
    camera, strip = floor_seen(PLAIN)
    floor = floor_from_strip(strip, sheets().strip_mm, camera)
    left, right = seen(390.0 - 200.0, 500.0, 0.0, known=0.0), seen(390.0 + 200.0, 500.0, 20.0, known=0.0)
    expected = math.degrees(math.atan2(500.0 * 20.0 / (2000.0 - 20.0), 400.0 + 200.0 * 20.0 / 1980.0))
    assert expected == pytest.approx(0.716, abs=0.01)
    assert line_between(floor, left, right).anticlockwise_deg.value == pytest.approx(expected, abs=1e-6)


def test_a_turned_bar_turns_the_line_by_as_much_anticlockwise_from_above() -> None:
    camera, strip = floor_seen(PLAIN)
    floor = floor_from_strip(strip, sheets().strip_mm, camera)
    a = math.radians(7.0)
    left = seen(390.0 - 200.0 * math.cos(a), 300.0 - 200.0 * math.sin(a), 900.0)
    right = seen(390.0 + 200.0 * math.cos(a), 300.0 + 200.0 * math.sin(a), 900.0)
    assert line_between(floor, left, right).anticlockwise_deg.value == pytest.approx(7.0, abs=1e-6)


def test_error_of_a_bar_is_at_least_what_its_ends_errors_make_it() -> None:
    # Check values 11.1: sd(theta) = sqrt(2) s / B for ends good to s; glue and print alone are 0.15 mm here.
    camera, strip = floor_seen(PLAIN)
    floor = floor_from_strip(strip, sheets().strip_mm, camera)
    line = line_between(floor, seen(190.0, 300.0, 900.0), seen(590.0, 300.0, 900.0))
    least = math.degrees(math.sqrt(2.0) * 0.15 / 400.0)
    assert line.anticlockwise_deg.se > 0.8 * least  # 64 draws know their own spread to a tenth


def test_a_strip_out_of_place_is_refused() -> None:
    camera, strip = floor_seen(PLAIN)
    moved = {i: c + (12.0 if i < 24 else 0.0) for i, c in strip.items()}
    with pytest.raises(StripMisfitError, match="mm off where the sheet puts them"):
        floor_from_strip(moved, sheets().strip_mm, camera)


def test_a_lens_undone_is_opencvs_undistortion() -> None:
    # OpenCV's undistortPoints, an implementation of its own of the same model.
    import cv2

    lens = Lens(focal_px=(3000.0, 2990.0), middle_px=(1990.0, 1510.0), bends=(0.08, -0.12, 1e-3, -5e-4, 0.02))
    points = np.random.default_rng(3).uniform([100, 100], [3900, 2900], (60, 2))
    matrix = np.array([[3000.0, 0.0, 1990.0], [0.0, 2990.0, 1510.0], [0.0, 0.0, 1.0]])
    peer = cv2.undistortPoints(points[:, None], matrix, np.array(lens.bends), None, None, matrix)
    assert lens.straight(points) == pytest.approx(np.asarray(peer).reshape(-1, 2), abs=0.01)


@pytest.mark.parametrize(("side", "limit"), [(60.0, 0.06), (290.0, 0.03)])
def test_corners_of_a_turned_square_come_back_to_a_part_of_a_pixel(side: float, limit: float) -> None:
    rng = np.random.default_rng(9)
    fine, count, off = 8, int(side + 60), []
    for _ in range(6):
        a = rng.uniform(0.0, math.pi / 2.0)
        middle = np.full(2, count / 2.0) + rng.uniform(-0.5, 0.5, 2)
        turn = np.array([[math.cos(a), -math.sin(a)], [math.sin(a), math.cos(a)]])
        square = np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]]) * side * 0.7
        corners = middle + square @ turn.T
        y, x = (np.mgrid[0 : count * fine, 0 : count * fine] + 0.5) / fine - 0.5
        local = np.stack([x - middle[0], y - middle[1]], axis=-1) @ turn
        dark = np.all(np.abs(local) <= 0.35 * side, axis=-1)
        picture = np.where(dark, 30.0, 220.0).reshape(count, fine, count, fine).mean(axis=(1, 3))
        picture = ndimage.gaussian_filter(picture, 0.9) + rng.normal(0.0, 2.0, picture.shape)
        found = refine_corners(picture, corners + rng.uniform(-1.5, 1.5, (4, 2)))
        assert found is not None
        off.append(np.hypot(*(found - corners).T))
    # Notes on the stack: 0.05 px at 40 px a side, 0.02 px at 200 px, on blurred and noisy tags.
    assert float(np.sqrt(np.mean(np.square(off)))) < limit


def test_glare_over_a_side_gives_no_corners() -> None:
    picture = np.full((80, 80), 230.0)
    picture[20:60, 30:60] = 30.0  # its left third is washed out
    corners = np.array([[19.5, 19.5], [59.5, 19.5], [59.5, 59.5], [19.5, 59.5]])
    assert refine_corners(np.full((80, 80), 230.0), corners) is None


def test_without_a_calibration_the_stated_error_grows() -> None:
    scene = render_scene(np.random.default_rng(2))
    with_, without = measured(scene, calibrated=True), measured(scene, calibrated=False)
    assert with_ is not None
    assert without is not None
    assert without.anticlockwise_deg.se > 1.3 * with_.anticlockwise_deg.se


def test_claims_hold_on_a_few_rendered_scenes() -> None:
    rows = prove(4, 20261125)
    assert all(r["held"] for r in rows), rows
