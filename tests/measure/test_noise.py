"""The noise floor: read from what a mat cannot show, taken away where it is."""

import numpy as np
import pytest

from evenground.measure.noise import CellNoise, floor_map, unloaded_noise


@pytest.mark.parametrize(("offset", "sd"), [(0.0, 1.0), (0.4, 1.0), (-0.7, 1.0), (3.0, 0.5), (10.0, 0.2)])
def test_offset_and_sd_come_back_from_readings_cut_at_zero(offset: float, sd: float) -> None:
    rng = np.random.default_rng(5)
    readings = np.maximum(offset + sd * rng.standard_normal(200_000), 0.0)
    found = unloaded_noise(readings)
    assert found.sd == pytest.approx(sd, rel=0.02)
    assert found.offset == pytest.approx(offset, abs=0.02 * sd)
    assert found.floor == pytest.approx(readings.mean(), rel=0.01)


def test_a_clean_mat_has_no_noise() -> None:
    assert unloaded_noise(np.zeros(50)) == CellNoise(offset=0.0, sd=0.0)


def test_a_noise_of_zero_mean_cut_at_zero_leaves_four_tenths_of_its_sd() -> None:
    # mean of max(0, z) for a standard normal is 1 / sqrt(2 pi) = 0.39894
    assert CellNoise(offset=0.0, sd=1.5).floor == pytest.approx(1.5 * 0.39894, rel=1e-4)


@pytest.mark.parametrize("load", [0.0, 0.5, 1.0, 2.0, 4.0, 30.0])
def test_floor_is_what_the_noise_adds_to_a_cell_of_that_load(load: float) -> None:
    noise = CellNoise(offset=0.3, sd=1.0)
    readings = np.maximum(load + 0.3 + np.random.default_rng(3).standard_normal(400_000), 0.0)
    floor = floor_map(np.array([readings.mean()]), noise)[0]
    assert readings.mean() - floor == pytest.approx(load, abs=0.01)  # five SD of the mean


def test_a_loaded_cell_has_only_the_offset() -> None:
    assert floor_map(np.array([50.0]), CellNoise(offset=0.3, sd=1.0))[0] == pytest.approx(0.3)


def test_floor_of_a_mat_without_noise_is_its_offset() -> None:
    assert list(floor_map(np.array([0.2, 9.0]), CellNoise(offset=0.2, sd=0.0))) == [0.2, 0.2]
