"""One recording of a pressure mat in its standard orientation; capture makes it, everything else reads it.

Arrays run time first, then rows, then columns. Seen from above::

        row R-1   toes          y grows with the row, straight ahead of the player
          ^                     x grows with the column, to the player's right
          |                     the mat's corner (0, 0) is the outer corner of cell [0, 0]
        row 0     heels
          0 --> column C-1

`turned_deg` is what is left of the mat's turn on the floor once quarter turns have been taken out of the
array: a point of the mat is turned by it, counter-clockwise seen from above, into the player's directions.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from evenground.errors import MeasureError

__all__ = [
    "CellUnit",
    "FloatArray",
    "InfiniteCellError",
    "MatRecording",
    "NegativeCellError",
    "NotANumberCellError",
    "RecordingShapeError",
]

FloatArray = npt.NDArray[np.floating[Any]]
CellUnit = Literal["kPa", "counts"]
_MAX_TURN_DEG = 45.0


class RecordingShapeError(MeasureError):
    """The array, the pitch and the times of a recording do not belong together."""

    do = "Check the rows, columns, pitch and rate that the layout or the file declares."

    def __init__(self, where: str, what: str) -> None:
        super().__init__(where, what)
        self.where, self.what = where, what


class _CellError(MeasureError):
    """A cell holds what no pressure can be."""

    said = "holds no pressure"

    def __init__(self, where: str, frame: int, row: int, column: int) -> None:
        super().__init__(where, frame, row, column)
        self.where = where
        self.what = f"Frame {frame + 1}, row {row + 1}, column {column + 1} {self.said}."


class NotANumberCellError(_CellError):
    """A cell is NaN."""

    said = "is not a number"
    do = "Export the recording again; a cell without a reading cannot be weighed as empty."


class InfiniteCellError(_CellError):
    """A cell is infinite."""

    said = "is infinite"
    do = "Export the recording again; if it stays, the mat's own calibration has failed for this cell."


class NegativeCellError(_CellError):
    """A cell is below zero."""

    said = "is negative"
    do = "Export it without subtracting a tare; a mat cannot be pulled, and the noise floor is removed here."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MatRecording:
    """Frames of one player standing on one mat.

    Attributes
    ----------
    cells
        (T, R, C) pressures in kPa or raw counts, float32 or float64, none negative.
    unit
        What the cells hold.
    pitch_x_mm, pitch_y_mm
        Distance between neighbouring columns and between neighbouring rows.
    rate_hz
        Frames a second; None for a single frame.
    time_s
        (T,) times of the frames, rising.
    turned_deg
        Turn of the mat that is left after quarter turns, within 45 deg either way.
    name
        What messages call the recording.

    Raises
    ------
    RecordingShapeError
        When the parts do not fit together.
    NotANumberCellError, InfiniteCellError, NegativeCellError
        At the first cell that is no pressure.
    """

    cells: FloatArray
    unit: CellUnit
    pitch_x_mm: float
    pitch_y_mm: float
    rate_hz: float | None
    time_s: FloatArray
    turned_deg: float = 0.0
    name: str = "recording"

    def __post_init__(self) -> None:
        self._check_shape()
        self._check_cells()

    def _check_shape(self) -> None:
        problem = _shape_problem(self)
        if problem is not None:
            raise RecordingShapeError(self.name, problem)

    def _check_cells(self) -> None:
        low, high = self.cells.min(), self.cells.max()  # NaN comes through both
        if np.isnan(low):
            raise NotANumberCellError(self.name, *_first(self.cells, np.isnan))
        if np.isinf(low) or np.isinf(high):
            raise InfiniteCellError(self.name, *_first(self.cells, np.isinf))
        if low < 0.0:
            raise NegativeCellError(self.name, *_first(self.cells, lambda c: c < 0.0))

    @property
    def shape(self) -> tuple[int, int, int]:
        """Frames, rows, columns."""
        frames, rows, columns = self.cells.shape
        return frames, rows, columns

    @property
    def cell_area_mm2(self) -> float:
        """Area of one cell."""
        return self.pitch_x_mm * self.pitch_y_mm

    @property
    def duration_s(self) -> float | None:
        """Frames over rate; None for a single frame."""
        return None if self.rate_hz is None else len(self.cells) / self.rate_hz


def _shape_problem(recording: MatRecording) -> str | None:
    cells, time_s = recording.cells, recording.time_s
    if cells.ndim != 3 or 0 in cells.shape:
        return f"A recording has frames, rows and columns; this array is {cells.shape}."
    if cells.dtype not in (np.float32, np.float64):
        return f"Cells are float32 or float64; these are {cells.dtype}."
    for pitch in (recording.pitch_x_mm, recording.pitch_y_mm):
        if not 0.0 < pitch < np.inf:
            return f"The pitch is a positive number of millimetres, not {pitch}."
    if time_s.shape != (len(cells),) or not np.all(np.isfinite(time_s)):
        return f"{len(cells)} frames need {len(cells)} finite times."
    if len(cells) > 1 and not (recording.rate_hz and 0.0 < recording.rate_hz < np.inf):
        return "Several frames need a rate."
    if np.any(np.diff(time_s) <= 0.0):
        at = int(np.flatnonzero(np.diff(time_s) <= 0.0)[0])
        return f"Times must rise; frame {at + 2} is not later than frame {at + 1}."
    if not abs(recording.turned_deg) <= _MAX_TURN_DEG:
        return f"A turn of {recording.turned_deg} deg holds a quarter turn that belongs in the array."
    return None


def _first(cells: FloatArray, bad: Callable[[FloatArray], Any]) -> tuple[int, int, int]:
    for frame, grid in enumerate(cells):
        at = np.argwhere(bad(grid))
        if len(at):
            return frame, int(at[0, 0]), int(at[0, 1])
    msg = "no such cell"  # pragma: no cover - the caller has seen one
    raise AssertionError(msg)
