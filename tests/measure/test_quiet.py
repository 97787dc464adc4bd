"""The quiet part of recordings with steps, by known truth."""

from dataclasses import replace

import numpy as np
import pytest

from evenground.measure.quiet import QuietPart, drift_flags, quiet_part
from evenground.measure.recording import FloatArray, MatRecording
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat

MAT = Mat(rows=48, columns=80, noise_kpa=0.4)
RATE = 20.0


def standing(seconds: float, width_mm: float = 300.0, seed: int = 1) -> FloatArray:
    swaying = Swaying(duration_s=seconds, rate_hz=RATE)
    made = simulate_mat(Standing(width_mm=width_mm), MAT, swaying, rng=np.random.default_rng(seed))
    return made.recording.cells


def one_foot(seconds: float) -> FloatArray:
    """Stepping on: the left foot carries everything."""
    cells = standing(seconds, seed=2).copy()
    cells[:, :, MAT.columns // 2 :] = 0.0
    return cells * np.float32(2.0)


def nobody(seconds: float) -> FloatArray:
    return np.zeros((round(seconds * RATE), MAT.rows, MAT.columns), np.float32)


def joined(*parts: FloatArray) -> MatRecording:
    cells = np.concatenate(parts)
    return MatRecording(
        cells=cells,
        unit="kPa",
        pitch_x_mm=8.0,
        pitch_y_mm=8.0,
        rate_hz=RATE,
        time_s=np.arange(len(cells)) / RATE,
        name="mat/1",
    )


def part_of(*parts: FloatArray) -> QuietPart | None:
    return quiet_part(joined(*parts)).part


def test_a_quiet_recording_is_left_as_it_is() -> None:
    plain = joined(standing(10.0))
    assert quiet_part(plain).recording is plain
    assert quiet_part(plain).part is None


def test_stepping_on_and_off_is_cut_away() -> None:
    found = part_of(nobody(1.2), one_foot(0.9), standing(9.0), one_foot(0.6), nobody(1.3))
    assert found is not None
    assert 2.1 <= found.from_s <= 3.2  # on both feet from 2.1 s; a block beside the step goes too
    assert 10.0 <= found.to_s <= 11.1
    assert found.of_s == pytest.approx(13.0)
    assert found.breaks == 0


@pytest.mark.parametrize("moved", [12.0, 40.0])
def test_a_step_in_the_middle_leaves_the_longer_side(moved: float) -> None:
    found = quiet_part(joined(standing(4.0), standing(8.0, 300.0 + 2.0 * moved, seed=3)))
    assert found.part is not None
    assert 4.0 <= found.part.from_s <= 5.0
    assert found.part.breaks == 1
    assert [flag.code for flag in found.flags] == ["stepped"]
    assert f"{found.part.from_s:.1f} to" in found.flags[0].text


def test_times_of_a_recording_that_starts_late_are_its_own() -> None:
    late = joined(nobody(1.0), standing(6.0))
    shifted = quiet_part(replace(late, time_s=late.time_s + 100.0)).part
    plain = quiet_part(late).part
    assert shifted is not None
    assert plain is not None
    assert shifted.from_s == pytest.approx(plain.from_s + 100.0)


def test_what_leaves_under_three_seconds_is_not_cut() -> None:
    assert part_of(standing(2.0), nobody(2.0), standing(2.0, seed=5)) is None


def test_a_steady_lean_is_a_drift_and_a_sway_that_comes_back_is_none() -> None:
    t = np.linspace(0.0, 1.0, 400)
    still = np.zeros((400, 2))
    (lean,) = drift_flags(47.0 + 6.0 * t, still, "mat/1")
    assert "+6 points" in lean.text
    assert drift_flags(47.0 + 3.0 * np.sin(2.0 * np.pi * 2.0 * t), still, "mat/1") == ()
    ahead = np.column_stack([0.0 * t, -15.0 * t])
    (leaning,) = drift_flags(np.full(400, 50.0), ahead, "mat/1")
    assert "15 mm back" in leaning.text
