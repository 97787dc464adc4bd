"""The noise floor of a mat: read from unloaded cells, taken away from loaded ones.

A mat that cannot show less than zero turns noise about zero into a floor of 0.4 SD in every unloaded cell.
Summed over the mat that floor pulls the load share to 50 %, and inside a loaded cell it is not there at
all: so it is taken away cell by cell, as much as a cell of that load has of it, and unloaded cells are
masked out.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, ndtri

from evenground.measure.recording import FloatArray

__all__ = ["CellNoise", "floor_map", "unloaded_noise"]

_U = np.linspace(-4.0, 8.0, 2401)
_G = _U * ndtr(_U) + np.exp(-0.5 * _U**2) / np.sqrt(2.0 * np.pi)


@dataclass(frozen=True, slots=True, kw_only=True)
class CellNoise:
    """One cell reads ``max(0, load + offset + sd * z)``; in the unit of the cells."""

    offset: float
    sd: float

    @property
    def floor(self) -> float:
        """What an unloaded cell reads on average."""
        if self.sd == 0.0:
            return max(self.offset, 0.0)
        return (
            self.sd * float(np.interp(self.offset / self.sd, _U, _G))
            if self.offset < 8 * self.sd
            else self.offset
        )


def unloaded_noise(readings: FloatArray) -> CellNoise:
    """Offset and SD behind the readings of unloaded cells, clipped at zero or not.

    Parameters
    ----------
    readings
        Any shape, at least one reading, in the unit of the cells.

    Notes
    -----
    With share p0 of zeros, offset / sd = a = -quantile(p0) of a standard normal, and the mean of the
    clipped normal, sd * (a * Phi(a) + phi(a)), gives sd (moments of a censored normal, Tobin 1958,
    Econometrica 26:24). Fewer than one zero in a thousand: plain mean and SD. More than 99 in a hundred: an
    offset of zero and the SD that the mean square gives.
    """
    mean = float(readings.mean(dtype=np.float64))
    if mean == 0.0:
        return CellNoise(offset=0.0, sd=0.0)
    zeros = float(np.count_nonzero(readings <= 0.0)) / readings.size
    if zeros < 1e-3:
        return CellNoise(offset=mean, sd=float(readings.std(dtype=np.float64)))
    if zeros > 0.99:
        return CellNoise(offset=0.0, sd=float(np.sqrt(2.0 * np.mean(np.square(readings, dtype=np.float64)))))
    a = -float(ndtri(zeros))
    sd = mean / (a * float(ndtr(a)) + float(np.exp(-0.5 * a * a) / np.sqrt(2.0 * np.pi)))
    return CellNoise(offset=a * sd, sd=sd)


def floor_map(mean_readings: FloatArray, noise: CellNoise) -> FloatArray:
    """How much of each cell's mean reading is floor, from what the noise does to a cell of that load.

    Parameters
    ----------
    mean_readings
        Any shape; averages over time or neighbours, in the unit of the cells.
    noise
        The mat's noise.

    Returns
    -------
    floor
        Same shape: the mean reading less the load that gives it. An unloaded cell has all of `noise.floor`, a
        cell loaded over three SD only the offset.
    """
    if noise.sd == 0.0:
        return np.full(mean_readings.shape, noise.offset)
    reduced = mean_readings / noise.sd
    u = np.where(reduced < _G[-1], np.interp(reduced, _G, _U), reduced)
    return np.asarray(mean_readings - (noise.sd * u - noise.offset))
