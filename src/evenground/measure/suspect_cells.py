"""Cells that look dead or stuck under the feet of a mat that was never checked.

Skin and soles press smoothly: a cell that reads nothing while all cells around it carry much, or the same
number in every frame while those around it swing, does not tell what presses on it. A patterned sole has
many cells that read nothing; then none is taken for dead.
"""

import numpy as np
import numpy.typing as npt

from evenground.instruments import Cell
from evenground.measure.ground_constants import DEAD_SHARE, LOADED_SHARE, SUSPECTS_MOST
from evenground.measure.long_cells import LongCells
from evenground.measure.recording import FloatArray, MatRecording

__all__ = ["suspect_cells"]

BoolArray = npt.NDArray[np.bool_]

_FRAMES = 64  # of the recording, evenly taken, for its mean and its swing
_FEWEST_FRAMES = 16
_FEWEST_AROUND = 5  # neighbours: a cell at the mat's edge has five


def suspect_cells(recording: MatRecording) -> tuple[Cell, ...]:
    """Cells (row, column) that read next to nothing amid load, or never change amid cells that do.

    Parameters
    ----------
    recording
        Of a standing player. One too long to hold is not searched: it gives none.

    Notes
    -----
    Dead: under `DEAD_SHARE` of the least of its neighbours, each of which carries over `LOADED_SHARE` of the
    highest cell. Stuck: over `LOADED_SHARE` of it, the same in each of at least 16 frames, while most of its
    neighbours change; cells that share the highest reading are at the end of their range instead. More than
    `SUSPECTS_MOST` of the loaded cells are a pattern, not faults, and none is given.
    """
    if isinstance(recording.cells, LongCells):
        return ()
    frames = recording.cells[:: max(len(recording.cells) // _FRAMES, 1)]
    mean = frames.mean(axis=0, dtype=np.float64)
    least = float(LOADED_SHARE) * float(mean.max())
    if least <= 0.0:
        return ()
    found = _dead(mean, least) | _stuck(recording.cells, frames, mean, least)
    loaded = int((mean > least).sum())
    if found.sum() > max(float(SUSPECTS_MOST) * loaded, 1.0):
        return ()
    return tuple((int(r), int(c)) for r, c in np.argwhere(found))


def _around(grid: FloatArray, outside: float) -> FloatArray:
    """(8, R, C) the neighbours of every cell; `outside` off the mat."""
    rows, columns = grid.shape
    wide = np.pad(grid, 1, constant_values=outside)
    steps = [(r, c) for r in range(3) for c in range(3) if (r, c) != (1, 1)]
    return np.stack([wide[r : r + rows, c : c + columns] for r, c in steps])


def _dead(mean: FloatArray, least: float) -> BoolArray:
    around = _around(mean, np.inf)
    lowest = around.min(axis=0)
    enough = np.isfinite(around).sum(axis=0) >= _FEWEST_AROUND
    return np.asarray(enough & (lowest > least) & (mean < float(DEAD_SHARE) * lowest))


def _stuck(cells: FloatArray, frames: FloatArray, mean: FloatArray, least: float) -> BoolArray:
    still = frames.min(axis=0) == frames.max(axis=0)
    if len(frames) < _FEWEST_FRAMES or not np.any(still & (mean > least)):
        return np.zeros(mean.shape, bool)
    top = mean == mean.max()
    moving = _around((~still).astype(np.float64), 0.0).sum(axis=0) > _FEWEST_AROUND - 1
    likely = still & (mean > least) & moving & ~(top if top.sum() > 1 else np.zeros(mean.shape, bool))
    for row, column in np.argwhere(likely):
        likely[row, column] = bool(np.all(cells[:, row, column] == cells[0, row, column]))
    return np.asarray(likely)
