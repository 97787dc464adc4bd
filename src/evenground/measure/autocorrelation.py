"""How well the mean of a swaying signal is known, when neighbouring samples say nearly the same thing.

Sixty seconds of quiet standing at 100 Hz hold about ten independent samples, not six thousand. Ten seconds
hold one or two, and then the scatter inside the recording is itself too small. So the error is not read off
a sample autocorrelation (which a short recording bends downwards) but averaged over every correlation time
that the data allow, starting from what open recordings of standing people show::

    y_k = mean + slow_k + fast_k      slow: exponential correlation exp(-lag / tau);  fast: white

Each (tau, fast share) on a grid gives a Student t for the mean (flat in the mean, 1/sd in the scale) and a
weight (its restricted likelihood times the prior). The mixture's central 68.3 and 95 % ranges about the
plain mean are then written as one standard error and its degrees of freedom, so both ranges come out as the
mixture has them.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import gammaln, ndtri, stdtr, stdtrit

from evenground.measure.ground_constants import TAU_LOG_SD, TAU_MEDIAN_S
from evenground.measure.recording import FloatArray

__all__ = ["SeriesMean", "effective_samples", "integrated_time_s", "means_of_series", "with_known_errors"]

_BLOCK_S = 0.5
_MAX_BLOCKS = 64
_MIN_BLOCKS = 4
_TAUS = 18
_FAST_SHARES = (0.0, 0.03, 0.2, 1.0, 5.0, 50.0)  # fast variance of a block over the slow one
_STEPS = 60
_NEGLIGIBLE = 1e-7  # weight of a grid point that changes nothing
_ONE_SD = 0.682689492137086  # central probability within one SD of a normal
_DOFS = np.concatenate([np.geomspace(1.05, 60.0, 240), [200.0, 1e4, 1e9]])


@dataclass(frozen=True, slots=True, kw_only=True)
class SeriesMean:
    """Means of K series and how well each is known; arrays are (K,), in the unit of the series."""

    value: FloatArray
    se: FloatArray
    dof: FloatArray


def means_of_series(series: FloatArray, rate_hz: float) -> SeriesMean:
    """Mean of each column with a standard error that knows about correlation.

    Parameters
    ----------
    series
        (T, K), one signal a column, T at least 8, evenly sampled.
    rate_hz
        Samples a second.

    Returns
    -------
    means
        Plain means; `se` and `dof` such that Student's t gives the 68.3 and the 95 % range of the mixture.

    Notes
    -----
    Restricted likelihood: Patterson and Thompson 1971, Biometrika 58:545. Prior of tau: log-normal, constants
    `TAU_MEDIAN_S` and `TAU_LOG_SD`. Meaningless for a signal that drifts all one way: its mean has no target.
    """
    value = series.mean(axis=0)
    blocks, step_s = _block_means(series - value, rate_hz)
    spread = blocks.std(axis=0)
    still = spread <= 1e-12 * (1.0 + np.abs(value))
    scale = np.where(still, 1.0, spread)
    centre, width, weight, dof = _mixture(blocks / scale, step_s)
    half_95 = _half_range(centre, width, weight, dof, 0.95)
    half_68 = _half_range(centre, width, weight, dof, _ONE_SD)
    matched = _matching_dof(half_95 / half_68)
    se = np.where(still, 0.0, scale * half_95 / stdtrit(matched, 0.975))
    return SeriesMean(value=value, se=se, dof=np.where(still, np.inf, matched))


def with_known_errors(se: FloatArray, dof: FloatArray, known: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Standard errors and degrees of freedom once an independent error of known size is added.

    Parameters
    ----------
    se, dof
        (K,) of the means.
    known
        (K,) standard errors that are known, in the same units.

    Notes
    -----
    The 68.3 and the 95 % half-ranges are put together in quadrature, and told as Student's t that has both.
    Of a t with 1.2 to 10 degrees of freedom plus a normal that is within 3 % of the true 95 % range, never
    under it by more than one. Welch and Satterthwaite's degrees of freedom would make the range shorter than
    without the added error: 3.3 instead of 4.6 for two degrees of freedom and two errors of one.
    """
    halves = [
        np.hypot(se * stdtrit(dof, 0.5 + level / 2.0), known * ndtri(0.5 + level / 2.0))
        for level in (_ONE_SD, 0.95)
    ]
    sure = halves[1] == 0.0
    ratio = np.divide(halves[1], halves[0], out=np.full(len(sure), 1.0), where=~sure)
    matched = _matching_dof(ratio)
    matched = np.where((se > 0.0) & (matched < _DOFS[-1]), matched, np.inf)
    both = np.where(se > 0.0, halves[1] / stdtrit(np.minimum(matched, 1e9), 0.975), known)
    return both, matched


def _block_means(series: FloatArray, rate_hz: float) -> tuple[FloatArray, float]:
    frames = len(series)
    count = int(np.clip(round(frames / rate_hz / _BLOCK_S), _MIN_BLOCKS, _MAX_BLOCKS))
    size = max(frames // count, 1)
    count = frames // size
    tail = series[frames - count * size :]  # what does not fill a block is left out at the start
    return tail.reshape(count, size, -1).mean(axis=1), size / rate_hz


def _mixture(blocks: FloatArray, step_s: float) -> tuple[FloatArray, FloatArray, FloatArray, int]:
    """Centre, width and weight (G, K) of the t at each grid point that counts; blocks (n, K), unit spread."""
    n = len(blocks)
    lag = np.abs(np.subtract.outer(np.arange(n), np.arange(n))) * step_s
    z = np.linspace(-2.2, 2.2, _TAUS)
    tau = np.repeat(float(TAU_MEDIAN_S) * np.exp(float(TAU_LOG_SD) * z), len(_FAST_SHARES))
    fast = np.tile(_FAST_SHARES, _TAUS)
    cov = np.exp(-lag / tau[:, None, None]) + fast[:, None, None] * np.eye(n)
    root = np.linalg.cholesky(cov + 1e-9 * np.eye(n))
    white = np.linalg.solve(
        root, np.broadcast_to(np.column_stack([np.ones(n), blocks]), (len(tau), n, 1 + blocks.shape[1]))
    )
    ones, data = white[:, :, :1], white[:, :, 1:]
    weight_one = (ones**2).sum(axis=1)
    centre = (ones * data).sum(axis=1) / weight_one
    rest = ((data - centre[:, None, :] * ones) ** 2).sum(axis=1)
    rest = np.maximum(rest, 1e-30)  # a column that stands still
    log_det = np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1)[:, None]
    log_weight = -log_det - 0.5 * np.log(weight_one) - 0.5 * (n - 1) * np.log(rest)
    log_weight -= 0.5 * np.repeat(z, len(_FAST_SHARES))[:, None] ** 2
    weight = np.exp(log_weight - log_weight.max(axis=0))
    weight /= weight.sum(axis=0)
    counts = np.any(weight > _NEGLIGIBLE, axis=1)
    width = np.sqrt(rest / (n - 1) / weight_one)
    return centre[counts], width[counts], weight[counts], n - 1


def _half_range(
    centre: FloatArray, width: FloatArray, weight: FloatArray, dof: int, level: float
) -> FloatArray:
    """Half-length (K,) of the range about zero that holds `level` of the mixture.

    Newton's steps on the share inside, kept between bounds that close in; a step outside halves instead.
    """
    low = np.zeros(centre.shape[1])
    high = (np.abs(centre) + width * stdtrit(dof, 0.9999)).max(axis=0) + 1e-30
    at = np.sqrt((weight * (centre**2 + width**2)).sum(axis=0)) * stdtrit(dof, 0.5 + level / 2.0)
    for _ in range(_STEPS):
        at = np.where((at > low) & (at < high), at, 0.5 * (low + high))
        right, left = (at - centre) / width, (-at - centre) / width
        over = (weight * (stdtr(dof, right) - stdtr(dof, left))).sum(axis=0) - level
        slope = (weight * (_density(right, dof) + _density(left, dof)) / width).sum(axis=0)
        low, high = np.where(over < 0.0, at, low), np.where(over < 0.0, high, at)
        step = over / np.maximum(slope, 1e-300)
        if np.all(np.abs(over) < 1e-9):
            break
        at = at - step
    return np.asarray(at)


def _density(t: FloatArray, dof: int) -> FloatArray:
    """Density of Student's t."""
    height = np.exp(gammaln((dof + 1) / 2.0) - gammaln(dof / 2.0)) / np.sqrt(dof * np.pi)
    return np.asarray(height * (1.0 + t**2 / dof) ** (-(dof + 1) / 2.0))


def _matching_dof(ratio: FloatArray) -> FloatArray:
    """Degrees of freedom whose 95 % and 68.3 % half-ranges have this ratio."""
    table = stdtrit(_DOFS, 0.975) / stdtrit(_DOFS, 0.5 + _ONE_SD / 2.0)
    found = np.exp(np.interp(-ratio, -table, np.log(_DOFS)))
    return np.asarray(np.clip(found, _DOFS[0], _DOFS[-1]))


def integrated_time_s(series: FloatArray, rate_hz: float) -> float:
    """Integrated correlation time of one signal: its autocorrelation summed to the first zero, both sides.

    Parameters
    ----------
    series
        (T,) evenly sampled.
    rate_hz
        Samples a second.

    Notes
    -----
    Biased downwards in short recordings: for describing a signal, not for an error (see `means_of_series`).
    A constant signal gives 0.
    """
    x = series - series.mean()
    if not np.any(x):
        return 0.0
    power = np.abs(np.fft.rfft(x, 2 * len(x))) ** 2
    correlation = np.fft.irfft(power)[: len(x)]
    correlation = correlation / correlation[0]
    negative = np.flatnonzero(correlation <= 0.0)
    stop = int(negative[0]) if len(negative) else len(x)
    return float((2.0 * correlation[:stop].sum() - 1.0) / rate_hz)


def effective_samples(series: FloatArray, rate_hz: float) -> float:
    """Number of independent samples that a signal is worth: duration over integrated correlation time.

    A constant signal is worth its number of samples.
    """
    time_s = integrated_time_s(series, rate_hz)
    return float(len(series)) if time_s == 0.0 else len(series) / rate_hz / time_s
