"""A mat's checks put to use: what is corrected, what is flagged, and what the errors then hold."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from evenground.instruments import DeadWeight, EmptyMat, Instrument, InstrumentCheck, KnownWeight
from evenground.measure.instrument_apply import MatChecks, SwayFloor, correct, mat_checks, sway_floor
from evenground.measure.prepare import in_quadrature
from evenground.measure.recording import MatRecording
from evenground.measure.sway import Sway, noise_velocity_mm_s, sway

RECORDING = MatRecording(
    cells=np.full((20, 6, 8), 10.0, np.float32),
    unit="kPa",
    pitch_x_mm=10.0,
    pitch_y_mm=10.0,
    rate_hz=20.0,
    time_s=np.arange(20) / 20.0,
    name="mat/1",
)
EMPTY = EmptyMat(
    rows=6, columns=8, unit="kPa", duration_s=15.0, noise=0.3, offset=0.0, drift_per_min=0.0, shows_noise=True
)
AT = [(x, y) for x in (10.0, 40.0, 70.0) for y in (10.0, 30.0, 50.0)]
KNOWN = KnownWeight(
    x_mm=tuple(x for x, _ in AT),
    y_mm=tuple(y for _, y in AT),
    mass_kg=(20.0,) * 9,
    gain=tuple(1.0 + 0.05 * (x - 40.0) / 30.0 for x, _ in AT),
    gain_se=(0.001,) * 9,
)
DEAD = DeadWeight(
    mass_kg=20.0, duration_s=30.0, rate_hz=20.0, path_mm=60.0, velocity_mm_s=2.0, ellipse95_mm2=3.0,
    crept_mm=0.0, crept_percent=0.0,
)  # fmt: skip


def codes(checks: MatChecks, recording: MatRecording = RECORDING) -> list[str]:
    return [flag.code for flag in correct(recording, checks).flags]


def test_a_mat_without_faults_leaves_the_recording_as_it_is() -> None:
    found = correct(RECORDING, MatChecks(name="mat", empty=EMPTY))
    assert found.recording is RECORDING
    assert found.flags == ()


def test_a_bad_cell_is_filled_and_said_and_the_recording_before_is_not_touched() -> None:
    cells = RECORDING.cells.copy()
    cells[:, 2, 3] = 90.0
    stuck = replace(RECORDING, cells=cells)
    checks = MatChecks(name="mat", empty=replace(EMPTY, stuck=((2, 3),)))
    found = correct(stuck, checks)
    assert np.all(found.recording.cells == 10.0)
    assert [f.code for f in found.flags] == ["filled-cells"]
    assert stuck.cells[0, 2, 3] == 90.0


def test_cells_that_cannot_be_filled_and_whole_lines_are_said() -> None:
    corner = ((0, 0), (0, 1), (1, 0), (1, 1))
    assert codes(MatChecks(name="mat", empty=replace(EMPTY, dead=corner))) == ["filled-cells", "faulty-cells"]
    line = tuple((r, 4) for r in range(6))
    checks = MatChecks(name="mat", empty=replace(EMPTY, dead=line, bad_columns=(4,)))
    assert codes(checks) == ["filled-cells", "dead-line"]


def test_a_check_of_another_mat_is_not_used_and_doubts_are_said_either_way() -> None:
    other = MatChecks(
        name="mat", empty=replace(EMPTY, rows=9, stuck=((2, 3),)), doubts=("mat failed its check",)
    )
    found = correct(RECORDING, other)
    assert found.recording is RECORDING
    assert [f.code for f in found.flags] == ["other-mat", "instrument"]
    assert found.flags[1].text == "Mat failed its check."


def test_the_gain_is_taken_out_place_by_place() -> None:
    found = correct(RECORDING, MatChecks(name="mat", empty=EMPTY, known=KNOWN)).recording.cells[0]
    # at x = 5 mm the mat reads 1 - 0.05 35/30 of the truth, at 75 mm 1 + 0.05 35/30; 1 % off a straight line
    assert found[2, 0] == pytest.approx(10.0 / (1.0 - 0.05 * 35.0 / 30.0), rel=0.01)
    assert found[2, 7] == pytest.approx(10.0 / (1.0 + 0.05 * 35.0 / 30.0), rel=0.01)
    assert np.all(np.diff(found[2]) < 0.0)


def swaying(velocity_mm_s: float) -> Sway:
    """A circle of 5 mm radius walked round at this speed for 20 s."""
    t = np.arange(400) / 20.0
    turn = velocity_mm_s / 5.0 * t
    return sway(5.0 * np.column_stack([np.cos(turn), np.sin(turn)]), 20.0)


def floor(of: Sway, rate_hz: float = 20.0, noise_mm: float = 0.0) -> SwayFloor:
    return sway_floor(of, rate_hz=rate_hz, noise_mm=noise_mm, dead=DEAD)


def test_path_and_velocity_under_three_floors_are_the_mats_and_over_them_the_players() -> None:
    below, above = floor(swaying(5.5)), floor(swaying(6.5))  # three floors are 6 mm/s
    assert "mean_velocity_mm_s" in below.below
    assert "path_mm" in below.below
    assert "mean_velocity_mm_s" not in above.below
    assert above.source == "a dead weight of 20 kg"
    assert "ellipse95_mm2" not in below.below  # some 900 mm^2 against 3


def test_a_dead_weights_velocity_is_scaled_to_the_recordings_rate() -> None:
    # white noise: s sqrt(pi) rate, check values 1.4
    assert floor(swaying(6.5), rate_hz=50.0).velocity_mm_s == pytest.approx(5.0)


def test_the_larger_of_dead_weight_and_the_cells_own_noise_counts() -> None:
    found = floor(swaying(6.5), noise_mm=0.5)
    assert found.velocity_mm_s == pytest.approx(noise_velocity_mm_s(0.5, 20.0))
    assert found.source == "the noise of its cells"


def test_pooled_floors_keep_the_largest_and_every_figure_that_is_below_one() -> None:
    one, other = floor(swaying(5.5)), replace(floor(swaying(6.5)), velocity_mm_s=9.0)
    pooled = SwayFloor.pooled([one, None, other])
    assert pooled is not None
    assert (pooled.velocity_mm_s, pooled.below) == (9.0, one.below)
    assert SwayFloor.pooled([None]) is None


def test_errors_of_the_same_figure_add_in_quadrature() -> None:
    assert in_quadrature({"a": 3.0, "b": 1.0}, {"a": 4.0, "c": 2.0}) == {"a": 5.0, "b": 1.0, "c": 2.0}


def test_a_gain_map_that_failed_is_not_used_and_the_last_good_one_is() -> None:
    morning = datetime(2026, 5, 9, 8, tzinfo=UTC)
    half_off = replace(KNOWN, gain=(0.5, *KNOWN.gain[1:]))
    checks = (
        InstrumentCheck(step="known weight", at=morning, passed=True, figures=KNOWN),
        InstrumentCheck(step="known weight", at=morning + timedelta(days=1), passed=False, figures=half_off),
        InstrumentCheck(
            step="empty mat",
            at=morning + timedelta(days=1),
            passed=False,
            figures=replace(EMPTY, dead=((1, 1),)),
        ),
    )
    found = mat_checks(Instrument(name="mat", kind="mat", checks=checks))
    assert found.known == KNOWN
    assert found.bad_cells == ((1, 1),)  # cells that are known to be faulty are filled all the same
    assert mat_checks(Instrument(name="mat", kind="mat", checks=checks[1:])).known is None
