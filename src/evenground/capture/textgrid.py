"""Mat recordings from text grids, by a declared layout, into the standard orientation."""

import io
import re
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from typing import BinaryIO

import numpy as np

from evenground.capture.cells import (
    Form,
    NotANumberTextError,
    WrongColumnsError,
    count_lines,
    parts_of,
    plain_numbers,
    slow_numbers,
)
from evenground.capture.layout import Layout
from evenground.capture.text import CutFileError, text_blocks
from evenground.errors import CaptureError
from evenground.measure.recording import FloatArray, MatRecording

__all__ = [
    "NUMBER",
    "HeaderTimeError",
    "NotANumberTextError",
    "Piece",
    "RateMismatchError",
    "TimeColumnError",
    "WrongColumnsError",
    "WrongRowsError",
    "frame_pieces",
    "orient",
    "oriented_geometry",
    "rate_of",
    "read_text_grid",
]

_RATE_TOLERANCE = 0.05
_AHEAD = 2
NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?(?:[eE][-+]?\d+)?")


class WrongRowsError(CaptureError):
    """More or fewer rows than the layout says."""

    do = "Check rows, frames and skip_lines in the layout."

    def __init__(self, file: str, found: int, wanted: int) -> None:
        super().__init__(file, found, wanted)
        self.where = file
        self.what = f"The file has {found} rows of cells where the layout asks for {wanted}."


class TimeColumnError(CaptureError):
    """The time column that the layout names is not there."""

    do = "Give its number counted from 1, or its heading as the last skipped line has it."

    def __init__(self, file: str, column: str) -> None:
        super().__init__(file, column)
        self.where = file
        self.what = f"There is no time column {column}."


class HeaderTimeError(CaptureError):
    """Header lines without the number that should be the time."""

    do = "Check header_lines and header_time in the layout, or give rate_hz instead."

    def __init__(self, file: str, line: int, found: int, wanted: int) -> None:
        super().__init__(file, line, found, wanted)
        self.where = f"{file}, line {line}"
        self.what = f"The lines before this frame hold {found} numbers; the time should be number {wanted}."


class RateMismatchError(CaptureError):
    """The declared rate is not the rate of the time column."""

    do = "Correct rate_hz or time_unit, or leave rate_hz out and let the time column say it."

    def __init__(self, file: str, declared_hz: float, seen_hz: float) -> None:
        super().__init__(file, declared_hz, seen_hz)
        self.where = f"{file}, rate_hz"
        self.what = f"The layout says {declared_hz:g} Hz, the time column {seen_hz:g} Hz."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """Consecutive frames in the recording's unit and orientation, (k, R, C), and their times if given."""

    cells: FloatArray
    time_s: FloatArray | None


def read_text_grid(
    source: bytes | BinaryIO,
    layout: Layout,
    *,
    file: str,
    advance: Callable[[int], object] | None = None,
) -> MatRecording:
    """Read a text recording.

    Parameters
    ----------
    source
        Content of the text file or a stream of it, plain, gzipped or zipped.
    layout
        How it is laid out.
    file
        Its name for messages.
    advance
        Called with numbers of bytes taken in, for a progress bar.

    Raises
    ------
    CaptureError
        When the file is not what the layout says; each case has its own class in this module, in
        `capture.cells` and in `capture.text`.
    MeasureError
        When a cell holds what no pressure can be.
    """
    pieces = list(frame_pieces(source, layout, file=file, advance=advance))
    cells = pieces[0].cells if len(pieces) == 1 else np.concatenate([p.cells for p in pieces])
    given = [p.time_s for p in pieces if p.time_s is not None]
    times = np.concatenate(given) if given else None
    rate = rate_of(file, layout, len(cells), times)
    pitches, rest_deg = oriented_geometry(layout)
    return MatRecording(
        cells=cells,
        unit=layout.cell_unit,
        pitch_x_mm=pitches[0],
        pitch_y_mm=pitches[1],
        rate_hz=rate,
        time_s=np.arange(len(cells)) / (rate or 1.0) if times is None else times,
        turned_deg=rest_deg,
        name=file,
    )


def rate_of(file: str, layout: Layout, count: int, times: FloatArray | None) -> float | None:
    """Frames a second: of the times where there are some, else as declared; None for one frame.

    Raises
    ------
    RateMismatchError
        When both are given and disagree.
    """
    if count < 2:
        return None
    rate = layout.rate_hz
    if times is None or not times[-1] > times[0]:
        return rate
    seen = (count - 1) / float(times[-1] - times[0])
    if rate is not None and abs(rate / seen - 1.0) > _RATE_TOLERANCE:
        raise RateMismatchError(file, rate, seen)
    return seen


def frame_pieces(
    source: bytes | BinaryIO,
    layout: Layout,
    *,
    file: str,
    advance: Callable[[int], object] | None = None,
    block_bytes: int | None = None,
) -> Iterator[Piece]:
    """The frames of a text recording, some at a time, so that a file may be larger than memory.

    Parameters and errors as in `read_text_grid`; at least one piece, or an error.
    """
    stream = io.BytesIO(source) if isinstance(source, bytes) else source
    sized = {} if block_bytes is None else {"size": block_bytes}
    blocks = text_blocks(stream, file=file, **sized)
    reader = _Reader(file, layout)
    frames = 0
    told = _without_tail(_told(blocks, stream, advance), layout.skip_last_lines)
    for block in _read_ahead(_with_last(_after_preamble(told, layout, reader)), reader):
        for piece in reader.taken(block):
            frames += len(piece.cells)
            yield piece
    reader.refuse_rest(frames)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Block:
    """Whole lines, whether they are the file's last, and their numbers as far as they could be read ahead."""

    lines: bytes
    is_last: bool
    ahead: Future[FloatArray | None] | None


def _read_ahead(blocks: Iterable[tuple[bytes, bool]], reader: "_Reader") -> Iterator[_Block]:
    """Read the numbers of the next blocks in threads of their own; headers have to be taken out first."""
    waiting: deque[_Block] = deque()
    with ThreadPoolExecutor(max_workers=_AHEAD) as pool:
        for lines, is_last in blocks:
            ahead = None
            if not reader.layout.header_lines:
                ahead = pool.submit(plain_numbers, lines, reader.layout_columns().form)
            waiting.append(_Block(lines=lines, is_last=is_last, ahead=ahead))
            if len(waiting) > _AHEAD:
                yield waiting.popleft()
        yield from waiting


def _with_last(blocks: Iterable[bytes]) -> Iterator[tuple[bytes, bool]]:
    """Each block, and whether it is the last one."""
    before: bytes | None = None
    for block in blocks:
        if before is not None:
            yield before, False
        before = block
    if before is not None:
        yield before, True


def _told(
    blocks: Iterable[bytes], stream: BinaryIO, advance: Callable[[int], object] | None
) -> Iterator[bytes]:
    """The blocks; `advance` hears how far the file has been read, packed bytes if it is packed."""
    before = stream.tell()
    for block in blocks:
        if advance is not None:
            here = stream.tell()
            advance(here - before)
            before = here
        yield block


def _without_tail(blocks: Iterable[bytes], count: int) -> Iterator[bytes]:
    """The blocks without the file's last `count` lines that are not blank."""
    held = b""
    for block in blocks:
        text = held + block
        at, left = len(text.rstrip()), count
        while left and at > 0:
            at = text.rfind(b"\n", 0, at) + 1
            left -= 1
            at = len(text[:at].rstrip()) if left else at
        text, held = (text[:at], text[at:]) if count else (text, b"")
        if text:
            yield text


def _after_preamble(blocks: Iterable[bytes], layout: Layout, reader: "_Reader") -> Iterator[bytes]:
    left = layout.skip_lines
    for block in blocks:
        while left and block:
            line, ended, block = block.partition(b"\n")  # noqa: PLW2901 - what is left of it
            reader.skipped(line)
            left -= bool(line or ended)
        if block:
            yield block


class _Reader:
    """Turns blocks of whole lines into pieces; remembers what is left of a frame from block to block."""

    def __init__(self, file: str, layout: Layout) -> None:
        self.file, self.layout = file, layout
        self.line = 1
        self.last_skipped = ""
        self.columns: _Columns | None = None
        self.rows: FloatArray | None = None
        self.heads: list[tuple[int, bytes]] = []
        self.times: list[float] = []
        self.seen = 0

    def skipped(self, line: bytes) -> None:
        self.last_skipped = line.decode("utf-8", errors="replace")
        self.line += 1

    def layout_columns(self) -> "_Columns":
        """Which columns are what; known once the preamble is over."""
        if self.columns is None:
            self.columns = _columns(self.file, self.layout, self.last_skipped)
        return self.columns

    def taken(self, block: _Block) -> Iterator[Piece]:
        columns = self.layout_columns()
        yield from self._pieces(self._table(block, columns.form), columns)

    def _table(self, block: _Block, form: Form) -> FloatArray:
        """All rows of a block; header lines are taken out and kept."""
        first, self.line = self.line, self.line + count_lines(block.lines)
        if block.ahead is None:
            numbered = self._without_headers(block.lines, first)
            fast = plain_numbers(b"".join(line + b"\n" for _, line in numbered), form)
        else:
            fast = block.ahead.result()
            numbered = [] if fast is not None else list(enumerate(block.lines.split(b"\n"), first))
        if fast is not None:
            return fast
        texts = [(n, line.decode("utf-8")) for n, line in numbered]
        return slow_numbers(texts, form, file=self.file, is_last=block.is_last)

    def _without_headers(self, block: bytes, first: int) -> list[tuple[int, bytes]]:
        period = self.layout.header_lines + self.layout.rows
        kept = []
        for number, line in enumerate(block.split(b"\n"), first):
            if not line.strip(b" \t,;|"):
                continue
            place = self.seen % period
            self.seen += 1
            if place < self.layout.header_lines:
                self.heads.append((number, line))
                if place == self.layout.header_lines - 1:
                    self._take_header_time()
            else:
                kept.append((number, line))
        return kept

    def _take_header_time(self) -> None:
        heads, self.heads = self.heads, []
        wanted = self.layout.header_time
        if wanted is None:
            return
        text = " ".join(line.decode("utf-8") for _, line in heads)
        found = NUMBER.findall(text)
        if len(found) < wanted:
            raise HeaderTimeError(self.file, heads[-1][0], len(found), wanted)
        self.times.append(float(found[wanted - 1].replace(",", ".")) * self.layout.seconds)

    def _pieces(self, table: FloatArray, columns: "_Columns") -> Iterator[Piece]:
        layout = self.layout
        if self.rows is not None and len(self.rows):
            table = np.concatenate([self.rows, table])
        whole = len(table) // columns.rows_a_frame
        self.rows = table[whole * columns.rows_a_frame :]
        if not whole:
            return
        table = table[: whole * columns.rows_a_frame]
        times = None
        if columns.time_at is not None:
            times = table[:, columns.time_at].astype(np.float64) * layout.seconds
        elif layout.header_time is not None:
            times, self.times = np.array(self.times[:whole]), self.times[whole:]
        cells = columns.cells(table).reshape(whole, layout.rows, layout.columns)
        scaled = np.asarray(cells, np.float32) * np.float32(layout.factor)
        yield Piece(cells=orient(scaled, layout), time_s=times)

    def refuse_rest(self, frames: int) -> None:
        """Nothing more comes: refuse what is no whole frame."""
        rows = self.layout.rows
        left = 0 if self.rows is None else len(self.rows)
        if frames == 0:
            raise WrongRowsError(self.file, left, 1 if self.layout.frames == "row-per-frame" else rows)
        if self.layout.frames == "single" and (frames > 1 or left):
            raise WrongRowsError(self.file, frames * rows + left, rows)
        if left:
            raise CutFileError(self.file, f"frame {frames + 1} has {left} of {rows} rows")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Columns:
    """How a line is read, and which of the columns read is the time."""

    form: Form
    time_at: int | None
    rows_a_frame: int

    def cells(self, table: FloatArray) -> FloatArray:
        return table if self.time_at is None else np.delete(table, self.time_at, axis=1)


def _columns(file: str, layout: Layout, heading: str) -> _Columns:
    per_frame = layout.frames == "row-per-frame"
    count = layout.rows * layout.columns if per_frame else layout.columns
    skip, last = layout.skip_columns, layout.skip_last_columns
    time_at = _time_column(file, layout, heading)
    # a time among the skipped columns is counted there already
    inside = time_at is not None and not (time_at < skip or (last and time_at >= skip + count))
    wanted = skip + count + last + inside
    if time_at is not None and time_at >= wanted:
        raise TimeColumnError(file, str(layout.time_column))
    ignored = frozenset([*range(skip), *range(wanted - last, wanted)]) - {time_at}
    form = Form(
        delimiter=layout.delimiter,
        decimal=layout.decimal,
        wanted=wanted,
        exact=time_at is not None,
        ignored=frozenset(k for k in ignored if k is not None),
    )
    at = None if time_at is None else form.kept.index(time_at)
    return _Columns(form=form, time_at=at, rows_a_frame=1 if per_frame else layout.rows)


def _time_column(file: str, layout: Layout, heading: str) -> int | None:
    column = layout.time_column
    if column is None:
        return None
    if isinstance(column, str):
        names = [part.strip().strip('"') for part in parts_of(heading, layout.delimiter)] if heading else []
        if column not in names:
            raise TimeColumnError(file, f'"{column}"')
        return names.index(column)
    return column - 1


def oriented_geometry(layout: Layout) -> tuple[tuple[float, float], float]:
    """Pitch of columns and of rows once quarter turns are taken out, and the turn within 45 deg left."""
    pitch_x, pitch_y = layout.pitches_mm
    quarters = round(layout.turned_deg / 90.0)
    pitches = (pitch_y, pitch_x) if quarters % 2 else (pitch_x, pitch_y)
    return pitches, layout.turned_deg - 90.0 * quarters


def orient(cells: FloatArray, layout: Layout) -> FloatArray:
    """Bring frames into the standard orientation of `measure.recording`.

    Parameters
    ----------
    cells
        (T, R, C) as the file has them.
    layout
        Which side its first row and column lie on with the mat straight ahead of the player, and how far
        the mat was turned from there.

    Returns
    -------
    cells
        Frames with rows toward the toes and columns to the right; what is left of the turn within 45 deg
        is in `oriented_geometry`.
    """
    rows = slice(None, None, -1) if layout.first_row == "toe" else slice(None)
    columns = slice(None, None, -1) if layout.first_column == "right" else slice(None)
    straight = cells[:, rows, columns]
    for _ in range(
        round(layout.turned_deg / 90.0) % 4
    ):  # one quarter counter-clockwise: columns become rows, rows count from the right
        straight = straight.transpose(0, 2, 1)[:, :, ::-1]
    return np.ascontiguousarray(straight)
