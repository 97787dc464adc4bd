"""Recordings too long to hold: opened where they lie, read in pieces, a text first packed as Parquet.

Two threads unpack ahead of what is measured, each with a file of its own, and never more than a few row
groups are in memory.
"""

from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing, contextmanager
from pathlib import Path
from shutil import rmtree
from tempfile import mkdtemp
from threading import local
from typing import Any, cast
from weakref import finalize

import numpy as np

from evenground.capture.layout import Layout
from evenground.capture.parquet import Geometry, RecordingWriter, cells_of, geometry_of, opened_parquet
from evenground.capture.text import CutFileError, opened
from evenground.capture.textgrid import frame_pieces, oriented_geometry, rate_of
from evenground.measure.long_cells import LongCells, survey
from evenground.measure.quiet import frames_a_block
from evenground.measure.recording import FloatArray, MatRecording

__all__ = ["LONG_VALUES", "is_long_parquet", "open_long_parquet", "pack_text"]

LONG_VALUES = 40_000_000
"""Cells times frames from which a recording is read in pieces: 160 MB in single precision."""

PACKED = "recording.parquet"
_AHEAD = 2
_GROUP_VALUES = 8_000_000
Advance = Callable[[int], object]


def is_long_parquet(path: Path) -> bool:
    """Whether a Parquet recording is to be read in pieces.

    Raises
    ------
    CaptureError
        When it is no recording.
    """
    with closing(opened_parquet(path, file=path.name)) as file:
        geometry = geometry_of(path.name, file.schema_arrow)
        return bool(file.metadata.num_rows * geometry.rows * geometry.columns > LONG_VALUES)


def open_long_parquet(path: Path, *, file: str, rate_hz: float | None = None) -> MatRecording:
    """A recording that reads its frames from the file whenever a figure needs them.

    Parameters
    ----------
    path
        The file, which has to stay where it is.
    file
        Its name for messages.
    rate_hz
        Its rate, where it is not the one that the file says.

    Raises
    ------
    CaptureError
        When it is no recording.
    MeasureError
        When a cell holds what no pressure can be.
    """
    return _Reader(path, file).recording(rate_hz)


class _Reader:
    """Reads row groups ahead in two threads; a row group too large for that is read in batches."""

    def __init__(self, path: Path, file: str) -> None:
        self.path, self.file = path, file
        with closing(opened_parquet(path, file=file)) as parquet:
            self.geometry = geometry_of(file, parquet.schema_arrow)
            with self._told():
                times = parquet.read(columns=["time_s"])["time_s"]
            groups = [parquet.metadata.row_group(k).num_rows for k in range(parquet.metadata.num_row_groups)]
        self.time_s = times.to_numpy().astype(np.float64)
        self.edges = np.concatenate([[0], np.cumsum(groups)])
        cells = self.geometry.rows * self.geometry.columns
        self.small = max(groups, default=0) * cells <= _GROUP_VALUES
        self._own = local()

    def recording(self, rate_hz: float | None) -> MatRecording:
        """The recording whose frames are read here."""
        geometry, rate = self.geometry, rate_hz or self.geometry.rate_hz
        shape = (geometry.rows, geometry.columns)
        seen = survey(self.pieces, len(self.time_s), shape, frames_a_block(rate or 1.0))
        return MatRecording(
            cells=cast("FloatArray", LongCells(self.pieces, seen)),
            unit=geometry.unit,
            pitch_x_mm=geometry.pitch_x_mm,
            pitch_y_mm=geometry.pitch_y_mm,
            rate_hz=rate,
            time_s=self.time_s,
            turned_deg=geometry.turned_deg,
            name=self.file,
        )

    def pieces(self, start: int, stop: int) -> Iterator[FloatArray]:
        """The frames from one up to another."""
        at = 0
        for part, first in self._groups(start, stop) if self.small else self._batches():
            at = first + len(part)
            if at <= start:
                continue
            yield part[max(start - first, 0) : max(stop - first, 0)]
            if at >= stop:
                return

    def _groups(self, start: int, stop: int) -> Iterator[tuple[FloatArray, int]]:
        first = int(np.searchsorted(self.edges, start, side="right")) - 1
        last = int(np.searchsorted(self.edges, stop, side="left"))
        waiting: deque[tuple[Future[FloatArray], int]] = deque()
        with ThreadPoolExecutor(max_workers=_AHEAD) as pool:
            for group in range(first, last):
                waiting.append((pool.submit(self._group, group), int(self.edges[group])))
                if len(waiting) > _AHEAD:
                    ready, at = waiting.popleft()
                    yield ready.result(), at
            while waiting:
                ready, at = waiting.popleft()
                yield ready.result(), at

    def _group(self, group: int) -> FloatArray:
        file: Any = getattr(self._own, "file", None)
        if file is None:
            file = self._own.file = opened_parquet(self.path, file=self.file)
        with self._told():
            table = file.read_row_group(group, columns=["cells"], use_threads=False)
        return cells_of(self.file, table, self.geometry)

    @contextmanager
    def _told(self) -> Iterator[None]:
        import pyarrow as pa

        try:
            yield
        except (pa.ArrowException, OSError) as exc:
            raise CutFileError(self.file, "what is inside cannot be unpacked") from exc

    def _batches(self) -> Iterator[tuple[FloatArray, int]]:
        import pyarrow as pa

        rows = max(_GROUP_VALUES // (self.geometry.rows * self.geometry.columns), 1)
        at = 0
        with closing(opened_parquet(self.path, file=self.file)) as file:
            batches = file.iter_batches(batch_size=rows, columns=["cells"], use_threads=False)
            while True:
                with self._told():
                    batch = next(batches, None)
                if batch is None:
                    return
                table = pa.Table.from_batches([batch])
                yield cells_of(self.file, table, self.geometry), at
                at += len(batch)


def pack_text(path: Path, layout: Layout, *, advance: Advance | None = None) -> MatRecording:
    """A long text, packed as Parquet in a folder that goes away with the recording, and opened there.

    Raises
    ------
    CaptureError
        When the file is not what the layout says, as `capture.textgrid.read_text_grid`.
    """
    folder = Path(mkdtemp(prefix="evenground-"))
    try:
        rate = _packed(path, layout, folder / PACKED, advance)
        reader = _Reader(folder / PACKED, path.name)
        recording = reader.recording(rate)
    except BaseException:
        rmtree(folder, ignore_errors=True)
        raise
    finalize(reader, rmtree, folder, ignore_errors=True)
    return recording


def _packed(path: Path, layout: Layout, packed: Path, advance: Advance | None) -> float | None:
    """Write the frames of the text as Parquet; gives their rate."""
    times: list[FloatArray] = []
    count = 0
    with opened(path) as stream:
        pieces = frame_pieces(stream, layout, file=path.name, advance=advance)
        first = next(pieces)
        with RecordingWriter(packed, _geometry(layout, first.cells.shape)) as writer:
            for piece in _after(first, pieces):
                given = piece.time_s
                at = np.arange(count, count + len(piece.cells)) / (layout.rate_hz or 1.0)
                writer.write(at if given is None else given, piece.cells)
                times += [] if given is None else [given[[0, -1]]]
                count += len(piece.cells)
    ends = np.concatenate(times)[[0, -1]] if times else None
    return rate_of(path.name, layout, count, ends)


def _geometry(layout: Layout, shape: tuple[int, ...]) -> Geometry:
    pitches, rest_deg = oriented_geometry(layout)
    return Geometry(
        version=1,
        rows=shape[1],
        columns=shape[2],
        pitch_x_mm=pitches[0],
        pitch_y_mm=pitches[1],
        unit=layout.cell_unit,
        rate_hz=layout.rate_hz,
        turned_deg=rest_deg,
    )


def _after(first: Any, rest: Iterator[Any]) -> Iterator[Any]:
    yield first
    yield from rest
