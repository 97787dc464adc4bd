"""Closed lines of one height on a grid, by marching squares."""

from collections.abc import Iterator

import numpy as np

from evenground.measure.recording import FloatArray

__all__ = ["contour_lines", "simplified"]

Edge = tuple[int, int, int]
"""Row, column, and 0 for the edge to the next column or 1 for that to the next row."""

# Corners of a square: 1 here, 2 the next column, 4 the next column and row, 8 the next row. For each pattern
# of corners above the height: pairs of edges (bottom, right, top, left) that a line joins, high on its left.
_BOTTOM, _RIGHT, _TOP, _LEFT = range(4)
_PAIRS: dict[int, tuple[tuple[int, int], ...]] = {
    1: ((_BOTTOM, _LEFT),),
    2: ((_RIGHT, _BOTTOM),),
    3: ((_RIGHT, _LEFT),),
    4: ((_TOP, _RIGHT),),
    5: ((_BOTTOM, _LEFT), (_TOP, _RIGHT)),
    6: ((_TOP, _BOTTOM),),
    7: ((_TOP, _LEFT),),
    8: ((_LEFT, _TOP),),
    9: ((_BOTTOM, _TOP),),
    10: ((_RIGHT, _BOTTOM), (_LEFT, _TOP)),
    11: ((_RIGHT, _TOP),),
    12: ((_LEFT, _RIGHT),),
    13: ((_BOTTOM, _RIGHT),),
    14: ((_LEFT, _BOTTOM),),
}


def contour_lines(grid: FloatArray, level: float) -> tuple[FloatArray, ...]:
    """Closed lines along which a grid has one height, straight within each square of four cells.

    Parameters
    ----------
    grid
        (R, C) heights at whole rows and columns; outside the grid there is zero.
    level
        The height, over zero.

    Returns
    -------
    lines
        Each (N, 2) columns and rows, higher ground to the left; the first point is not repeated at the end.
        Two high corners that only touch across a square are kept apart.

    Notes
    -----
    Marching squares (Lorensen and Cline 1987, Computer Graphics 21:163, in two dimensions), crossings by
    linear interpolation.
    """
    height = np.pad(np.asarray(grid, np.float64), 1)
    joined = dict(_segments(height, level))
    lines = []
    while joined:
        start, at = joined.popitem()
        chain = [start]
        while at != start:
            chain.append(at)
            at = joined.pop(at)
        lines.append(np.array([_crossing(height, level, edge) for edge in chain]) - 1.0)
    return tuple(lines)


def _segments(height: FloatArray, level: float) -> Iterator[tuple[Edge, Edge]]:
    above = height > level
    kind = above[:-1, :-1] * 1 + above[:-1, 1:] * 2 + above[1:, 1:] * 4 + above[1:, :-1] * 8
    for r, c in np.argwhere((kind > 0) & (kind < 15)).tolist():
        edges: tuple[Edge, ...] = ((r, c, 0), (r, c + 1, 1), (r + 1, c, 0), (r, c, 1))
        for one, other in _PAIRS[int(kind[r, c])]:
            yield edges[one], edges[other]


def _crossing(height: FloatArray, level: float, edge: Edge) -> tuple[float, float]:
    row, column, down = edge
    ends = (row + 1, column) if down else (row, column + 1)
    low, high = float(height[row, column]), float(height[ends])
    share = (level - low) / (high - low)
    return (column + (0.0 if down else share), row + (share if down else 0.0))


def simplified(line: FloatArray, tolerance: float) -> FloatArray:
    """A closed line with fewer points, none of the others further than `tolerance` from what is left.

    Source: Douglas and Peucker 1973, Cartographica 10:112, on the two halves between the first point and the
    one furthest from it.
    """
    far = int(np.hypot(*(line - line[0]).T).argmax())
    halves = (line[: far + 1], np.concatenate([line[far:], line[:1]]))
    return np.concatenate([_fewer(half, tolerance)[:-1] for half in halves])


def _fewer(line: FloatArray, tolerance: float) -> FloatArray:
    """An open line with fewer points, both ends kept."""
    along = line[-1] - line[0]
    length = float(np.hypot(*along))
    away = line - line[0]
    off = np.abs(away @ np.array([-along[1], along[0]])) / length if length > 0.0 else np.hypot(*away.T)
    worst = int(off.argmax())
    if len(line) < 3 or off[worst] <= tolerance:
        return np.asarray(line[[0, -1]])
    return np.concatenate([_fewer(line[: worst + 1], tolerance)[:-1], _fewer(line[worst:], tolerance)])
