"""Every time series of the feet from one matrix product of the frames with a small basis.

The columns of the basis are, for the left foot and then the right one::

    region * (1, x, y)   heel part * (1, x, y)   forefoot part * (1, x, y)   rear half * 1

with x and y counted from the middle of the feet, so that single precision keeps them to a micrometre. To x
and y of the heel and the forefoot part is added what the load of a cell does by moving that part, nothing in
the mean of all frames. The mat's noise floor is taken off as one constant a column.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from evenground.measure.contact import Contact, FootArea, LoneContact
from evenground.measure.feet import FootShape
from evenground.measure.long_cells import LongCells
from evenground.measure.recording import FloatArray

__all__ = [
    "COLUMNS_A_FOOT",
    "FootSums",
    "basis",
    "block_maps",
    "floor_sums",
    "foot_sums",
    "frame_sums",
    "fullest_frame",
    "mean_map",
]

COLUMNS_A_FOOT = 10
_CHUNK = 256


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FootSums:
    """Sums over one foot's cells, (..., ) each: load of every part and load times position."""

    whole: FloatArray
    whole_mm: FloatArray
    heel: FloatArray
    heel_mm: FloatArray
    forefoot: FloatArray
    forefoot_mm: FloatArray
    rear_half: FloatArray


def mean_map(cells: FloatArray) -> FloatArray:
    """Mean over the frames, (T, R, C) to (R, C), at the speed of memory.

    A product with a row of ones, in pieces that single precision sums exactly enough (1e-6), added up in
    double. Of a recording too long to hold its survey knows it.
    """
    if isinstance(cells, LongCells):
        return cells.mean_map()
    frames = cells.reshape(len(cells), -1)
    total = np.zeros(frames.shape[1])
    for start in range(0, len(frames), _CHUNK):
        part = frames[start : start + _CHUNK]
        total += np.ones(len(part), part.dtype) @ part
    return (total / len(frames)).reshape(cells.shape[1:])


def block_maps(cells: FloatArray, size: int) -> FloatArray:
    """Mean maps of blocks of `size` frames, (T, R, C) to (T // size, R * C); unfinished ones are left out."""
    count = len(cells) // size
    if isinstance(cells, LongCells):
        return cells.block_maps(size).reshape(count, cells.shape[1] * cells.shape[2]).copy()
    flat = cells[: count * size].reshape(count, size, cells.shape[1] * cells.shape[2])
    return np.asarray(np.matmul(np.full((1, size), 1.0 / size, flat.dtype), flat)[:, 0, :], np.float64)


def fullest_frame(cells: FloatArray) -> FloatArray:
    """The frame that holds the highest value, (R, C)."""
    if isinstance(cells, LongCells):
        return cells.seen.fullest
    return np.asarray(cells[int(cells.reshape(len(cells), -1).max(axis=1).argmax())])


def basis(
    positions_mm: FloatArray, middle_mm: FloatArray, feet: Sequence[tuple[FootArea, FootShape]]
) -> FloatArray:
    """Columns of the basis, (R * C, 10 a foot): see the top of this module.

    Parameters
    ----------
    positions_mm
        (R * C, 2) cell centres.
    middle_mm
        (2,) point that x and y are counted from.
    feet
        Left and right, or the only one: cells and shape.
    """
    away = positions_mm - middle_mm
    columns = []
    for area, shape in feet:
        still = np.zeros((len(away), 2))
        for part, moves in (
            (area.region.astype(np.float64), still),
            (shape.heel, shape.heel_moves),
            (shape.forefoot, shape.forefoot_moves),
        ):
            columns += [part, part * away[:, 0] + moves[:, 0], part * away[:, 1] + moves[:, 1]]
        columns.append(shape.rear_half)
    return np.column_stack(columns)


def frame_sums(cells: FloatArray, columns: FloatArray) -> FloatArray:
    """The one product: (T, R, C) frames with (R * C, K) columns to (T, K), in double precision.

    Only the stretch of cells between the first and the last that any column uses is read. A recording too
    long to hold is taken in pieces.
    """
    if isinstance(cells, LongCells):
        return np.concatenate([frame_sums(piece, columns) for piece in cells.pieces()])
    used = np.flatnonzero(columns.any(axis=1))
    first, last = (int(used[0]), int(used[-1]) + 1) if len(used) else (0, 1)
    frames = cells.reshape(len(cells), -1)[:, first:last]
    part = np.ascontiguousarray(columns[first:last], dtype=cells.dtype)
    return (frames @ part).astype(np.float64)


def floor_sums(contact: Contact | LoneContact, columns: FloatArray) -> FloatArray:
    """What the noise floor adds to each column, (K,)."""
    return np.asarray(contact.floor @ columns)


def foot_sums(sums: FloatArray, side_index: int) -> FootSums:
    """Name the columns of one foot; (..., 20) sums, 0 for the left foot and 1 for the right one."""
    s = sums[..., side_index * COLUMNS_A_FOOT : (side_index + 1) * COLUMNS_A_FOOT]
    return FootSums(
        whole=s[..., 0],
        whole_mm=s[..., 1:3],
        heel=s[..., 3],
        heel_mm=s[..., 4:6],
        forefoot=s[..., 6],
        forefoot_mm=s[..., 7:9],
        rear_half=s[..., 9],
    )
