"""Aims from a CSV file: trial, offset_mm and, if wanted, condition."""

import csv
import io
import math
from pathlib import Path

from evenground.capture.fields import MissingFileError
from evenground.errors import CaptureError
from evenground.visit import AimTrial

__all__ = ["AimCellError", "AimColumnsError", "NotAnAimFileError", "read_aims"]

_COLUMNS = ("trial", "offset_mm", "condition")
_MOST_BYTES = 1_000_000
_FORM = "trial,offset_mm and, if wanted, condition"


class NotAnAimFileError(CaptureError):
    """A file that is no table of aims."""

    do = f"Give a CSV text file (UTF-8) with the columns {_FORM}."

    def __init__(self, file: str, why: str) -> None:
        super().__init__(file, why)
        self.where = file
        self.what = f"This file holds no aims: {why}."


class AimColumnsError(CaptureError):
    """A first line that does not name the columns."""

    do = f"Name the columns in the first line: {_FORM}."

    def __init__(self, file: str, found: tuple[str, ...]) -> None:
        super().__init__(file, found)
        self.where = f"{file} line 1"
        self.what = f"The columns do not fit (found: {', '.join(c[:30] for c in found) or 'none'})."


class AimCellError(CaptureError):
    """A cell that cannot be what its column asks for."""

    def __init__(self, file: str, line: int, column: str, value: str, allowed: str) -> None:
        super().__init__(file, line, column, value, allowed)
        self.where = f"{file} line {line}, {column}"
        self.what = f"{value[:40]!r} is not allowed here." if value else "The value is missing."
        self.do = f"Give {allowed}."


def read_aims(path: Path) -> tuple[AimTrial, ...]:
    """Aims in the order of the file.

    Parameters
    ----------
    path
        CSV in UTF-8, comma or semicolon between the cells, columns named in the first line in any order.
        `offset_mm` is + right of the target as seen from behind the ball; without a `condition` it is
        *as arrived*.

    Raises
    ------
    CaptureError
        One of this module's classes or `MissingFileError`, with file, line, column, value, what is allowed.
    """
    text = _text(path)
    first = text.partition("\n")[0]
    delimiter = ";" if ";" in first and "," not in first else ","
    try:
        rows = [
            [c.strip() for c in r] for r in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
        ]
    except csv.Error as exc:
        raise NotAnAimFileError(path.name, "it is not a table of cells") from exc
    filled = [(i, row) for i, row in enumerate(rows, 1) if any(row)]
    if not filled:
        raise NotAnAimFileError(path.name, "it is empty")
    names = [c.lower() for c in filled[0][1]]
    if not {"trial", "offset_mm"} <= set(names) <= set(_COLUMNS) or len(set(names)) < len(names):
        raise AimColumnsError(path.name, tuple(names))
    if not filled[1:]:
        raise NotAnAimFileError(path.name, "there is no line below the column names")
    trials: list[AimTrial] = []
    for line, row in filled[1:]:
        trials.append(_trial(path.name, line, names, row, [t.trial for t in trials]))
    return tuple(trials)


def _text(path: Path) -> str:
    try:
        with path.open("rb") as stream:
            raw = stream.read(_MOST_BYTES + 1)
    except OSError as exc:
        raise MissingFileError(path.name, (exc.strerror or "unknown reason").lower()) from exc
    if len(raw) > _MOST_BYTES:
        raise NotAnAimFileError(path.name, f"it is larger than {_MOST_BYTES // 1_000_000} MB")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as exc:
        raise NotAnAimFileError(path.name, "it is not text in UTF-8") from exc
    if "\0" in text:
        raise NotAnAimFileError(path.name, "it is not text")
    return text


def _trial(file: str, line: int, names: list[str], row: list[str], before: list[int]) -> AimTrial:
    if len(row) > len(names):
        allowed = f"{len(names)} cells a line, with a point in decimals"
        raise AimCellError(file, line, "cells", f"{len(row)} cells", allowed)
    cells = dict(zip(names, row + [""] * (len(names) - len(row)), strict=True))
    allowed = "a whole number from 1, each number once"
    if not (cells["trial"].isascii() and cells["trial"].isdigit() and int(cells["trial"][:9]) > 0):
        raise AimCellError(file, line, "trial", cells["trial"], allowed)
    number = int(cells["trial"][:9])
    if number in before:
        raise AimCellError(file, line, "trial", cells["trial"], allowed)
    try:
        offset = float(cells["offset_mm"])
    except ValueError:
        offset = math.nan
    if not math.isfinite(offset):
        raise AimCellError(
            file, line, "offset_mm", cells["offset_mm"], "millimetres at the target, + right, such as -12.5"
        )
    return AimTrial(trial=number, offset_mm=offset, condition=cells.get("condition") or "as arrived")
