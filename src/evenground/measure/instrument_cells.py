"""Cells that cannot be believed, filled from those around them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from evenground.instruments import Cell
from evenground.measure.recording import MatRecording

__all__ = ["Filled", "fill_cells"]

_ENOUGH_NEIGHBOURS = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Filled:
    """The recording with its cells filled; `count` of them were, `left` had too few neighbours."""

    recording: MatRecording
    count: int
    left: int


def fill_cells(recording: MatRecording, bad: Sequence[Cell]) -> Filled:
    """Give each bad cell in every frame the mean of its neighbours.

    Parameters
    ----------
    recording
        Left as it is; a filled copy is made where there is something to fill.
    bad
        Rows and columns; those off the mat are passed over.

    Notes
    -----
    The mean of those of the eight neighbours that are not bad themselves, at least three. Under an even load
    that is the load; at a foot's edge it is off by half a cell's share of it.
    """
    rows, columns = recording.shape[1:]
    here = [(r, c) for r, c in bad if 0 <= r < rows and 0 <= c < columns]
    if not here:
        return Filled(recording=recording, count=0, left=0)
    believed = np.ones((rows, columns), bool)
    believed[tuple(np.array(here).T)] = False
    cells, left = recording.cells.copy(), 0
    for row, column in here:
        near = _neighbours(believed, row, column)
        if len(near) < _ENOUGH_NEIGHBOURS:
            left += 1
            continue
        at = tuple(np.array(near).T)
        cells[:, row, column] = recording.cells[:, at[0], at[1]].mean(axis=1)
    return Filled(recording=replace(recording, cells=cells), count=len(here) - left, left=left)


def _neighbours(believed: npt.NDArray[np.bool_], row: int, column: int) -> list[Cell]:
    rows, columns = believed.shape
    near = [
        (r, c)
        for r in range(max(row - 1, 0), min(row + 2, rows))
        for c in range(max(column - 1, 0), min(column + 2, columns))
    ]
    return [cell for cell in near if believed[cell]]
