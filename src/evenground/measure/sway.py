"""Sway figures of a centre-of-pressure series: no filter, no detrending, no cut.

Arrays are (T, 2): x to the player's right, y ahead, in millimetres, evenly sampled. Detrending first would
halve the area of an ordinary recording and leave the path alone, so figures are only comparable under one
rule; this is ours.
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import fdtri

from evenground.errors import MeasureError
from evenground.estimate import Estimate
from evenground.measure.autocorrelation import means_of_series
from evenground.measure.ground_constants import ELLIPSE_LEVEL
from evenground.measure.recording import FloatArray

__all__ = [
    "EllipseAxes",
    "Sway",
    "TooShortForSwayError",
    "ellipse_area_mm2",
    "ellipse_axes",
    "mean_distance_mm",
    "noise_velocity_mm_s",
    "path_length_mm",
    "prediction_factor",
    "spectral_mean_frequency_hz",
    "sway",
]

_MIN_SAMPLES = 16
_RANGE_PARTS = 4


class TooShortForSwayError(MeasureError):
    """Too few samples to speak of sway."""

    do = "Record at least 25 s of quiet standing at 50 samples a second or more."

    def __init__(self, where: str, count: int) -> None:
        super().__init__(where, count)
        self.where = where
        self.what = f"{count} samples do not show sway; at least {_MIN_SAMPLES} are needed."


@dataclass(frozen=True, slots=True, kw_only=True)
class Sway:
    """Sway of one recording. Errors say how another stretch of the same standing would differ.

    `mean_velocity_mm_s` is path over n / rate; `ellipse95_mm2` is the 95 % prediction ellipse; `rms`
    divides by n; `mean_frequency_hz` is the kinematic one, velocity over 2 pi mean distance, which is not
    the spectral one.
    """

    n: Estimate
    duration_s: Estimate
    path_mm: Estimate
    mean_velocity_mm_s: Estimate
    ellipse95_mm2: Estimate
    rms_x_mm: Estimate
    rms_y_mm: Estimate
    range_x_mm: Estimate
    range_y_mm: Estimate
    mean_frequency_hz: Estimate


def path_length_mm(cop_mm: FloatArray) -> float:
    """Sum of the straight distances from sample to sample; (T, 2) in millimetres."""
    return float(_steps_mm(cop_mm).sum())


def mean_distance_mm(cop_mm: FloatArray) -> float:
    """Mean distance from the mean position; (T, 2) in millimetres."""
    return float(np.hypot(*(cop_mm - cop_mm.mean(axis=0)).T).mean())


def prediction_factor(n: int, level: float = float(ELLIPSE_LEVEL)) -> float:
    """Squared radius of the prediction ellipse in units of the sample covariance.

    ``2 (n - 1)(n + 1) / (n (n - 2)) F(level; 2, n - 2)``. Source: Chew 1966, J Am Stat Assoc 61:605;
    Schubert and Kirchner 2014, Gait & Posture 39:518. Divided by n + 1 it is the confidence ellipse of the
    mean position, another thing altogether.

    Examples
    --------
    >>> prediction_factor(10)
    11.03595
    """
    return 2.0 * (n - 1) * (n + 1) / (n * (n - 2)) * float(fdtri(2, n - 2, level))


def ellipse_area_mm2(cop_mm: FloatArray) -> float:
    """Area of the 95 % prediction ellipse; (T, 2) in millimetres, T at least 3. Scatter, not a boundary.

    ``pi k sqrt(det S)`` with S the sample covariance (divisor n - 1) and k `prediction_factor(n)`.
    """
    det = float(np.linalg.det(np.cov(cop_mm.T)))
    return math.pi * prediction_factor(len(cop_mm)) * math.sqrt(max(det, 0.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class EllipseAxes:
    """Half lengths of the 95 % prediction ellipse, and the turn of the long one from x."""

    major_mm: float
    minor_mm: float
    axis_deg: float


def ellipse_axes(cop_mm: FloatArray) -> EllipseAxes:
    """Axes of the 95 % prediction ellipse; (T, 2) in millimetres, T at least 3.

    ``sqrt(k eigenvalue)`` of the sample covariance with k `prediction_factor(n)`; the long axis in (-90, 90].
    """
    values, vectors = np.linalg.eigh(np.cov(cop_mm.T))
    minor, major = np.sqrt(prediction_factor(len(cop_mm)) * np.maximum(values, 0.0))
    turn = math.degrees(math.atan2(vectors[1, 1], vectors[0, 1]))
    folded = turn - 180.0 if turn > 90.0 else turn + 180.0 if turn <= -90.0 else turn
    return EllipseAxes(major_mm=float(major), minor_mm=float(minor), axis_deg=folded)


def noise_velocity_mm_s(sd_mm: float, rate_hz: float) -> float:
    """Mean velocity that white noise of `sd_mm` on each axis fakes: ``sd sqrt(pi) rate``.

    Mean length of a two-dimensional normal difference with SD sd sqrt(2) on each axis (Rayleigh
    distribution).

    Examples
    --------
    >>> noise_velocity_mm_s(0.5, 100.0)
    88.62
    """
    return sd_mm * math.sqrt(math.pi) * rate_hz


def sway(cop_mm: FloatArray, rate_hz: float, *, where: str = "CoP series") -> Sway:
    """Sway figures with their errors.

    Parameters
    ----------
    cop_mm
        (T, 2), T at least 16.
    rate_hz
        Samples a second.
    where
        What the series is, for the message.

    Raises
    ------
    TooShortForSwayError
        Under 16 samples.

    Notes
    -----
    Path and velocity: mean step times n. Area, RMS and frequency by the first-order (delta) method: each is
    turned into the mean of a series (half the squared Mahalanobis distance for the area, squared distance
    for an RMS, step less distance for the frequency), whose error `means_of_series` gives. A range has no
    such form: its error is the SD of the ranges of four quarters, 3 degrees of freedom. A range also grows
    with duration.

    Do not compare areas between people: their spread is so skewed that a mean and SD mean nothing.
    """
    n = len(cop_mm)
    if n < _MIN_SAMPLES:
        raise TooShortForSwayError(where, n)
    cop = np.asarray(cop_mm, dtype=np.float64)
    duration_s = n / rate_hz
    values = _values(cop, duration_s)
    errors, dof = _errors(cop, rate_hz, values)
    known = {"n": (float(n), ""), "duration_s": (float(duration_s), "s")}
    figures = {k: Estimate(value=v, se=0.0, n=n, unit=u) for k, (v, u) in known.items()}
    for name, value in values.items():
        figures[name] = Estimate(
            value=float(value), se=float(errors[name]), dof=dof[name], n=n, unit=_UNITS[name]
        )
    return Sway(**figures)


_UNITS = {
    "path_mm": "mm",
    "mean_velocity_mm_s": "mm/s",
    "ellipse95_mm2": "mm^2",
    "rms_x_mm": "mm",
    "rms_y_mm": "mm",
    "range_x_mm": "mm",
    "range_y_mm": "mm",
    "mean_frequency_hz": "Hz",
}


def _steps_mm(cop_mm: FloatArray) -> FloatArray:
    return np.asarray(np.hypot(*np.diff(cop_mm, axis=0).T))


def _values(cop: FloatArray, duration_s: float) -> dict[str, float]:
    path = path_length_mm(cop)
    distance = mean_distance_mm(cop)
    rms, span = cop.std(axis=0), np.ptp(cop, axis=0)
    return {
        "path_mm": path,
        "mean_velocity_mm_s": path / duration_s,
        "ellipse95_mm2": ellipse_area_mm2(cop),
        "rms_x_mm": float(rms[0]),
        "rms_y_mm": float(rms[1]),
        "range_x_mm": float(span[0]),
        "range_y_mm": float(span[1]),
        "mean_frequency_hz": path / duration_s / (2.0 * math.pi * distance) if distance > 0.0 else 0.0,
    }


def _relative_series(cop: FloatArray) -> FloatArray:
    """Columns whose means carry, to first order, the relative errors of path, area, both RMS, frequency."""
    centred = cop - cop.mean(axis=0)
    steps = _steps_mm(cop)
    steps = np.append(steps, steps[-1]) / max(float(steps.mean()), 1e-300)
    spread = np.cov(cop.T)
    whitened = centred @ np.linalg.pinv(spread)
    distance = np.hypot(*centred.T)
    square = centred**2
    return np.column_stack(
        [
            steps,
            0.5 * (whitened * centred).sum(axis=1),
            0.5 * square / np.maximum(square.mean(axis=0), 1e-300),
            steps - distance / max(float(distance.mean()), 1e-300),
        ]
    )


def _errors(
    cop: FloatArray, rate_hz: float, values: dict[str, float]
) -> tuple[dict[str, float], dict[str, float]]:
    relative = means_of_series(_relative_series(cop), rate_hz)
    column = {
        "path_mm": 0,
        "mean_velocity_mm_s": 0,
        "ellipse95_mm2": 1,
        "rms_x_mm": 2,
        "rms_y_mm": 3,
        "mean_frequency_hz": 4,
    }
    errors = {k: values[k] * float(relative.se[i]) for k, i in column.items()}
    dof = {k: float(relative.dof[i]) for k, i in column.items()}
    spans = np.array([np.ptp(part, axis=0) for part in np.array_split(cop, _RANGE_PARTS)])
    for axis, name in enumerate(("range_x_mm", "range_y_mm")):
        errors[name], dof[name] = float(spans[:, axis].std(ddof=1)), _RANGE_PARTS - 1.0
    return errors, dof


def spectral_mean_frequency_hz(cop_mm: FloatArray, rate_hz: float) -> float:
    """Power-weighted mean frequency of both axes: another quantity than `Sway.mean_frequency_hz`.

    Parameters
    ----------
    cop_mm
        (T, 2), T at least 16.
    rate_hz
        Samples a second.

    Notes
    -----
    Welch's estimate (1967, IEEE Trans Audio Electroacoust 15:70): periodic Hann window, segments of half
    the recording overlapping by half, each segment's mean removed; trapezoid rule over all bins; the axes
    weighted by their summed power. This is the recipe of Santos and Duarte 2016, PeerJ 4:e2648.
    """
    size = len(cop_mm) // 2
    window = 0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(size) / size)
    starts = range(0, len(cop_mm) - size + 1, size - size // 2)
    parts = np.stack([cop_mm[s : s + size] for s in starts])
    parts = (parts - parts.mean(axis=1, keepdims=True)) * window[:, None]
    power = (np.abs(np.fft.rfft(parts, axis=1)) ** 2).mean(axis=0)
    power[1 : (size + 1) // 2] *= 2.0  # one-sided: every bin but the first, and the last of an even count
    freq = np.fft.rfftfreq(size, 1.0 / rate_hz)[:, None]
    mean_hz = np.trapezoid(freq * power, freq, axis=0) / np.trapezoid(power, freq, axis=0)
    total = power.sum(axis=0)
    return float((mean_hz * total).sum() / total.sum())
