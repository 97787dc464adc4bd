"""How far the cells of a mat differ from one another in gain, read from how rough the map is within the feet.

Nothing in one recording tells the gain of one cell. But under a foot pressure is smooth from cell to cell, so
what is rough there bounds how much cells differ, and that much every sum over a foot may be off.
"""

import math

import numpy as np

from evenground.measure.contact import Contact, LoneContact
from evenground.measure.figures import FigureSet
from evenground.measure.ground_constants import GAIN_SPREAD_MAX
from evenground.measure.recording import FloatArray, MatRecording

__all__ = ["gain_spread", "gain_spread_errors"]

_INNER = 0.25  # of the highest pressure: well within the feet
_FEWEST = 25
_NORMAL = 1.4826  # from median of absolute values to SD


def gain_spread(recording: MatRecording, contact: Contact | LoneContact) -> float:
    """Share by which single cells differ in gain (SD), at most `GAIN_SPREAD_MAX`; 0 where too few tell.

    Notes
    -----
    Of four neighbouring cells well within a foot, a - b - c + d is zero on any slope; with independent gains
    it has the SD of the gains times the root of their summed squares. The median of its size over that root
    gives the SD. What noise leaves in the mean map is taken off. True structure of a foot counts as spread:
    coarse cells and bony feet reach the limit.
    """
    _, rows, columns = recording.shape
    grid = contact.load.reshape(rows, columns)
    corners = np.stack([grid[:-1, :-1], grid[:-1, 1:], grid[1:, :-1], grid[1:, 1:]])
    inner = corners.min(axis=0) > _INNER * float(grid.max())
    if inner.sum() < _FEWEST:
        return 0.0
    twist = (corners[0] - corners[1] - corners[2] + corners[3])[inner]
    size = np.sqrt(np.sum(corners[:, inner] ** 2, axis=0))
    rough = _NORMAL * float(np.median(np.abs(twist / size)))
    noise = contact.noise.sd / len(recording.cells) ** 0.5 * 2.0 / float(np.median(size))
    return min(math.sqrt(max(rough**2 - noise**2, 0.0)), float(GAIN_SPREAD_MAX))


def gain_spread_errors(
    spread: float, columns: FloatArray, load: FloatArray, mean_sums: FloatArray, of: FigureSet
) -> dict[str, float]:
    """What cells of differing gain add to each figure, by name.

    Parameters
    ----------
    spread
        SD of the cells' gains, a share.
    columns
        (N, K) basis.
    load
        (N,) mean map without its floor.
    mean_sums
        (K,) sums of the mean frame.
    of
        Which figures.

    Notes
    -----
    Gains differ independently from cell to cell: the variance of the sums is spread^2 (B q)'(B q), q the
    load of each cell, carried to the figures by their derivatives.
    """
    used = columns.any(axis=1)
    loaded = columns[used] * load[used, None]
    slopes = of.slopes(mean_sums)
    size = spread * np.sqrt(np.maximum(np.sum((slopes @ loaded.T) ** 2, axis=1), 0.0))
    return dict(zip(of.names, map(float, size), strict=True))
