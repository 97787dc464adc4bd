"""The one product against plain loops, and what it may read."""

import numpy as np
import pytest

from evenground.measure.contact import cell_positions_mm, find_contact
from evenground.measure.feet import foot_shape
from evenground.measure.figures import FIGURES, stance_figures, total_cop_mm
from evenground.measure.recording import FloatArray
from evenground.measure.sums import basis, floor_sums, foot_sums, frame_sums, mean_map
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat

MADE = simulate_mat(
    Standing(load_left_percent=57.0, left_ahead_mm=12.0),
    Mat(rows=50, columns=80, noise_kpa=0.4),
    Swaying(duration_s=2.0, rate_hz=20.0),
    rng=np.random.default_rng(9),
).recording


def columns_of_the_stance() -> tuple[FloatArray, FloatArray]:
    contact = find_contact(MADE, mean_map(MADE.cells))
    at = cell_positions_mm(MADE)
    left = foot_shape(contact.left, contact.load, at, (8.0, 8.0), "left")
    right = foot_shape(contact.right, contact.load, at, (8.0, 8.0), "right")
    columns = basis(at, np.array([300.0, 150.0]), ((contact.left, left), (contact.right, right)))
    return columns, floor_sums(contact, columns)


def test_mean_map_is_the_mean_over_the_frames() -> None:
    frames = np.random.default_rng(1).random((700, 6, 7)).astype(np.float32)
    assert mean_map(frames) == pytest.approx(frames.mean(axis=0, dtype=np.float64), rel=1e-6)


def test_product_equals_three_plain_loops() -> None:
    columns, _ = columns_of_the_stance()
    fast = frame_sums(MADE.cells, columns)
    slow = np.array(
        [
            [np.dot(frame.ravel().astype(np.float64), columns[:, k]) for k in range(columns.shape[1])]
            for frame in MADE.cells
        ]
    )
    size = np.abs(slow).max(axis=0)
    assert np.abs(fast - slow).max(axis=0) == pytest.approx(np.zeros(len(size)), abs=2e-6 * size.max())


def test_centre_of_pressure_of_each_frame_is_that_of_its_cells() -> None:
    columns, floor = columns_of_the_stance()
    sums = frame_sums(MADE.cells, columns) - floor
    feet = foot_sums(columns, 0).whole + foot_sums(columns, 1).whole > 0.0
    at = cell_positions_mm(MADE)[feet] - [300.0, 150.0]
    contact = find_contact(MADE, mean_map(MADE.cells))
    for frame, found in zip(MADE.cells[:5], total_cop_mm(sums)[:5], strict=True):
        load = frame.ravel()[feet] - contact.floor[feet]
        assert found == pytest.approx((load[:, None] * at).sum(axis=0) / load.sum(), abs=1e-3)


def test_figures_of_one_row_are_those_of_many_rows() -> None:
    columns, floor = columns_of_the_stance()
    sums = frame_sums(MADE.cells, columns) - floor
    many = stance_figures(sums, "right")
    assert many.shape == (len(sums), len(FIGURES))
    assert stance_figures(sums[7], "right") == pytest.approx(many[7])


def test_handedness_flips_offset_and_lines_and_nothing_else() -> None:
    columns, floor = columns_of_the_stance()
    mean = (frame_sums(MADE.cells, columns) - floor).mean(axis=0)
    right, left = stance_figures(mean, "right"), stance_figures(mean, "left")
    flips = {"fore_aft_mm", "heel_line_deg", "load_line_deg"}
    for name, one, other in zip(FIGURES, right, left, strict=True):
        assert other == pytest.approx(-one if name in flips else one), name


def test_an_empty_basis_gives_nothing() -> None:
    assert np.all(frame_sums(np.ones((3, 2, 2)), np.zeros((4, 5))) == 0.0)
