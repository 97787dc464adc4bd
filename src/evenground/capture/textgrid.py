"""Mat recordings from text grids, by a declared layout, into the standard orientation."""

from collections.abc import Callable

import numpy as np

from evenground.capture.layout import Layout
from evenground.capture.text import CutFileError, text_lines
from evenground.errors import CaptureError
from evenground.measure.recording import FloatArray, MatRecording

__all__ = [
    "NotANumberTextError",
    "RateMismatchError",
    "TimeColumnError",
    "WrongColumnsError",
    "WrongRowsError",
    "orient",
    "read_text_grid",
]

_RATE_TOLERANCE = 0.05


class WrongColumnsError(CaptureError):
    """A line with more or fewer cells than the layout says."""

    do = "Check columns, delimiter, decimal and skip_lines in the layout."

    def __init__(self, file: str, line: int, found: int, wanted: int) -> None:
        super().__init__(file, line, found, wanted)
        self.where = f"{file}, line {line}"
        self.what = f"This line has {found} values where the layout asks for {wanted}."


class WrongRowsError(CaptureError):
    """More or fewer rows than the layout says."""

    do = "Check rows, frames and skip_lines in the layout."

    def __init__(self, file: str, found: int, wanted: int) -> None:
        super().__init__(file, found, wanted)
        self.where = file
        self.what = f"The file has {found} rows of cells where the layout asks for {wanted}."


class NotANumberTextError(CaptureError):
    """A value that is no number."""

    do = "Check decimal, delimiter and skip_lines in the layout."

    def __init__(self, file: str, line: int, value: int, text: str) -> None:
        super().__init__(file, line, value, text)
        self.where = f"{file}, line {line}"
        self.what = f'Value {value}, "{text}", is not a number.'


class TimeColumnError(CaptureError):
    """The time column that the layout names is not there."""

    do = "Give its number counted from 1, or its heading as the last skipped line has it."

    def __init__(self, file: str, column: str) -> None:
        super().__init__(file, column)
        self.where = file
        self.what = f"There is no time column {column}."


class RateMismatchError(CaptureError):
    """The declared rate is not the rate of the time column."""

    do = "Correct rate_hz, or leave it out and let the time column say it; times are in seconds."

    def __init__(self, file: str, declared_hz: float, seen_hz: float) -> None:
        super().__init__(file, declared_hz, seen_hz)
        self.where = f"{file}, rate_hz"
        self.what = f"The layout says {declared_hz:g} Hz, the time column {seen_hz:g} Hz."


def read_text_grid(
    raw: bytes, layout: Layout, *, file: str, advance: Callable[[int], object] | None = None
) -> MatRecording:
    """Read a text recording.

    Parameters
    ----------
    raw
        Content of the text file, plain or gzipped.
    layout
        How it is laid out.
    file
        Its name for messages.
    advance
        Called with the number of lines after each hundred, for a progress bar.

    Raises
    ------
    CaptureError
        When the file is not what the layout says; each case has its own class in this module and in
        `capture.text`.
    MeasureError
        When a cell holds what no pressure can be.
    """
    lines = text_lines(raw, file=file)
    head, body = lines[: layout.skip_lines], lines[layout.skip_lines :]
    numbered = [(layout.skip_lines + i, line) for i, line in enumerate(body, 1) if line.strip(_BLANK)]
    per_frame = layout.frames == "row-per-frame"
    time_at = _time_column(file, layout, head)
    wanted = layout.rows * layout.columns + (time_at is not None) if per_frame else layout.columns
    if not numbered:
        raise WrongRowsError(file, 0, 1 if per_frame else layout.rows)
    table = _numbers(file, layout, numbered, wanted, advance)
    times = None
    if time_at is not None:
        times, table = table[:, time_at], np.delete(table, time_at, axis=1)
    cells = table.reshape(-1, layout.rows, layout.columns) if per_frame else _frames(file, layout, table)
    return _recording(file, layout, cells, times)


_BLANK = " \t\r\x0b\x0c,;|"


def _time_column(file: str, layout: Layout, head: list[str]) -> int | None:
    column = layout.time_column
    if column is None:
        return None
    if isinstance(column, str):
        names = [part.strip().strip('"') for part in _parts(head[-1], layout)] if head else []
        if column not in names:
            raise TimeColumnError(file, f'"{column}"')
        return names.index(column)
    if column > layout.rows * layout.columns + 1:
        raise TimeColumnError(file, str(column))
    return column - 1


def _parts(line: str, layout: Layout) -> list[str]:
    """Values of a line as text; one delimiter too many at its end is forgiven."""
    if layout.delimiter == " ":
        return line.split()
    parts = line.split(layout.delimiter)
    return parts[:-1] if len(parts) > 1 and not parts[-1].strip() else parts


def _numbers(
    file: str,
    layout: Layout,
    numbered: list[tuple[int, str]],
    wanted: int,
    advance: Callable[[int], object] | None,
) -> FloatArray:
    # times need double precision, cells do not
    table = np.empty((len(numbered), wanted), np.float32 if layout.time_column is None else np.float64)
    for at, (line, text) in enumerate(numbered):
        parts = _parts(text.replace(",", ".") if layout.decimal == "," else text, layout)
        if len(parts) != wanted:
            if at == len(numbered) - 1 and at > 0 and len(parts) < wanted:
                raise CutFileError(file, f"its last line has {len(parts)} of {wanted} values")
            raise WrongColumnsError(file, line, len(parts), wanted)
        try:
            table[at] = parts
        except ValueError as exc:
            raise _not_a_number(file, line, parts) from exc
        if advance is not None and at % 100 == 99:
            advance(100)
    return table


def _not_a_number(file: str, line: int, parts: list[str]) -> NotANumberTextError:
    for at, part in enumerate(parts, 1):
        try:
            float(part)
        except ValueError:
            return NotANumberTextError(file, line, at, part.strip()[:40])
    return NotANumberTextError(file, line, 1, parts[0][:40])


def _frames(file: str, layout: Layout, table: FloatArray) -> FloatArray:
    whole, left = divmod(len(table), layout.rows)
    if layout.frames == "single" and len(table) != layout.rows:
        raise WrongRowsError(file, len(table), layout.rows)
    if whole == 0:
        raise WrongRowsError(file, len(table), layout.rows)
    if left:
        raise CutFileError(file, f"frame {whole + 1} has {left} of {layout.rows} rows")
    return table.reshape(whole, layout.rows, layout.columns)


def _recording(file: str, layout: Layout, cells: FloatArray, times: FloatArray | None) -> MatRecording:
    count = len(cells)
    rate = layout.rate_hz
    if times is not None and count > 1 and times[-1] > times[0]:
        seen = (count - 1) / float(times[-1] - times[0])
        if rate is not None and abs(rate / seen - 1.0) > _RATE_TOLERANCE:
            raise RateMismatchError(file, rate, seen)
        rate = seen
    if times is None:
        times = np.arange(count) / (rate or 1.0)
    turned, pitches, rest_deg = orient(cells.astype(np.float32) * np.float32(layout.factor), layout)
    return MatRecording(
        cells=turned,
        unit=layout.cell_unit,
        pitch_x_mm=pitches[0],
        pitch_y_mm=pitches[1],
        rate_hz=rate if count > 1 else None,
        time_s=times,
        turned_deg=rest_deg,
        name=file,
    )


def orient(cells: FloatArray, layout: Layout) -> tuple[FloatArray, tuple[float, float], float]:
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
    cells, pitches_mm, rest_deg
        Frames with rows toward the toes and columns to the right; pitch of columns and rows; the turn within
        45 deg that no quarter turn of the array takes out.
    """
    rows = slice(None, None, -1) if layout.first_row == "toe" else slice(None)
    columns = slice(None, None, -1) if layout.first_column == "right" else slice(None)
    straight = cells[:, rows, columns]
    pitch_x, pitch_y = layout.pitches_mm
    quarters = round(layout.turned_deg / 90.0)
    for _ in range(
        quarters % 4
    ):  # one quarter counter-clockwise: columns become rows, rows count from the right
        straight = straight.transpose(0, 2, 1)[:, :, ::-1]
        pitch_x, pitch_y = pitch_y, pitch_x
    return np.ascontiguousarray(straight), (pitch_x, pitch_y), layout.turned_deg - 90.0 * quarters
