"""A mat with known faults: its checks find them, and what is measured with them comes out right."""

from dataclasses import replace

import numpy as np
import pytest

from evenground.instruments import Cell
from evenground.measure.instrument_cells import fill_cells
from evenground.measure.instrument_gain import gain_at, gain_errors, gain_map, nonlinearity
from evenground.measure.instrument_mat import (
    NoWeightError,
    OccupiedMatError,
    PlacedWeight,
    TooShortForCheckError,
    measure_dead_weight,
    measure_empty_mat,
    measure_known_weights,
)
from evenground.measure.recording import MatRecording
from evenground.measure.sway import noise_velocity_mm_s
from evenground.simulate.instrument import FaultyMat, MatFaults, draw_faults, empty_mat, weight_on

ROWS, COLUMNS, PITCH = 40, 64, 10.0
BAD: tuple[tuple[Cell, ...], ...] = (
    ((3, 7), (20, 21)),
    ((8, 50), (33, 2)),
    ((12, 12), (30, 40)),
    ((5, 30), (25, 60)),
)
FAULTS = MatFaults(dead=BAD[0], stuck=BAD[1], noisy=BAD[2], drifting=BAD[3])
PLACES = [(x, y) for x in (120.0, 320.0, 520.0) for y in (80.0, 200.0, 320.0)]


def mat(faults: MatFaults = FAULTS, seed: int = 4) -> FaultyMat:
    return draw_faults(ROWS, COLUMNS, PITCH, faults, rng=np.random.default_rng(seed))


def weight(
    on: FaultyMat, at: tuple[float, float] = (300.0, 180.0), kg: float = 20.0, seconds: float = 30.0
) -> MatRecording:
    return weight_on(on, at, kg, rng=np.random.default_rng(5), duration_s=seconds)


@pytest.mark.parametrize("offset", [0.0, 0.4, 3.0], ids=["clipped", "half clipped", "not clipped"])
def test_an_empty_mat_shows_each_bad_cell_and_no_good_one(offset: float) -> None:
    found = measure_empty_mat(
        empty_mat(mat(replace(FAULTS, offset_kpa=offset)), rng=np.random.default_rng(6))
    )
    assert tuple(set(c) for c in (found.dead, found.stuck, found.noisy, found.drifting)) == tuple(
        set(c) for c in BAD
    )
    assert found.noise == pytest.approx(0.3, rel=0.02)
    assert found.offset == pytest.approx(offset, abs=0.02)
    assert found.shows_noise
    assert (found.bad_rows, found.bad_columns) == ((), ())


def test_a_mat_that_shows_nothing_says_that_dead_cells_cannot_be_told() -> None:
    quiet = MatFaults(noise_kpa=0.0, stuck=BAD[1], dead=BAD[0])
    found = measure_empty_mat(empty_mat(mat(quiet), rng=np.random.default_rng(6)))
    assert not found.shows_noise
    assert set(found.stuck) == set(BAD[1])
    assert found.dead == ()


def test_a_broken_line_is_a_line_and_a_drifting_mat_drifts() -> None:
    line = tuple((r, 31) for r in range(ROWS))
    faults = MatFaults(dead=line, drift_kpa_per_min=0.9, offset_kpa=2.0)
    found = measure_empty_mat(empty_mat(mat(faults), rng=np.random.default_rng(6)))
    assert found.bad_columns == (31,)
    assert found.drift_per_min == pytest.approx(0.9, rel=0.05)


def test_an_empty_mat_has_nobody_on_it_and_takes_its_time() -> None:
    with pytest.raises(OccupiedMatError):
        measure_empty_mat(weight(mat()))
    with pytest.raises(TooShortForCheckError):
        measure_empty_mat(empty_mat(mat(), rng=np.random.default_rng(6), duration_s=2.0))


def test_noise_faked_by_a_dead_weight_is_what_white_noise_fakes() -> None:
    # slow twin: s of the CoP from cell noise by hand, then check values 1.4, s sqrt(pi) rate
    still = mat(MatFaults(gain_sd=0.0, cell_gain_sd=0.0, offset_kpa=3.0))
    recording = weight(still)
    found = measure_dead_weight(PlacedWeight(recording=recording, mass_kg=20.0))
    away = np.array(list(np.ndindex(ROWS, COLUMNS))) * PITCH + 0.5 * PITCH - (180.0, 300.0)
    near = away[np.hypot(*away.T) < 55.0 + 10.0 + 12.0]
    newtons_a_kpa = PITCH**2 / 1000.0
    s_mm = 0.3 * newtons_a_kpa * np.sqrt((near**2).sum() / 2.0) / (20.0 * 9.80665)
    # the region reaches a smoothed cell and 12 mm beyond the weight; 15 %: it ends on whole cells
    assert found.velocity_mm_s == pytest.approx(noise_velocity_mm_s(float(s_mm), 20.0), rel=0.15)
    assert found.crept_mm < 0.1
    assert found.reads_n == pytest.approx(20.0 * 9.80665, rel=0.01)


def test_a_stuck_cell_is_no_part_of_a_weight() -> None:
    told = measure_dead_weight(PlacedWeight(recording=weight(mat()), mass_kg=20.0))
    assert told.reads_n == pytest.approx(20.0 * 9.80665, rel=0.06)  # gains of this mat lie within 6 %


def test_creep_of_a_mat_under_load_is_seen() -> None:
    faults = MatFaults(gain_sd=0.0, cell_gain_sd=0.0, creep_per_min=0.06)
    found = measure_dead_weight(PlacedWeight(recording=weight(mat(faults)), mass_kg=20.0))
    assert found.crept_percent == pytest.approx(
        100.0 * 0.06 * 24.0 / 60.0, rel=0.1
    )  # 24 s between the fifths


def test_nothing_on_the_mat_is_no_weight() -> None:
    with pytest.raises(NoWeightError):
        measure_dead_weight(
            PlacedWeight(
                recording=empty_mat(mat(MatFaults()), rng=np.random.default_rng(6), duration_s=30.0),
                mass_kg=20.0,
            )
        )


def test_known_weights_find_the_gain_of_each_place() -> None:
    on = mat(MatFaults(gain_mean=1.04, gain_sd=0.04, cell_gain_sd=0.0))
    placed = [PlacedWeight(recording=weight(on, at, seconds=3.0), mass_kg=20.0) for at in PLACES]
    found = measure_known_weights(placed)
    assert np.array(found.x_mm) == pytest.approx([x for x, _ in PLACES], abs=1.0)
    truth = gains_near(on)
    assert np.array(found.gain) == pytest.approx(truth, abs=0.004)  # gain changes by 1 % within a weight
    assert found.silent == ()


def gains_near(on: FaultyMat) -> list[float]:
    y, x = (np.mgrid[:ROWS, :COLUMNS] + 0.5) * PITCH
    return [float(on.gain[np.hypot(x - a, y - b) < 50.0].mean()) for a, b in PLACES]


def test_counts_have_a_mean_gain_of_one_and_a_scale() -> None:
    on = mat(MatFaults(gain_sd=0.04, cell_gain_sd=0.0))
    recordings = [weight(on, at, seconds=3.0) for at in PLACES]
    counts = [replace(r, cells=np.round(r.cells * 8.0), unit="counts") for r in recordings]
    found = measure_known_weights([PlacedWeight(recording=r, mass_kg=20.0) for r in counts])
    assert np.mean(found.gain) == pytest.approx(1.0)
    # 8 counts a kPa on cells of 100 mm^2 are 80 counts a newton
    assert found.counts_per_n == pytest.approx(80.0 * np.mean(gains_near(on)), rel=0.01)


def test_a_dead_cell_under_a_weight_is_silent() -> None:
    dead = (18, 30)  # under the weight at (300, 180)
    on = mat(MatFaults(noise_kpa=0.0, dead=(dead,)))
    found = measure_known_weights([PlacedWeight(recording=weight(on, seconds=3.0), mass_kg=20.0)])
    assert found.silent == (dead,)


def test_gain_between_the_places_is_theirs_and_its_error_holds_it() -> None:
    inside = []
    for seed in range(5):
        on = mat(MatFaults(gain_sd=0.03, cell_gain_sd=0.02, reach_mm=400.0), seed=seed)
        known = measure_known_weights(
            [PlacedWeight(recording=weight(on, at, seconds=1.0), mass_kg=20.0) for at in PLACES]
        )
        feet = np.array([[210.0, 200.0], [430.0, 200.0]])
        gain = gain_at(known, feet)
        y, x = (np.mgrid[:ROWS, :COLUMNS] + 0.5) * PITCH
        truth = [float(on.gain[(np.abs(x - a) < 45.0) & (np.abs(y - b) < 120.0)].mean()) for a, b in feet]
        apart = np.array([1.0, -1.0])
        se = float(np.sqrt(apart @ gain.covariance @ apart))
        inside.append(abs(apart @ (gain.mean - truth)) < 1.96 * se)
        assert gain_map(known, feet) == pytest.approx(gain.mean)
    assert sum(inside) >= 3  # fewer than 3 of 5 at 95 %: 1 in 1000


def test_one_weight_in_one_place_leaves_the_difference_between_feet_open() -> None:
    on = mat(MatFaults())
    known = measure_known_weights([PlacedWeight(recording=weight(on, seconds=3.0), mass_kg=20.0)])
    errors = gain_errors(known, np.array([[150.0, 200.0], [490.0, 200.0]]), 0.5)
    assert errors["load_left_percent"] > 0.5
    assert errors["cop_x_mm"] == pytest.approx(errors["load_left_percent"] / 100.0 * 340.0)


def test_two_masses_in_one_place_show_a_bent_gain() -> None:
    on = mat(MatFaults(gain_sd=0.0, cell_gain_sd=0.0))
    light, heavy = (PlacedWeight(recording=weight(on, kg=kg, seconds=3.0), mass_kg=kg) for kg in (10.0, 30.0))
    bent = replace(heavy, recording=replace(heavy.recording, cells=heavy.recording.cells * np.float32(1.08)))
    assert nonlinearity(measure_known_weights([light, bent])) == pytest.approx(0.08, abs=0.01)
    assert nonlinearity(measure_known_weights([light])) is None


def test_bad_cells_are_filled_from_their_neighbours_where_there_are_three() -> None:
    cells = np.arange(25.0).reshape(1, 5, 5)
    recording = MatRecording(
        cells=cells, unit="kPa", pitch_x_mm=5.0, pitch_y_mm=5.0, rate_hz=None, time_s=np.zeros(1)
    )
    filled = fill_cells(recording, [(2, 2), (9, 9)])
    assert filled.recording.cells[0, 2, 2] == pytest.approx(12.0)  # a plane gives itself back
    assert (filled.count, filled.left) == (1, 0)
    corner = fill_cells(recording, [(0, 0), (0, 1)])
    assert (corner.count, corner.left) == (1, 1)
    assert recording.cells[0, 2, 2] == 12.0
