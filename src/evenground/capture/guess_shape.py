"""How the values of an unknown export make frames: a time, rows and columns, from the values themselves."""

from dataclasses import dataclass

import numpy as np

from evenground.measure.recording import FloatArray

__all__ = ["Column", "column_kinds", "columns_of_frame", "period_of_rows"]

_FEWEST, _MOST = 8, 256  # cells along a side of a mat
_EVEN = 0.25
_SAME = 0.5  # rows that come again differ by less than this part of what unlike rows differ by


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column that is not cells: its place from 0, and what it holds: time, number, row or sum."""

    at: int
    kind: str


def column_kinds(table: FloatArray) -> list[Column]:
    """Columns at the front and at the end of lines that are not cells.

    Parameters
    ----------
    table
        (lines, values) in their order.

    Notes
    -----
    A time rises evenly; a number rises by one; a row's number rises by one and starts anew; a sum equals
    what stands before it in its line.
    """
    found = []
    for at in range(min(3, table.shape[1] - _FEWEST)):
        kind = _rising(table[:, at])
        if kind is None:
            break
        found.append(Column(at=at, kind=kind))
    first = len(found)
    last = table.shape[1] - 1
    cells = table[:, first:last]
    if cells.shape[1] >= _FEWEST and np.any(cells) and _is_sum(table[:, last], cells):
        found.append(Column(at=last, kind="sum"))
    return found


def _rising(values: FloatArray) -> str | None:
    steps = np.diff(values)
    if len(steps) < 2:
        return None
    whole = bool(np.all(values == np.round(values)))
    if whole and _starts_anew(steps):
        return "row"
    if np.any(steps <= 0.0):
        return None
    if whole and np.all(steps == 1.0):
        return "number"
    usual = float(np.median(steps))
    return "time" if np.mean(np.abs(steps - usual) <= _EVEN * usual) > 0.9 else None


def _starts_anew(steps: FloatArray) -> bool:
    back = np.flatnonzero(steps != 1.0)
    spans = np.diff(np.concatenate([[-1], back]))
    return len(back) > 0 and spans[0] >= _FEWEST and bool(np.all(steps[back] == 1.0 - spans[0]))


def _is_sum(last: FloatArray, cells: FloatArray) -> bool:
    total = cells.sum(axis=1)
    scale = float(np.abs(total).max())
    return scale > 0.0 and bool(np.all(np.abs(last - total) <= 0.01 * scale)) and bool(np.ptp(total) > 0.0)


def columns_of_frame(frames: FloatArray) -> tuple[int, float] | None:
    """Columns of frames that stand in one line each, and how alike neighbouring rows are then (1 at most).

    Parameters
    ----------
    frames
        (T, R * C).

    Notes
    -----
    A frame is smooth: laid out with the right number of columns, cells above one another are alike. Of the
    divisors the one with the highest correlation at that distance is taken.
    """
    flat = frames.mean(axis=0, dtype=np.float64)
    count = len(flat)
    sizes = [c for c in range(_FEWEST, _MOST + 1) if count % c == 0 and _FEWEST <= count // c <= _MOST]
    if not sizes or not np.ptp(flat) > 0.0:
        return None
    alike = {c: float(np.corrcoef(flat[:-c], flat[c:])[0, 1]) for c in sizes}
    best = max(sizes, key=lambda c: np.nan_to_num(alike[c], nan=-1.0))
    return best, alike[best]


def period_of_rows(rows: FloatArray) -> int | None:
    """After how many rows frames that are stacked without a gap start anew; None when they don't.

    Parameters
    ----------
    rows
        (N, C) all rows in their order.
    """
    if not np.isfinite(rows).all():
        return None
    usual = float(np.mean(np.abs(rows - rows.mean(axis=0))))
    if usual == 0.0:
        return None
    sizes = [r for r in range(_FEWEST, min(_MOST, len(rows) // 2) + 1) if len(rows) % r == 0]
    apart = {r: float(np.mean(np.abs(rows[r:] - rows[:-r]))) / usual for r in sizes}
    near = [r for r in sizes if apart[r] < _SAME and apart[r] < 1.5 * min(apart.values()) + 0.02]
    return min(near, default=None)
