"""A small table typed by people: CSV with its columns named in the first line, cells known by place."""

import csv
import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from evenground.capture.fields import MissingFileError
from evenground.errors import CaptureError

__all__ = [
    "Columns",
    "NotATableError",
    "Row",
    "TableCellError",
    "TableColumnsError",
    "read_table",
    "table_bytes",
]

_MOST_BYTES = 1_000_000


class NotATableError(CaptureError):
    """A file or text that is no table."""

    def __init__(self, file: str, why: str, form: str) -> None:
        super().__init__(file, why, form)
        self.where = file
        self.what = f"There is no table to read: {why}."
        self.do = f"Give CSV text (UTF-8) with the columns {form}."


class TableColumnsError(CaptureError):
    """A first line that does not name the columns."""

    def __init__(self, file: str, found: tuple[str, ...], form: str) -> None:
        super().__init__(file, found, form)
        self.where = f"{file} line 1"
        self.what = f"The columns do not fit (found: {', '.join(c[:30] for c in found) or 'none'})."
        self.do = f"Name the columns in the first line: {form}."


class TableCellError(CaptureError):
    """A cell that cannot be what its column asks for."""

    def __init__(self, file: str, line: int, column: str, value: str, allowed: str) -> None:
        super().__init__(file, line, column, value, allowed)
        self.where = f"{file} line {line}, {column}"
        self.what = f"{value[:40]!r} is not allowed here." if value else "The value is missing."
        self.do = f"Give {allowed}."


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """The columns of a table: those it must have, and those it may."""

    needed: tuple[str, ...]
    optional: tuple[str, ...] = ()

    @property
    def form(self) -> str:
        """The columns in words."""
        more = f" and, if wanted, {', '.join(self.optional)}" if self.optional else ""
        return f"{','.join(self.needed)}{more}"


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a table: where it stood, and its cells by column, empty ones included."""

    file: str
    line: int
    cells: dict[str, str]

    def text(self, column: str, usual: str = "") -> str:
        """The words in a cell; `usual` where there are none."""
        return self.cells.get(column, "") or usual

    def number(self, column: str, allowed: str) -> float:
        """The finite number in a cell, with a point or, where no comma parts the cells, a comma."""
        typed = self.cells.get(column, "")
        try:
            value = float(typed.replace(",", "."))
        except ValueError:
            value = math.nan
        if not math.isfinite(value):
            raise TableCellError(self.file, self.line, column, typed, allowed)
        return value

    def count(self, column: str, allowed: str = "a whole number from 1") -> int:
        """The whole number from 1 in a cell."""
        typed = self.cells.get(column, "")
        if not (typed.isascii() and typed.isdigit() and len(typed) < 7 and int(typed) > 0):
            raise TableCellError(self.file, self.line, column, typed, allowed)
        return int(typed)


def table_bytes(path: Path, columns: Columns) -> bytes:
    """The content of a table's file.

    Raises
    ------
    MissingFileError, NotATableError
        When it cannot be read, or is larger than any typed table.
    """
    try:
        with path.open("rb") as stream:
            raw = stream.read(_MOST_BYTES + 1)
    except OSError as exc:
        raise MissingFileError(path.name, (exc.strerror or "unknown reason").lower()) from exc
    if len(raw) > _MOST_BYTES:
        raise NotATableError(path.name, f"it is larger than {_MOST_BYTES // 1_000_000} MB", columns.form)
    return raw


def read_table(raw: bytes, columns: Columns, *, file: str) -> list[Row]:
    """The filled lines of a table, in their order.

    Parameters
    ----------
    raw
        UTF-8 with or without a mark; comma, semicolon or tab between the cells; column names in the first
        line in any order.
    columns
        What the table must and may hold.
    file
        Its name, for the messages.

    Raises
    ------
    NotATableError, TableColumnsError, TableCellError
        With file, line, what was found and what is allowed.
    """
    text = _text(raw, columns, file)
    first = text.lstrip("\r\n").partition("\n")[0]
    delimiter = next((d for d in "\t;" if d in first and "," not in first), ",")
    try:
        rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
        lines = [(rows.line_num, [cell.strip() for cell in row]) for row in rows]
    except csv.Error as exc:
        raise NotATableError(file, "it is not made of cells and lines", columns.form) from exc
    filled = [(number, row) for number, row in lines if any(row)]
    if not filled:
        raise NotATableError(file, "it is empty", columns.form)
    names = _names(filled[0][1], columns, file)
    if not filled[1:]:
        raise NotATableError(file, "there is no line below the column names", columns.form)
    return [_row(file, number, names, row) for number, row in filled[1:]]


def _text(raw: bytes, columns: Columns, file: str) -> str:
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as exc:
        raise NotATableError(file, "it is not text in UTF-8", columns.form) from exc
    if "\0" in text:
        raise NotATableError(file, "it is not text", columns.form)
    return text


def _names(header: Sequence[str], columns: Columns, file: str) -> list[str]:
    names = [name.lower().replace(" ", "_") for name in header]
    allowed = {*columns.needed, *columns.optional}
    if not set(columns.needed) <= set(names) <= allowed or len(set(names)) < len(names):
        raise TableColumnsError(file, tuple(n for n in names if n), columns.form)
    return names


def _row(file: str, line: int, names: Sequence[str], row: Sequence[str]) -> Row:
    if len(row) > len(names) and any(row[len(names) :]):
        allowed = f"{len(names)} cells a line, with a point in decimals"
        raise TableCellError(file, line, "cells", f"{len(row)} cells", allowed)
    padded = [*row, *[""] * (len(names) - len(row))][: len(names)]
    return Row(file, line, dict(zip(names, padded, strict=True)))
