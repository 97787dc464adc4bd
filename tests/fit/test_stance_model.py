"""The curve model: slow twin, mirror, shift, order, drift."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from evenground.fit.stance_answer import curve_at
from evenground.fit.stance_layout import Layout, lay_out
from evenground.fit.stance_model import (
    Fitted,
    fit_trials,
    gaussian_posterior,
    noise_weights,
    square_probability,
)
from evenground.fit.stance_types import StanceOptions
from evenground.visit import Family, HipLineTrial, Phase

FloatArray = NDArray[np.float64]
GRID = np.arange(220.0, 600.0, 20.0)
CENTRE = 400.0

angles = st.lists(st.floats(-15.0, 15.0), min_size=3, max_size=7)


def series(angles_deg: list[float], widths: list[float] | None = None) -> list[HipLineTrial]:
    places = widths or [300.0, 520.0, 400.0, 350.0, 460.0, 300.0, 250.0]
    return [
        HipLineTrial(trial=i + 1, width_mm=w, hip_line_deg=a)
        for i, (w, a) in enumerate(zip(places, angles_deg, strict=False))
    ]


def fitted(trials: list[HipLineTrial], drift_sd_deg: float = 0.2) -> tuple[Layout, Fitted]:
    layout, points, y = lay_out(trials, options=StanceOptions(drift_sd_deg=drift_sd_deg), centre_mm=CENTRE)
    return layout, fit_trials(layout.prior, points, y)


def covariance_by_hand(
    a: HipLineTrial, b: HipLineTrial, middle: dict[Phase, float], length: float, amplitude: float
) -> float:
    """The prior between two trials, each term written out (three families with trials of their own)."""
    off_a, off_b = (a.width_mm - CENTRE) / 100.0, (b.width_mm - CENTRE) / 100.0
    r = math.sqrt(5.0) * abs(a.width_mm - b.width_mm) / length
    matern = (1.0 + r + r * r / 3.0) * math.exp(-r)
    value = 0.2**2 * (a.trial - middle[a.phase]) * (b.trial - middle[b.phase])
    if a.family == b.family:
        value += 25.0 + 4.0 * off_a * off_b + amplitude**2 * matern
    if a.phase == b.phase == "after":
        value += 9.0 + 1.0 * off_a * off_b + 0.25 * amplitude**2 * matern
    return value


def two_families() -> list[HipLineTrial]:
    rows: list[tuple[float, float, Family, Phase]] = [
        (300.0, -3.0, "irons", "before"),
        (450.0, 2.0, "irons", "before"),
        (380.0, 0.5, "irons", "before"),
        (260.0, -1.0, "putter", "before"),
        (330.0, 1.5, "putter", "before"),
        (400.0, 4.0, "putter", "before"),
        (380.0, 1.0, "woods", "before"),
        (480.0, 3.0, "woods", "before"),
        (420.0, 2.5, "woods", "before"),
        (380.0, -1.5, "irons", "after"),
    ]
    return [
        HipLineTrial(trial=i + 1, width_mm=w, hip_line_deg=a, family=f, phase=p)
        for i, (w, a, f, p) in enumerate(rows)
    ]


def test_batched_posterior_equals_plain_loops_over_sets_and_trials() -> None:
    trials = two_families()
    layout, found = fitted(trials)
    middle: dict[Phase, float] = {"before": 5.0, "after": 10.0}
    targets = [HipLineTrial(trial=5, width_mm=w, hip_line_deg=0.0, family="irons") for w in GRID.tolist()]
    view = found.project(layout.points("irons", "before", GRID))
    cov = found.covariance(view, view)
    y = np.array([t.hip_line_deg for t in trials])
    logs = []
    h = 0
    for length in (60.0, 110.0, 180.0):
        for amplitude in (2.0, 4.0, 7.0):
            k, ks, kss = (
                np.array([[covariance_by_hand(a, b, middle, length, amplitude) for b in right] for a in left])
                for left, right in ((trials, trials), (trials, targets), (targets, targets))
            )
            for noise, weight in zip(layout.prior.noises_deg, layout.prior.noise_weight, strict=True):
                inverse = np.linalg.inv(k + noise**2 * np.eye(len(y)))
                assert view.mean[h] == pytest.approx(ks.T @ inverse @ y, abs=1e-9)
                assert cov[h] == pytest.approx(kss - ks.T @ inverse @ ks, abs=1e-9)
                plain = gaussian_posterior(k, ks, kss, y, float(noise))
                assert view.mean[h] == pytest.approx(plain.mean, abs=1e-9)
                logs.append(float(plain.log_likelihood) + math.log(weight))
                h += 1
    expected = np.exp(np.array(logs) - max(logs))
    assert found.weight == pytest.approx(expected / expected.sum(), abs=1e-12)


@given(angles)
def test_mirrored_angles_leave_every_probability_unchanged(readings: list[float]) -> None:
    curves = []
    for sign in (1.0, -1.0):
        layout, found = fitted(series([sign * a for a in readings]))
        curves.append(curve_at(found, layout.points("irons", "before", GRID), 2.0))
    assert curves[1].p == pytest.approx(curves[0].p, abs=1e-12)
    assert curves[1].mean_deg == pytest.approx(-curves[0].mean_deg, abs=1e-9)


@given(angles, st.floats(-5.0, 5.0))
def test_adding_a_constant_moves_each_curve_and_not_its_spread(readings: list[float], by: float) -> None:
    layout, plain = fitted(series(readings))
    _, moved = fitted(series([a + by for a in readings]))
    target = layout.points("irons", "before", GRID)
    one, other = plain.project(target), moved.project(target)
    _, constant = fitted(series([by] * len(readings)))
    assert other.mean - one.mean == pytest.approx(constant.project(target).mean, abs=1e-8)
    assert moved.variance(other) == pytest.approx(plain.variance(one), abs=1e-12)


@given(st.permutations(range(6)))
def test_trial_order_is_irrelevant_without_drift(order: list[int]) -> None:
    widths, readings = [300.0, 520.0, 400.0, 350.0, 460.0, 300.0], [-4.0, 5.0, 0.3, -2.0, 2.0, -3.0]
    layout, plain = fitted(series(readings, widths), drift_sd_deg=0.0)
    _, mixed = fitted(series([readings[i] for i in order], [widths[i] for i in order]), drift_sd_deg=0.0)
    target = layout.points("irons", "before", GRID)
    one, other = curve_at(plain, target, 2.0), curve_at(mixed, target, 2.0)
    assert other.p == pytest.approx(one.p, abs=1e-10)
    assert other.mean_deg == pytest.approx(one.mean_deg, abs=1e-9)


def test_steady_drift_is_found_and_does_not_bend_the_curve() -> None:
    rng = np.random.default_rng(20250302)
    widths = rng.uniform(240.0, 560.0, 40)
    trials = [
        HipLineTrial(trial=i + 1, width_mm=w, hip_line_deg=0.02 * (w - 400.0) + 0.3 * (i + 1 - 20.5) + e)
        for i, (w, e) in enumerate(zip(widths.tolist(), rng.normal(0.0, 1.0, 40).tolist(), strict=True))
    ]
    layout, found = fitted(trials)
    drift, sd = found.drift()
    assert drift == pytest.approx(0.3, abs=3.0 * sd)
    assert sd < 0.05
    curve = curve_at(found, layout.points("irons", "before", np.array([300.0, 400.0, 500.0])), 2.0)
    assert curve.mean_deg == pytest.approx([-2.0, 0.0, 2.0], abs=1.0)


def test_drift_without_a_prior_for_it_is_nothing() -> None:
    _, found = fitted(series([1.0, 2.0, 3.0]), drift_sd_deg=0.0)
    assert found.drift() == (0.0, 0.0)


def test_far_from_all_trials_the_curve_keeps_the_prior_spread() -> None:
    layout, found = fitted(series([0.0, 0.0, 0.0], [300.0, 300.0, 300.0]))
    near, far = curve_at(found, layout.points("irons", "before", np.array([300.0, 600.0])), 2.0).sd_deg
    assert near < 2.0 < 4.0 < far


def test_noise_never_widens_the_margin() -> None:
    p = [float(square_probability(np.array(3.0), np.array(sd), 2.0)) for sd in (0.1, 1.0, 3.0, 10.0)]
    assert p[0] < 1e-9
    assert max(p) < 0.5


def test_a_certain_curve_inside_the_margin_is_square_and_outside_is_not() -> None:
    mean = np.array([0.0, 1.9, 2.1, -1.9, -2.1])
    assert square_probability(mean, np.full(5, 1e-3), 2.0) == pytest.approx([1, 1, 0, 1, 0], abs=1e-9)


def test_noise_weights_peak_at_the_studios_own_noise() -> None:
    grid = np.array([1.0, 1.5, 2.0, 3.0, 4.5])
    known, unknown = noise_weights(grid, 3.0), noise_weights(grid, None)
    assert known.sum() == pytest.approx(1.0)
    assert int(np.argmax(known)) == 3
    assert known[3] > 0.6
    assert int(np.argmax(unknown)) == 2
    assert unknown.min() > 0.02


def test_a_reading_that_states_its_own_error_pulls_the_curve_as_much_less() -> None:
    widths = (340.0, 380.0, 420.0)
    plain = [HipLineTrial(trial=n, width_mm=w, hip_line_deg=0.0) for n, w in enumerate(widths, start=1)]
    at = np.array([380.0])

    def pull(se_deg: float | None) -> float:
        odd = HipLineTrial(trial=4, width_mm=380.0, hip_line_deg=6.0, se_deg=se_deg)
        layout, fit = fitted([*plain, odd], drift_sd_deg=0.0)
        seen = fit.project(layout.points("irons", "before", at))
        return float(fit.weight @ seen.mean[:, 0])

    assert pull(0.0) == pull(None)
    assert 0.0 < pull(6.0) < pull(0.5) < pull(0.0)
