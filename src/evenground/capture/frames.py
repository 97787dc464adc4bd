"""Frames of a mat as they come: what every frame is of, some frames, and what gives them.

Frames are in the standard orientation of `measure.recording`; whoever gives them has turned them already.
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from evenground.capture.layout import Layout
from evenground.capture.textgrid import orient, oriented_geometry
from evenground.errors import CaptureError
from evenground.measure.recording import CellUnit, FloatArray, MatRecording

__all__ = [
    "FrameSource",
    "MatFrames",
    "MatHead",
    "NoFramesError",
    "head_of",
    "recording_of",
    "standard_frames",
]


class NoFramesError(CaptureError):
    """A recording that ended before a frame came."""

    do = "Wait until the mat shows a picture, then record."

    def __init__(self, recording: str) -> None:
        super().__init__(recording)
        self.where = recording
        self.what = "Not one frame came while this was recorded."


@dataclass(frozen=True, slots=True, kw_only=True)
class MatHead:
    """What every frame is of: the mat's grid, its unit and its rate. `turned_deg` as in `MatRecording`."""

    rows: int
    columns: int
    pitch_x_mm: float
    pitch_y_mm: float
    unit: CellUnit
    rate_hz: float
    turned_deg: float = 0.0
    name: str = "mat"

    @property
    def cells(self) -> int:
        """Cells of one frame."""
        return self.rows * self.columns


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MatFrames:
    """Some frames in their order.

    Attributes
    ----------
    time_s
        (n,) rising, on a clock of the source's own.
    cells
        (n, R, C) float32.
    """

    time_s: FloatArray
    cells: FloatArray

    def __len__(self) -> int:
        return len(self.time_s)

    def part(self, start: int, end: int) -> "MatFrames":
        """Give the frames from `start` up to `end`."""
        return MatFrames(time_s=self.time_s[start:end], cells=self.cells[start:end])


class FrameSource(Protocol):
    """Something that frames come from."""

    @property
    def head(self) -> MatHead:
        """What the frames are of."""

    @property
    def left_out(self) -> int:
        """How many frames held no pressure (not a number, infinite, below zero) and were left out."""

    def pull(self, wait_s: float) -> MatFrames:
        """Everything that has come, after waiting no longer than that; may be no frame at all.

        Raises
        ------
        CaptureError
            When nothing can come any more.
        """

    def close(self) -> None:
        """Let it go."""


def head_of(layout: Layout, rate_hz: float, name: str) -> MatHead:
    """The head of frames that a layout describes, once `standard_frames` has turned them."""
    pitches, rest_deg = oriented_geometry(layout)
    one = orient(np.zeros((1, layout.rows, layout.columns), np.float32), layout)
    return MatHead(
        rows=one.shape[1],
        columns=one.shape[2],
        pitch_x_mm=pitches[0],
        pitch_y_mm=pitches[1],
        unit=layout.cell_unit,
        rate_hz=rate_hz,
        turned_deg=rest_deg,
        name=name,
    )


def standard_frames(flat: FloatArray, layout: Layout) -> FloatArray:
    """Frames as the mat sends them, (n, rows * columns), in the standard orientation and unit: (n, R, C)."""
    grid = flat.astype(np.float32, copy=False).reshape(-1, layout.rows, layout.columns)
    return orient(grid if layout.factor == 1.0 else grid * np.float32(layout.factor), layout)


def recording_of(head: MatHead, frames: MatFrames) -> MatRecording:
    """Frames as a recording that starts at second 0.

    Raises
    ------
    MeasureError
        When they are none.
    """
    return MatRecording(
        cells=frames.cells,
        unit=head.unit,
        pitch_x_mm=head.pitch_x_mm,
        pitch_y_mm=head.pitch_y_mm,
        rate_hz=head.rate_hz if len(frames) > 1 else None,
        time_s=frames.time_s - frames.time_s[:1],
        turned_deg=head.turned_deg,
        name=head.name,
    )
