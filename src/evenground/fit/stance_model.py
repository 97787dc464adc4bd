"""The hip line against stance width: a Gaussian process, averaged over a grid of hyperparameters.

    y = f(width) + drift * (trial - middle of its phase) + noise

Array axes: H hyperparameter sets (length scale slowest, then amplitude, then noise), n trials, T targets,
C components. A component is an independent curve; what a reading or target is made of is its row of `loads`:
a family's own curve, plus the change after the routine, plus what a borrowed curve may differ by.
Widths in mm, angles in deg, `late` in trials after the middle of the phase.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from evenground.fit import stance_constants as c

__all__ = [
    "Fitted",
    "GaussianPosterior",
    "Points",
    "Prior",
    "Projection",
    "fit_trials",
    "gaussian_posterior",
    "matern52",
    "noise_weights",
    "square_probability",
]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class GaussianPosterior:
    """Mean (..., T), covariance (..., T, T) of the noise-free values; log marginal likelihood (...)."""

    mean: FloatArray
    cov: FloatArray
    log_likelihood: FloatArray


def _factor(train_cov: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Cholesky factor (..., n, n), whitened readings (..., n), log marginal likelihood (...)."""
    chol = np.linalg.cholesky(train_cov)
    white = np.linalg.solve(chol, np.broadcast_to(y[..., None], (*chol.shape[:-1], 1)))[..., 0]
    half_log_det = np.log(np.diagonal(chol, axis1=-2, axis2=-1)).sum(-1)
    log_likelihood = -0.5 * (white**2).sum(-1) - half_log_det - 0.5 * len(y) * np.log(2.0 * np.pi)
    return np.asarray(chol), np.asarray(white), np.asarray(log_likelihood)


def gaussian_posterior(
    train_cov: FloatArray, cross_cov: FloatArray, target_cov: FloatArray, y: FloatArray, noise_sd: float
) -> GaussianPosterior:
    """Posterior of a Gaussian process with zero mean and known covariances.

    Parameters
    ----------
    train_cov
        (..., n, n) prior covariance of the noise-free values at the readings.
    cross_cov
        (..., n, T) between readings and targets.
    target_cov
        (..., T, T) of the targets.
    y
        (n,) readings, prior mean taken off.
    noise_sd
        SD of one reading, in the unit of `y`.

    Returns
    -------
    posterior
        Of the noise-free targets.

    Notes
    -----
    Rasmussen & Williams 2006, Gaussian Processes for Machine Learning, eq. 2.23 and 2.24, algorithm 2.1;
    check values gp-1 to gp-4. Nothing is refitted.

    Examples
    --------
    >>> one = np.ones((1, 1))
    >>> gaussian_posterior(one, one, one, np.array([1.0]), 0.1).mean
    array([0.990099])
    """
    chol, white, log_likelihood = _factor(train_cov + noise_sd**2 * np.eye(len(y)), y)
    proj = np.linalg.solve(chol, cross_cov)
    return GaussianPosterior(
        mean=np.einsum("...nt,...n->...t", proj, white),
        cov=target_cov - np.swapaxes(proj, -1, -2) @ proj,
        log_likelihood=log_likelihood,
    )


def matern52(distance_mm: FloatArray, length_mm: float) -> FloatArray:
    """Matern correlation with smoothness 5/2 at distances of any shape.

    Source: Rasmussen & Williams 2006, eq. 4.17.
    """
    r = np.sqrt(5.0) * np.abs(distance_mm) / length_mm
    return np.asarray((1.0 + r + r * r / 3.0) * np.exp(-r))


def square_probability(mean_deg: FloatArray, sd_deg: FloatArray, margin_deg: float) -> FloatArray:
    """Chance that a normal value lies within the margin either side of zero; shapes broadcast.

    Depends on the size of the mean only, so a mirrored curve has the same probabilities to the last digit.

    Examples
    --------
    >>> square_probability(np.array([0.0, 2.0]), np.array([1.0, 1.0]), 2.0)
    array([0.9545, 0.49997])
    """
    away = np.abs(mean_deg)
    return np.asarray(ndtr((margin_deg - away) / sd_deg) - ndtr((-margin_deg - away) / sd_deg))


def noise_weights(noises_deg: FloatArray, studio_sd_deg: float | None) -> FloatArray:
    """Prior weights of the noise grid: log-normal around the studio's pooled SD, wide when there is none.

    Parameters
    ----------
    noises_deg
        (S,) SDs of one reading.
    studio_sd_deg
        The studio's own SD of one reading, or None.

    Returns
    -------
    weights
        (S,), sum 1.
    """
    known = studio_sd_deg is not None
    centre = studio_sd_deg if studio_sd_deg is not None else c.NOISE_CENTRE.value
    spread = c.NOISE_SPREAD_KNOWN.value if known else c.NOISE_SPREAD_UNKNOWN.value
    log_density = -0.5 * (np.log(noises_deg / centre) / spread) ** 2
    raw = np.exp(log_density - log_density.max())
    return np.asarray(raw / raw.sum())


@dataclass(frozen=True, slots=True, kw_only=True)
class Points:
    """Where the hip line is read or wanted: `width_mm` (n,), `late` (n,), `loads` (n, C).

    `own_sd` (n,) is what the instrument says of its own error in each reading, on top of the common noise.
    """

    width_mm: FloatArray
    late: FloatArray
    loads: FloatArray
    own_sd: FloatArray | None = None

    def __len__(self) -> int:
        """How many points."""
        return len(self.width_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """Prior of the curves: `constant_sd`, `slope_sd`, `amplitude_share` are (C,), one a component.

    `slope_sd` is per 100 mm from `centre_mm`; `amplitude_share` multiplies the amplitude of the grid.
    """

    constant_sd: FloatArray
    slope_sd: FloatArray
    amplitude_share: FloatArray
    centre_mm: float
    drift_sd: float
    lengths_mm: FloatArray
    amplitudes_deg: FloatArray
    noises_deg: FloatArray
    noise_weight: FloatArray

    @property
    def noise_of_set(self) -> FloatArray:
        """(H,) noise SD of each hyperparameter set."""
        return np.tile(self.noises_deg, len(self.lengths_mm) * len(self.amplitudes_deg))

    def covariance(self, a: Points, b: Points) -> FloatArray:
        """(L * A, len(a), len(b)) prior covariance of the noise-free values, a kernel each."""
        share = (a.loads * self.amplitude_share**2) @ b.loads.T
        apart = a.width_mm[:, None] - b.width_mm[None, :]
        bends = np.stack([share * matern52(apart, length) for length in self.lengths_mm])
        scaled = bends[:, None] * (self.amplitudes_deg**2)[None, :, None, None]
        return np.asarray(scaled.reshape(-1, len(a), len(b)) + self._straight(a, b))

    def variance(self, a: Points) -> FloatArray:
        """(L * A, len(a)) diagonal of `covariance(a, a)`."""
        share = (a.loads**2 * self.amplitude_share**2).sum(1)
        off = (a.width_mm - self.centre_mm) / 100.0
        straight = (a.loads**2) @ self.constant_sd**2 + off**2 * ((a.loads**2) @ self.slope_sd**2)
        straight = straight + (self.drift_sd * a.late) ** 2
        bends = np.tile(self.amplitudes_deg**2, len(self.lengths_mm))[:, None] * share
        return np.asarray(bends + straight)

    def _straight(self, a: Points, b: Points) -> FloatArray:
        off_a = (a.width_mm - self.centre_mm) / 100.0
        off_b = (b.width_mm - self.centre_mm) / 100.0
        constant = (a.loads * self.constant_sd**2) @ b.loads.T
        slope = (a.loads * self.slope_sd**2) @ b.loads.T
        drift = self.drift_sd**2 * np.outer(a.late, b.late)
        return np.asarray(constant + slope * np.outer(off_a, off_b) + drift)


@dataclass(frozen=True, slots=True, kw_only=True)
class Projection:
    """Targets seen from the fitted trials: `mean` (H, T), `proj` (H, n, T) whitened cross covariance."""

    points: Points
    mean: FloatArray
    proj: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """The trials taken in: `white` (H, n) and posterior `weight` (H,) of each set.

    Sets that differ in noise alone share their eigenvectors: `turned` (L * A, n, n) holds them as rows,
    `scale` (H, n) one over the root of eigenvalue and noise. `whiten` uses both.
    """

    prior: Prior
    trials: Points
    turned: FloatArray
    scale: FloatArray
    white: FloatArray
    weight: FloatArray

    @property
    def noise_sd(self) -> FloatArray:
        """(H,) SD of one reading in each set."""
        return self.prior.noise_of_set

    def _spread(self, per_kernel: FloatArray) -> FloatArray:
        """Repeat what is computed per length and amplitude for every noise: (L * A, ...) to (H, ...)."""
        return np.repeat(per_kernel, len(self.prior.noises_deg), axis=0)

    def whiten(self, cross: FloatArray) -> FloatArray:
        """(H, n, T) of (L * A, n, T): its product with itself is cross' K^-1 cross in every set."""
        return np.asarray(self._spread(self.turned @ cross) * self.scale[..., None])

    def project(self, targets: Points) -> Projection:
        """Posterior means of the targets in every set, and what covariances are computed from."""
        proj = self.whiten(self.prior.covariance(self.trials, targets))
        return Projection(points=targets, mean=np.einsum("hnt,hn->ht", proj, self.white), proj=proj)

    def variance(self, targets: Projection) -> FloatArray:
        """(H, T) posterior variance of the noise-free targets."""
        left = self._spread(self.prior.variance(targets.points)) - (targets.proj**2).sum(1)
        return np.asarray(np.maximum(left, 1e-9))  # rounding may leave -1e-15 on a width read many times

    def covariance(self, a: Projection, b: Projection) -> FloatArray:
        """(H, len(a), len(b)) posterior covariance of the noise-free targets."""
        prior = self._spread(self.prior.covariance(a.points, b.points))
        return np.asarray(prior - np.swapaxes(a.proj, 1, 2) @ b.proj)

    def drift(self) -> tuple[float, float]:
        """Posterior mean and SD of the drift, deg a trial."""
        variance = self.prior.drift_sd**2
        cross = np.broadcast_to((variance * self.trials.late)[:, None], (*self.turned.shape[:2], 1))
        proj = self.whiten(cross)[..., 0]
        means, variances = (proj * self.white).sum(1), variance - (proj**2).sum(1)
        mean = float(self.weight @ means)
        return mean, float(np.sqrt(self.weight @ (variances + (means - mean) ** 2)))


def fit_trials(prior: Prior, trials: Points, hip_line_deg: FloatArray) -> Fitted:
    """Take the readings in under every hyperparameter set and weigh the sets by how well they explain them.

    Parameters
    ----------
    prior
        Of curves, drift and noise.
    trials
        (n,) points that were read.
    hip_line_deg
        (n,) readings.

    Notes
    -----
    The average over the sets replaces a fitted optimum, which a handful of readings cannot find. Adding a
    constant to all readings leaves every set's covariance as it is; trial order enters through drift alone.
    A reading's own stated error adds its variance to the noise of that reading. Adding noise alike to all
    readings leaves a covariance's eigenvectors: K + s^2 I = Q (L + s^2) Q', so each kernel is decomposed once
    for all noises (the same posterior as algorithm 2.1 of Rasmussen & Williams 2006).
    """
    kernels, noises = prior.covariance(trials, trials), prior.noises_deg
    if trials.own_sd is not None:
        kernels = kernels + np.diag(trials.own_sd**2)
    values, vectors = np.linalg.eigh(kernels)
    turned = np.ascontiguousarray(np.swapaxes(vectors, 1, 2))
    both = (np.maximum(values, 0.0)[:, None, :] + noises[None, :, None] ** 2).reshape(-1, len(trials))
    scale = 1.0 / np.sqrt(both)
    white = np.repeat(turned @ hip_line_deg, len(noises), axis=0) * scale
    log_likelihood = -0.5 * (white**2).sum(1) - 0.5 * np.log(both).sum(1)  # the same constant for all sets
    log_weight = log_likelihood + np.log(np.tile(prior.noise_weight, len(kernels)) + 1e-300)
    weight = np.exp(log_weight - log_weight.max())
    return Fitted(
        prior=prior,
        trials=trials,
        turned=turned,
        scale=scale,
        white=white,
        weight=weight / weight.sum(),
    )
