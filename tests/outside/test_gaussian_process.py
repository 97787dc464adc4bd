"""The Gaussian process against published-formula check values and against another library."""

import numpy as np
import pytest
from numpy.typing import NDArray
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, DotProduct, Matern

from evenground.fit.stance_layout import lay_out
from evenground.fit.stance_model import GaussianPosterior, fit_trials, gaussian_posterior, matern52
from evenground.fit.stance_types import StanceOptions
from evenground.visit import HipLineTrial

FloatArray = NDArray[np.float64]


def squared_exponential(a: FloatArray, b: FloatArray, length: float, sd: float) -> FloatArray:
    return np.asarray(sd**2 * np.exp(-0.5 * ((a[:, None] - b[None, :]) / length) ** 2))


def posterior(
    x: list[float], y: list[float], at: list[float], *, noise: float, length: float = 1.0, sd: float = 1.0
) -> GaussianPosterior:
    a, b = np.array(x), np.array(at)
    train, cross, target = (squared_exponential(p, q, length, sd) for p, q in ((a, a), (a, b), (b, b)))
    return gaussian_posterior(train, cross, target, np.array(y), noise)


# Rasmussen & Williams 2006, Gaussian Processes for Machine Learning, eq. 2.23, 2.24 and algorithm 2.1; the
# figures below are worked by hand from these formulas (project check values gp-1 to gp-4, six digits).


def test_one_point_gives_the_hand_worked_values() -> None:
    found = posterior([0.0], [1.0], [0.0, 1.0, 3.0], noise=0.1)
    assert found.mean == pytest.approx([0.990099, 0.600525, 0.010999], abs=1e-6)
    assert np.diagonal(found.cov) == pytest.approx([0.00990099, 0.635763, 0.999878], abs=1e-6)
    assert float(found.log_likelihood) == pytest.approx(-1.418963, abs=1e-6)


def test_two_points_without_noise_give_the_hand_worked_values() -> None:
    found = posterior([0.0, 1.0], [1.0, 0.0], [0.5], noise=0.0)
    assert found.mean[0] == pytest.approx(0.549318, abs=1e-6)
    assert found.cov[0, 0] == pytest.approx(0.0304564, abs=1e-6)


def test_two_noisy_points_give_the_hand_worked_values() -> None:
    found = posterior([0.0, 1.0], [1.0, 0.0], [0.25, 0.5, 2.0], noise=0.1)
    assert found.mean == pytest.approx([0.798951, 0.545920, -0.354467], abs=1e-6)
    assert np.diagonal(found.cov) == pytest.approx([0.0236536, 0.0364541, 0.554625], abs=1e-6)
    assert float(found.log_likelihood) == pytest.approx(-2.398469, abs=1e-6)


def test_two_opposite_points_cancel_half_way() -> None:
    found = posterior([0.0, 1.0], [1.0, -1.0], [0.0, 0.5, 1.0, 2.0], noise=0.1)
    assert found.mean == pytest.approx([0.975215, 0.0, -0.975215, -1.167859], abs=1e-6)
    assert abs(found.mean[1]) < 1e-12
    assert float(found.log_likelihood) == pytest.approx(-4.102694, abs=1e-6)


def test_the_stance_table_is_reproduced() -> None:
    at = [0.30, 0.35, 0.40, 0.45, 0.50]
    found = posterior([0.25, 0.40, 0.55], [-6.0, 6.0, 0.0], at, noise=2.0, length=0.10, sd=8.0)
    mean, sd = found.mean + 36.0, np.sqrt(np.diagonal(found.cov))
    assert mean == pytest.approx([33.9631, 38.5204, 41.4361, 41.2094, 38.7486], abs=1e-3)
    assert sd == pytest.approx([3.0241, 2.9717, 1.9265, 2.9717, 3.0241], abs=1e-3)
    straddle = 1.96 * sd - np.abs(mean - 38.0)  # Bryan et al. 2005, NIPS 18:163-170
    assert straddle == pytest.approx([1.8903, 5.3041, 0.3398, 2.6152, 5.1786], abs=1e-3)
    assert at[int(np.argmax(straddle))] == 0.35
    assert float(found.log_likelihood) == pytest.approx(-9.799383, abs=1e-6)


WIDTHS = np.array([240.0, 310.0, 310.0, 395.0, 480.0, 560.0])
ANGLES = np.array([-6.2, -1.5, -2.4, 1.9, 4.6, 2.2])
TARGETS = np.arange(220.0, 600.0, 10.0)
CENTRE = 405.0


@pytest.mark.parametrize("length_mm", [60.0, 110.0, 180.0])
@pytest.mark.parametrize("amplitude_deg", [2.0, 4.0, 7.0])
@pytest.mark.parametrize("noise_deg", [1.0, 1.5, 2.0, 3.0, 4.5])
def test_every_set_of_the_grid_equals_scikit_learn_without_a_refit(
    length_mm: float, amplitude_deg: float, noise_deg: float
) -> None:
    # scikit-learn, GaussianProcessRegressor with optimizer=None; DotProduct(0) on widths from the centre in
    # 100 mm is the slope. 1e-8: two Cholesky factorings of a 6 x 6 matrix of condition number below 1e4.
    kernel = (
        ConstantKernel(25.0)
        + ConstantKernel(4.0) * DotProduct(sigma_0=0.0, sigma_0_bounds="fixed")
        + ConstantKernel(amplitude_deg**2) * Matern(length_scale=length_mm / 100.0, nu=2.5)
    )
    peer = GaussianProcessRegressor(kernel=kernel, alpha=noise_deg**2, optimizer=None)
    peer.fit((WIDTHS[:, None] - CENTRE) / 100.0, ANGLES)
    mean, cov = peer.predict((TARGETS[:, None] - CENTRE) / 100.0, return_cov=True)

    trials = [
        HipLineTrial(trial=i + 1, width_mm=w, hip_line_deg=y)
        for i, (w, y) in enumerate(zip(WIDTHS.tolist(), ANGLES.tolist(), strict=True))
    ]
    layout, points, y = lay_out(trials, options=StanceOptions(drift_sd_deg=0.0), centre_mm=CENTRE)
    fitted = fit_trials(layout.prior, points, y)
    view = fitted.project(layout.points("irons", "before", TARGETS))
    prior = layout.prior
    place = [
        prior.lengths_mm.tolist().index(length_mm),
        prior.amplitudes_deg.tolist().index(amplitude_deg),
        prior.noises_deg.tolist().index(noise_deg),
    ]
    h = int(np.ravel_multi_index(place, (3, 3, 5)))
    assert view.mean[h] == pytest.approx(mean, abs=1e-8)
    assert fitted.covariance(view, view)[h] == pytest.approx(cov, abs=1e-8)
    assert fitted.variance(view)[h] == pytest.approx(np.diagonal(cov), abs=1e-8)


def test_weights_of_the_sets_follow_scikit_learns_likelihoods() -> None:
    trials = [
        HipLineTrial(trial=i + 1, width_mm=w, hip_line_deg=y)
        for i, (w, y) in enumerate(zip(WIDTHS.tolist(), ANGLES.tolist(), strict=True))
    ]
    layout, points, y = lay_out(trials, options=StanceOptions(drift_sd_deg=0.0), centre_mm=CENTRE)
    prior = layout.prior
    logs = []
    for length in prior.lengths_mm:
        for amplitude in prior.amplitudes_deg:
            for noise, weight in zip(prior.noises_deg, prior.noise_weight, strict=True):
                kernel = (
                    ConstantKernel(25.0)
                    + ConstantKernel(4.0) * DotProduct(sigma_0=0.0, sigma_0_bounds="fixed")
                    + ConstantKernel(amplitude**2) * Matern(length_scale=length / 100.0, nu=2.5)
                )
                peer = GaussianProcessRegressor(kernel=kernel, alpha=noise**2, optimizer=None)
                peer.fit((WIDTHS[:, None] - CENTRE) / 100.0, ANGLES)
                logs.append(peer.log_marginal_likelihood_value_ + np.log(weight))
    expected = np.exp(np.array(logs) - max(logs))
    assert fit_trials(prior, points, y).weight == pytest.approx(expected / expected.sum(), abs=1e-10)


def test_the_correlation_equals_scikit_learns() -> None:
    apart = np.linspace(0.0, 400.0, 41)
    peer = Matern(length_scale=110.0, nu=2.5)(apart[:, None], np.zeros((1, 1)))[:, 0]
    assert matern52(apart, 110.0) == pytest.approx(peer, abs=1e-12)
