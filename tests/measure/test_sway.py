"""Sway figures: what must not change when a series is turned, shifted, scaled or cut."""

from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenground.measure.recording import FloatArray
from evenground.measure.sway import TooShortForSwayError, spectral_mean_frequency_hz, sway
from evenground.plain import to_plain
from evenground.simulate.mat import swaying_series


def series(seed: int = 1, frames: int = 400) -> FloatArray:
    plain = swaying_series(np.random.default_rng(seed), frames, 2, 20.0, 2.0)
    return np.asarray(plain * np.array([3.0, 5.0]))


@given(angle=st.floats(0.0, 360.0), x=st.floats(-500.0, 500.0), y=st.floats(-500.0, 500.0))
@settings(max_examples=20, deadline=None)
def test_turning_and_shifting_leave_path_velocity_and_area(angle: float, x: float, y: float) -> None:
    # check-values ell-7, 1e-9
    c, s = np.cos(np.deg2rad(angle)), np.sin(np.deg2rad(angle))
    plain, moved = sway(series(), 20.0), sway(series() @ np.array([[c, s], [-s, c]]) + [x, y], 20.0)
    for name in ("path_mm", "mean_velocity_mm_s", "ellipse95_mm2", "mean_frequency_hz"):
        assert getattr(moved, name).value == pytest.approx(getattr(plain, name).value, rel=1e-9)


@given(k=st.floats(0.01, 100.0))
@settings(max_examples=20, deadline=None)
def test_scaling_scales_area_by_the_square_and_leaves_the_frequency(k: float) -> None:
    # check-values ell-8, 1e-9
    plain, scaled = sway(series(), 20.0), sway(k * series(), 20.0)
    assert scaled.ellipse95_mm2.value == pytest.approx(k * k * plain.ellipse95_mm2.value, rel=1e-9)
    assert scaled.path_mm.value == pytest.approx(k * plain.path_mm.value, rel=1e-9)
    assert scaled.mean_frequency_hz.value == pytest.approx(plain.mean_frequency_hz.value, rel=1e-9)
    assert scaled.path_mm.se == pytest.approx(k * plain.path_mm.se, rel=1e-4)


def test_swapping_axes_swaps_rms_and_range() -> None:
    plain, swapped = sway(series(), 20.0), sway(series()[:, ::-1], 20.0)
    assert swapped.rms_x_mm.value == pytest.approx(plain.rms_y_mm.value)
    assert swapped.range_y_mm.value == pytest.approx(plain.range_x_mm.value)
    assert plain.rms_y_mm.value > plain.rms_x_mm.value


def test_errors_say_how_far_another_stretch_of_the_same_standing_lies() -> None:
    # first-order errors of ten-second stretches: half to twice the scatter that is really there
    found = [sway(series(seed), 20.0) for seed in range(80)]
    for name in ("path_mm", "ellipse95_mm2", "rms_x_mm", "rms_y_mm", "range_x_mm", "mean_frequency_hz"):
        scatter = np.std([getattr(f, name).value for f in found], ddof=1)
        stated = np.median([getattr(f, name).se for f in found])
        assert 0.5 < stated / scatter < 2.0, name


def test_too_few_samples_are_refused() -> None:
    with pytest.raises(TooShortForSwayError, match="15 samples do not show sway"):
        sway(np.zeros((15, 2)), 20.0)


def test_standing_perfectly_still_gives_zeros_without_a_warning() -> None:
    found = sway(np.full((50, 2), 3.0), 20.0)
    assert {found.path_mm.value, found.ellipse95_mm2.value, found.mean_frequency_hz.value} == {0.0}


def test_plain_form_has_the_promised_keys() -> None:
    keys = [
        "n", "duration_s", "path_mm", "mean_velocity_mm_s", "ellipse95_mm2", "rms_x_mm", "rms_y_mm",
        "range_x_mm", "range_y_mm", "mean_frequency_hz",
    ]  # fmt: skip
    plain = to_plain(sway(series(), 20.0))
    assert list(plain) == keys
    assert all(set(e) == {"value", "se", "dof", "n", "unit"} for e in plain.values())
    assert [f.name for f in fields(sway(series(), 20.0))] == keys


def test_spectral_mean_frequency_of_two_tones_is_between_them_and_follows_the_power() -> None:
    t = np.arange(2000) / 50.0
    weak, strong = np.sin(2 * np.pi * 5.0 * t), 2.0 * np.sin(2 * np.pi * 1.0 * t)
    both = np.column_stack([weak + strong, weak + strong])
    assert spectral_mean_frequency_hz(both, 50.0) == pytest.approx((1 * 5.0 + 4 * 1.0) / 5, rel=1e-3)
