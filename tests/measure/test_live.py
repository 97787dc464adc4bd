"""The moment on a live mat: pieces of the recording's own figures; mirrored; gone when the player goes."""

from dataclasses import replace

import numpy as np
import pytest

from evenground.errors import MeasureError
from evenground.measure.ground import centre_of_pressure, describe
from evenground.measure.live import live_basis, moment
from evenground.measure.recording import MatRecording
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat
from tests.sure import sure

MAT = Mat(rows=40, columns=60, pitch_x_mm=10.0, pitch_y_mm=9.0, noise_kpa=0.4)


def stood(standing: Standing, mat: Mat = MAT, seconds: float = 4.0) -> MatRecording:
    swaying = Swaying(duration_s=seconds, rate_hz=50.0)
    return simulate_mat(standing, mat, swaying, rng=np.random.default_rng(20261125)).recording


def test_moments_of_a_recording_average_to_its_figures() -> None:
    recording = stood(Standing(load_left_percent=58.0, width_mm=320.0))
    feet = live_basis(recording)
    loads = [moment(recording.cells[i : i + 2], feet) for i in range(0, 200, 2)]
    whole = describe(recording, handed="right", mass_kg=75.0)
    assert all(m is not None for m in loads)
    shares = [m.load_left_percent for m in loads if m is not None]
    # the share of a mean frame and the mean of shares differ by the covariance of share and force
    assert np.mean(shares) == pytest.approx(sure(whole.feet.left.load_percent).value, abs=0.02)
    force = [m.force_n for m in loads if m is not None and m.force_n is not None]
    assert whole.total_force_n is not None
    assert np.mean(force) == pytest.approx(whole.total_force_n.value, rel=1e-5)


def test_the_common_centre_lies_where_a_plain_sum_over_a_noiseless_mat_has_it() -> None:
    recording = stood(Standing(load_left_percent=45.0, forward_mm=5.0), replace(MAT, noise_kpa=0.0))
    seen = moment(recording.cells[:1], live_basis(recording))
    plain = centre_of_pressure(recording.cells[0], 10.0, 9.0)
    assert seen is not None
    assert plain is not None
    assert seen.cop_mm == pytest.approx(plain, abs=0.5)  # mm: the edges beyond 8 mm of contact are left out


def test_the_left_foots_centre_is_on_the_left_and_a_mirrored_mat_mirrors_it() -> None:
    recording = stood(Standing(load_left_percent=60.0, toe_out_left_deg=20.0), replace(MAT, noise_kpa=0.0))
    mirrored = replace(recording, cells=np.ascontiguousarray(recording.cells[:, :, ::-1]))
    one, other = (moment(r.cells[:4], live_basis(r)) for r in (recording, mirrored))
    assert one is not None
    assert other is not None
    assert one.cop_left_mm[0] < one.cop_mm[0] < one.cop_right_mm[0]
    assert other.load_left_percent == pytest.approx(one.load_right_percent, abs=0.05)
    assert 600.0 - other.cop_right_mm[0] == pytest.approx(one.cop_left_mm[0], abs=0.05)
    assert other.cop_right_mm[1] == pytest.approx(one.cop_left_mm[1], abs=0.05)


def test_counts_have_no_force() -> None:
    recording = stood(Standing(), replace(MAT, counts_per_kpa=20.0))
    seen = moment(recording.cells[:4], live_basis(recording))
    assert seen is not None
    assert seen.force_n is None


def test_when_the_player_leaves_there_is_no_moment() -> None:
    recording = stood(Standing())
    feet = live_basis(recording)
    assert moment(np.zeros_like(recording.cells[:3]), feet) is None
    one_foot = recording.cells[:3].copy()
    one_foot[:, :, :30] = 0.0
    assert moment(one_foot, feet) is None


def test_a_turned_mat_keeps_positions_along_its_own_rows_and_columns() -> None:
    recording = stood(Standing(), replace(MAT, noise_kpa=0.0))
    straight, turned = (
        moment(r.cells[:2], live_basis(r)) for r in (recording, replace(recording, turned_deg=20.0))
    )
    assert straight is not None
    assert turned is not None
    assert turned.cop_left_mm == pytest.approx(straight.cop_left_mm, abs=1e-9)
    # counter-clockwise seen from above: what was straight ahead now lies to the left
    x, y = straight.from_heels_mm
    assert y > 50.0
    assert turned.from_heels_mm[0] == pytest.approx(0.9397 * x - 0.3420 * y, abs=0.01)  # cos, sin of 20 deg
    assert turned.from_heels_mm[1] == pytest.approx(0.3420 * x + 0.9397 * y, abs=0.01)


def test_the_centre_from_the_heels_is_that_of_the_whole_recording() -> None:
    recording = replace(stood(Standing(load_left_percent=42.0, forward_mm=8.0)), turned_deg=3.0)
    feet = live_basis(recording)
    seen = [moment(recording.cells[i : i + 2], feet) for i in range(0, 200, 2)]
    mean = np.mean([m.from_heels_mm for m in seen if m is not None], axis=0)
    whole = describe(recording, handed="left").cop_mm
    assert mean == pytest.approx(
        [sure(whole.x).value, sure(whole.y).value], abs=0.5
    )  # mm: axes found 3 deg apart


def test_an_empty_mat_is_refused_as_in_a_recording() -> None:
    recording = stood(Standing())
    with pytest.raises(MeasureError):
        live_basis(replace(recording, cells=np.zeros_like(recording.cells)))
