"""The simulated player is the stance that was asked for, and the truth says so."""

from dataclasses import replace

import numpy as np
import pytest

from evenground.measure.autocorrelation import integrated_time_s
from evenground.measure.ground import centre_of_pressure
from evenground.simulate.foot import foot_pattern
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat, swaying_series

QUIET = Mat(noise_kpa=0.0)


def frame(standing: Standing, mat: Mat = QUIET) -> np.ndarray[tuple[int, ...], np.dtype[np.float32]]:
    made = simulate_mat(standing, mat, None, rng=np.random.default_rng(1))
    return np.asarray(made.recording.cells[0], np.float32)


def test_the_same_seed_gives_the_same_recording_and_another_seed_another() -> None:
    one, same, other = (
        simulate_mat(Standing(), Mat(), Swaying(duration_s=1.0), rng=np.random.default_rng(s)).recording
        for s in (5, 5, 6)
    )
    assert np.array_equal(one.cells, same.cells)
    assert not np.array_equal(one.cells, other.cells)


@pytest.mark.parametrize("pitch", [5.0, 8.0, 12.5])
@pytest.mark.parametrize("shod", [False, True])
def test_cells_hold_the_players_weight_and_load_share(pitch: float, shod: bool) -> None:
    mat = Mat(rows=48, columns=80, pitch_x_mm=pitch, pitch_y_mm=1.6 * pitch, noise_kpa=0.0)
    half_mm = 40 * pitch
    standing = Standing(width_mm=half_mm * 0.9, load_left_percent=62.0, shod=shod, foot_length_mm=250.0)
    cells = frame(standing, mat)
    force_n = cells.sum() * pitch * 1.6 * pitch / 1000.0
    assert force_n == pytest.approx(75.0 * 9.80665, rel=1e-3)
    assert 100.0 * cells[:, :40].sum() / cells.sum() == pytest.approx(62.0, abs=0.02)


def test_cop_of_the_cells_is_the_truth_of_the_cop() -> None:
    standing = Standing(load_left_percent=45.0, left_ahead_mm=20.0, forward_mm=7.0, outward_mm=1.0)
    truth = simulate_mat(standing, QUIET, None, rng=np.random.default_rng(1)).truth
    found = centre_of_pressure(frame(standing), 8.0, 8.0)
    assert found is not None
    middle_x, heel_y = 48 * 8.0, 32 * 8.0 - 0.35 * 265.0
    assert found[0] - middle_x == pytest.approx(truth.cop_x_mm, abs=0.05)
    assert found[1] - heel_y == pytest.approx(truth.cop_y_mm, abs=0.05)


def test_moving_the_cop_forward_moves_it_by_as_much() -> None:
    back, ahead = (centre_of_pressure(frame(Standing(forward_mm=f)), 8.0, 8.0) for f in (-10.0, 10.0))
    assert back is not None
    assert ahead is not None
    # toes turned out 10 deg: 20 mm along the feet are 20 cos(10 deg - the axis's own angle) ahead, and the
    # heel centre, which stays where it is, moves within the pattern
    assert 14.0 < ahead[1] - back[1] < 21.0


def test_truth_mirrors_with_the_stance() -> None:
    standing = Standing(
        load_left_percent=57.0,
        left_ahead_mm=12.0,
        toe_out_left_deg=5.0,
        toe_out_right_deg=20.0,
        handed="right",
    )
    mirrored = replace(
        standing,
        load_left_percent=43.0,
        left_ahead_mm=-12.0,
        toe_out_left_deg=20.0,
        toe_out_right_deg=5.0,
        handed="left",
    )
    one, other = (
        simulate_mat(s, QUIET, None, rng=np.random.default_rng(1)).truth for s in (standing, mirrored)
    )
    assert other.load_right_percent == pytest.approx(one.load_left_percent)
    assert other.toe_out_right_deg == one.toe_out_left_deg
    assert other.fore_aft_offset_mm == pytest.approx(one.fore_aft_offset_mm)
    assert other.heel_line_deg == pytest.approx(one.heel_line_deg)
    assert other.load_line_deg == pytest.approx(one.load_line_deg)
    assert other.cop_x_mm == pytest.approx(-one.cop_x_mm)
    assert np.array_equal(frame(standing), frame(mirrored)[:, ::-1])


def test_sway_has_the_asked_spread_and_slowness() -> None:
    series = swaying_series(np.random.default_rng(4), 40_000, 4, 10.0, 2.0)
    assert series.std(axis=0) == pytest.approx(np.ones(4), abs=0.1)
    # (slow^2 - smooth^2) / (slow - smooth) = slow + smooth on either side of lag zero
    times = [integrated_time_s(series[:, k], 10.0) for k in range(4)]
    assert np.mean(times) == pytest.approx(2.0 * (2.0 + 0.3), rel=0.15)


def test_sway_starts_as_it_goes_on() -> None:
    starts = np.concatenate([swaying_series(np.random.default_rng(k), 1, 50, 20.0, 4.0) for k in range(40)])
    assert starts.std() == pytest.approx(1.0, abs=0.07)  # three SD of an SD of 2,000


def test_noise_is_cut_at_zero_and_counts_are_whole() -> None:
    made = simulate_mat(
        Standing(), Mat(noise_kpa=1.0, counts_per_kpa=3.0), None, rng=np.random.default_rng(2)
    ).recording
    assert made.unit == "counts"
    assert made.cells.min() == 0.0
    assert np.array_equal(made.cells, np.round(made.cells))


@pytest.mark.parametrize("shod", [False, True])
def test_the_tilt_of_a_pattern_moves_its_centre_exactly(shod: bool) -> None:
    pattern = foot_pattern(265.0, "shod" if shod else "bare")
    rest, moved = pattern.landmarks((0.0, 0.0)), pattern.landmarks((9.0, -2.0))
    assert moved.cop_mm[0] - rest.cop_mm[0] == pytest.approx(9.0, abs=1e-6)
    assert moved.cop_mm[1] - rest.cop_mm[1] == pytest.approx(-2.0, abs=1e-6)
    assert 35.0 < rest.cop_percent < 60.0  # check-values 1.5: quiet standing 31 to 58 % of foot length
