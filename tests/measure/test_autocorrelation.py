"""The mean of a swaying signal and how well it is known."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import stdtrit

from evenground.measure.autocorrelation import (
    effective_samples,
    integrated_time_s,
    means_of_series,
    with_known_errors,
)
from evenground.simulate.mat import swaying_series


def test_error_of_white_noise_is_little_over_sd_over_root_n() -> None:
    # never less; up to half more, since a slow part that cannot be seen yet is never ruled out
    noise = np.random.default_rng(2).standard_normal((2000, 40))
    found = means_of_series(noise, 50.0)
    assert 1.0 < np.median(found.se) * np.sqrt(2000) < 1.5


def test_error_of_a_swaying_signal_is_far_above_sd_over_root_n() -> None:
    series = swaying_series(np.random.default_rng(3), 1000, 30, 50.0, 3.0)
    found = means_of_series(series, 50.0)
    assert np.median(found.se) > 8.0 * np.median(series.std(axis=0)) / np.sqrt(1000)


@pytest.mark.parametrize(("slow_s", "low", "high"), [(0.6, 0.96, 1.0), (2.0, 0.93, 1.0), (6.0, 0.83, 0.98)])
def test_intervals_hold_the_mean_of_the_process(slow_s: float, low: float, high: float) -> None:
    # the prior spreads over correlation times: quick sways are held too often, slow ones not quite often
    # enough
    held = []
    for seed in range(60):
        series = swaying_series(np.random.default_rng(seed), 300, 8, 15.0, slow_s)
        found = means_of_series(series, 15.0)
        held += list(np.abs(found.value) < stdtrit(found.dof, 0.975) * found.se)
    assert low <= np.mean(held) <= high


@given(seed=st.integers(0, 1000), scale=st.floats(0.001, 1000.0), shift=st.floats(-100.0, 100.0))
@settings(max_examples=15, deadline=None)
def test_error_scales_with_the_signal_and_does_not_see_a_shift(seed: int, scale: float, shift: float) -> None:
    series = swaying_series(np.random.default_rng(seed), 200, 2, 20.0, 2.0)
    one, other = means_of_series(series, 20.0), means_of_series(scale * (series + shift), 20.0)
    assert other.value == pytest.approx(scale * (one.value + shift), rel=1e-6, abs=1e-9 * scale)
    assert other.se == pytest.approx(scale * one.se, rel=1e-4)
    assert other.dof == pytest.approx(one.dof, rel=1e-2)


def test_a_signal_that_stands_still_has_no_error() -> None:
    found = means_of_series(np.full((100, 1), 7.5), 20.0)
    assert (found.value[0], found.se[0], found.dof[0]) == (7.5, 0.0, np.inf)


def test_integrated_time_of_an_exponential_correlation_is_twice_its_time() -> None:
    # integral of exp(-|lag| / tau) over both sides is 2 tau; a first-order autoregression has that
    # correlation
    rng = np.random.default_rng(11)
    keep = np.exp(-1.0 / (10.0 * 2.0))
    x = np.zeros(200_000)
    kicks = rng.standard_normal(len(x)) * np.sqrt(1.0 - keep**2)
    for k in range(1, len(x)):
        x[k] = keep * x[k - 1] + kicks[k]
    assert integrated_time_s(x, 10.0) == pytest.approx(4.0, rel=0.1)
    assert effective_samples(x, 10.0) == pytest.approx(len(x) / 10.0 / 4.0, rel=0.1)


def test_a_constant_signal_has_no_correlation_time() -> None:
    assert integrated_time_s(np.ones(50), 10.0) == 0.0
    assert effective_samples(np.ones(50), 10.0) == 50.0


@pytest.mark.parametrize("dof", [1.2, 2.0, 4.0, 10.0])
@pytest.mark.parametrize("known", [0.2, 0.5, 1.0, 2.0])
def test_a_known_error_beside_a_poorly_known_one_widens_the_range_as_drawn(dof: float, known: float) -> None:
    # against 400,000 draws of t plus normal, whose 95 % point is known to about 1 %
    rng = np.random.default_rng(8)
    drawn = np.abs(rng.standard_t(dof, 400_000) + known * rng.standard_normal(400_000))
    se, found = with_known_errors(np.ones(1), np.full(1, dof), np.full(1, known))
    assert se[0] * stdtrit(found[0], 0.975) == pytest.approx(float(np.quantile(drawn, 0.95)), rel=0.05)
    assert se[0] * stdtrit(found[0], 0.975) > stdtrit(dof, 0.975)


def test_known_errors_alone_are_what_they_are() -> None:
    se, dof = with_known_errors(np.zeros(2), np.full(2, np.inf), np.array([1.5, 0.0]))
    assert se.tolist() == [1.5, 0.0]
    assert dof.tolist() == [np.inf, np.inf]
