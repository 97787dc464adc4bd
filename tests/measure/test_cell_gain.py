"""Cells that differ in gain are seen in the roughness of the map, and widen what they can move."""

import numpy as np
import pytest

from evenground.measure.cell_gain import gain_spread
from evenground.measure.contact import find_contact
from evenground.measure.ground import describe
from evenground.measure.recording import MatRecording
from evenground.measure.sums import mean_map
from evenground.simulate.mat import Mat, Standing, simulate_mat
from tests.sure import sure


def stood(spread: float, seed: int = 1) -> MatRecording:
    mat = Mat(rows=96, columns=100, pitch_x_mm=5.0, pitch_y_mm=5.0, noise_kpa=0.0, gain_spread=spread)
    return simulate_mat(Standing(), mat, None, rng=np.random.default_rng(seed)).recording


def seen(spread: float) -> float:
    recording = stood(spread)
    return gain_spread(recording, find_contact(recording, mean_map(recording.cells)))


@pytest.mark.parametrize("spread", [0.01, 0.03])
def test_the_spread_that_was_put_in_is_seen(spread: float) -> None:
    assert seen(spread) == pytest.approx(spread, rel=0.25)  # some 150 cells, and the foot's own roughness


def test_a_smooth_mat_has_next_to_none_and_a_rough_one_the_limit() -> None:
    assert seen(0.0) < 0.01
    assert seen(0.15) == 0.05


def test_figures_of_a_rough_mat_have_errors_that_hold() -> None:
    truth = describe(stood(0.0), handed="right")
    off, errors = [], []
    for seed in range(12):
        rough = describe(stood(0.05, seed), handed="right")
        off.append(sure(rough.feet.left.load_percent).value - sure(truth.feet.left.load_percent).value)
        errors.append(sure(rough.feet.left.load_percent).se)
    # twelve draws give an SD within a factor of 1.6 in 19 of 20 cases
    assert 1.0 / 1.6 < float(np.std(off)) / float(np.median(errors)) < 1.6
