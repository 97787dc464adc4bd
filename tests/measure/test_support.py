"""The base under two feet and the margin to its edge, against scikit-image and plain geometry."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from skimage.measure import points_in_poly

from evenground.measure.contact import cell_positions_mm, find_contact
from evenground.measure.recording import FloatArray
from evenground.measure.sums import mean_map
from evenground.measure.support import base_of_support_mm, edge_margin_mm, touched_corners_mm
from evenground.simulate.mat import Mat, Standing, simulate_mat


def base_of(points: FloatArray) -> FloatArray:
    return base_of_support_mm(points)


@given(seed=st.integers(0, 10_000))
@settings(max_examples=40, deadline=None)
def test_a_point_is_in_the_base_when_scikit_image_says_so(seed: int) -> None:
    rng = np.random.default_rng(seed)
    base = base_of(rng.uniform(0.0, 300.0, (12, 2)))
    at = rng.uniform(-50.0, 350.0, (20, 2))
    seen = [edge_margin_mm(point, base) >= 0.0 for point in at]
    assert seen == points_in_poly(at, base).tolist()  # type: ignore[no-untyped-call]


@given(seed=st.integers(0, 10_000), turn=st.floats(-180.0, 180.0), x=st.floats(-500.0, 500.0))
@settings(max_examples=40, deadline=None)
def test_a_margin_is_the_distance_to_the_nearest_of_many_points_of_the_edge(
    seed: int, turn: float, x: float
) -> None:
    rng = np.random.default_rng(seed)
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    base = base_of(rng.uniform(0.0, 300.0, (9, 2)) @ np.array([[c, s], [-s, c]]) + [x, 0.0])
    at = base.mean(axis=0) + rng.uniform(-200.0, 200.0, 2)
    steps = np.linspace(0.0, 1.0, 2001)[:, None, None]
    edge = (base + steps * (np.roll(base, -1, axis=0) - base)).reshape(-1, 2)
    nearest = np.hypot(*(edge - at).T).min()
    assert abs(edge_margin_mm(at, base)) == pytest.approx(nearest, abs=0.2)


def test_the_base_of_two_straight_shoes_is_as_broad_and_as_long_as_they_stand() -> None:
    mat = Mat(rows=104, columns=152, pitch_x_mm=5.0, pitch_y_mm=5.0, noise_kpa=0.0)
    standing = Standing(shod=True, width_mm=300.0, toe_out_left_deg=0.0, toe_out_right_deg=0.0)
    recording = simulate_mat(standing, mat, None, rng=np.random.default_rng(1)).recording
    contact = find_contact(recording, mean_map(recording.cells))
    base = base_of(touched_corners_mm(contact, cell_positions_mm(recording), (5.0, 5.0)))
    # the shoe's forefoot is 0.33 of 265 mm broad, the shoe 0.95 of it long; two cells of 5 mm each way
    assert np.ptp(base, axis=0) == pytest.approx([300.0 + 0.33 * 265.0, 0.95 * 265.0], abs=10.0)


def test_the_margin_shrinks_as_the_weight_nears_the_edge_and_turns_negative_beyond() -> None:
    base = np.array([[0.0, 0.0], [300.0, 0.0], [300.0, 200.0], [0.0, 200.0]])
    margins = [edge_margin_mm(np.array([150.0, y]), base) for y in (100.0, 40.0, 0.0, -30.0)]
    assert margins == pytest.approx([100.0, 40.0, 0.0, -30.0])
