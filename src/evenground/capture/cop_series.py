"""CoP series from a table of text: tabs, commas, semicolons or blanks between columns, plain or gzipped."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np

from evenground.capture.text import CutFileError, read_bytes, text_lines
from evenground.errors import CaptureError
from evenground.measure.recording import FloatArray

__all__ = [
    "BadCellError",
    "ColumnMissingError",
    "CopSeries",
    "LengthUnit",
    "UnevenTimesError",
    "read_columns",
    "read_cop_series",
]

LengthUnit = Literal["mm", "cm", "m"]
_TO_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0}
_UNEVEN = 0.05


class ColumnMissingError(CaptureError):
    """A column that was asked for is not in the table."""

    def __init__(self, file: str, column: str, there: tuple[str, ...]) -> None:
        super().__init__(file, column, there)
        self.where = file
        self.what = f'There is no column "{column}".'
        self.do = f"Columns here: {', '.join(there)[:300]}; they can also be counted from 1."


class BadCellError(CaptureError):
    """A value of the table that is missing or no finite number."""

    do = "Correct or cut this row; a gap in a CoP series cannot be bridged."

    def __init__(self, file: str, line: int, column: str, text: str) -> None:
        super().__init__(file, line, column, text)
        self.where = f"{file}, line {line}"
        self.what = f'{column} holds "{text}", which is no finite number.'


class UnevenTimesError(CaptureError):
    """Samples that do not follow one another evenly."""

    do = "Export at one fixed rate, without gaps; times are in seconds."

    def __init__(self, file: str, line: int, step_s: float, usual_s: float) -> None:
        super().__init__(file, line, step_s, usual_s)
        self.where = f"{file}, line {line}"
        self.what = f"This sample comes {step_s:g} s after the one before it, where {usual_s:g} s are usual."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CopSeries:
    """A CoP series: (T, 2) millimetres at one rate."""

    cop_mm: FloatArray
    rate_hz: float
    name: str


def read_cop_series(path: Path, columns: tuple[str, str, str], unit: LengthUnit) -> CopSeries:
    """Read time and both coordinates.

    Parameters
    ----------
    path
        Text table, with or without a heading.
    columns
        Time in seconds, x, y: headings, or numbers counted from 1.
    unit
        Unit of x and y.

    Raises
    ------
    CaptureError
        When the file, a column, a value or the times are not what they should be; a class each.
    """
    table, rate = read_columns(read_bytes(path), columns, file=path.name)
    return CopSeries(cop_mm=table[:, 1:] * _TO_MM[unit], rate_hz=rate, name=path.name)


def read_columns(raw: bytes, columns: Sequence[str], *, file: str) -> tuple[FloatArray, float]:
    """Columns of a table whose first one is an even time in seconds, (T, len(columns)), and their rate.

    Parameters
    ----------
    raw
        Text table, with or without a heading.
    columns
        Headings, or numbers counted from 1; the first is the time.
    file
        Its name for messages.

    Raises
    ------
    CaptureError
        As `read_cop_series`.
    """
    lines = text_lines(raw, file=file)
    delimiter = _delimiter(lines[0])
    heading = _split(lines[0], delimiter)
    headed = not all(map(_is_number, heading))
    at = [_column(file, name, heading, headed=headed) for name in columns]
    first = 1 if headed else 0
    numbered = [(i + 1, line) for i, line in enumerate(lines[first:], first) if line.strip()]
    table = _numbers(file, numbered, delimiter, at, columns)
    return table, _rate_hz(file, table[:, 0], [line for line, _ in numbered])


def _delimiter(line: str) -> str | None:
    return next((sign for sign in ("\t", ";", ",") if sign in line), None)


def _split(line: str, delimiter: str | None) -> list[str]:
    return [part.strip().strip('"') for part in line.split(delimiter)]


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _column(file: str, name: str, heading: list[str], *, headed: bool) -> int:
    if headed and name in heading:
        return heading.index(name)
    if name.isdecimal() and 1 <= int(name) <= len(heading):
        return int(name) - 1
    there = heading if headed else [str(i) for i in range(1, len(heading) + 1)]
    raise ColumnMissingError(file, name, tuple(there))


def _numbers(
    file: str,
    numbered: list[tuple[int, str]],
    delimiter: str | None,
    at: list[int],
    columns: Sequence[str],
) -> FloatArray:
    table = np.empty((len(numbered), len(at)))
    for row, (line, text) in enumerate(numbered):
        parts = _split(text, delimiter)
        if len(parts) <= max(at):
            if row == len(numbered) - 1 and row > 0:
                raise CutFileError(file, f"its last line has {len(parts)} columns")
            raise BadCellError(file, line, columns[at.index(max(at))], "")
        for k, column in enumerate(at):
            value = float(parts[column]) if _is_number(parts[column]) else math.nan
            if not math.isfinite(value):
                raise BadCellError(file, line, columns[k], parts[column][:40])
            table[row, k] = value
    return table


def _rate_hz(file: str, times: FloatArray, lines: list[int]) -> float:
    """Samples a second; uneven times are refused."""
    steps = np.diff(times)
    if not len(steps):
        return 1.0  # one sample: whoever measures it says that this is too short
    usual = float(np.median(steps))
    wrong = np.flatnonzero(np.abs(steps - usual) > _UNEVEN * abs(usual)) if usual > 0.0 else np.array([0])
    if len(wrong):
        k = int(wrong[0])
        raise UnevenTimesError(file, lines[k + 1], float(steps[k]), usual)
    return float(len(steps) / (times[-1] - times[0]))
