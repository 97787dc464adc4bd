"""Practice between visits, and pairs with a held load, from CSV files."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

from evenground.capture.csv_table import Columns, Row, TableCellError, read_table, table_bytes
from evenground.capture.fields import Typed, UnreadableFieldError, checked
from evenground.capture.routine_tables import HeldLoadTable, PracticeTable
from evenground.visit import AimPractice, HeldLoadPair

__all__ = [
    "HELD_LOAD_COLUMNS",
    "PRACTICE_COLUMNS",
    "held_load_tables",
    "practice_tables",
    "read_held_loads",
    "read_practice",
]

PRACTICE_COLUMNS = Columns(needed=("day", "distance_m", "gate_mm", "rolled", "passed"), optional=("entry",))
HELD_LOAD_COLUMNS = Columns(
    needed=("load_kg", "load_ahead_mm"),
    optional=(
        "pair",
        "load_ahead_se_mm",
        "without_mm",
        "with_mm",
        "without_recording",
        "with_recording",
    ),
)
WORDS = ("without_recording", "with_recording")
COUNTS = ("entry", "pair", "rolled")

T = TypeVar("T", bound=Typed)


def practice_tables(path: Path) -> tuple[PracticeTable, ...]:
    """Lines of a practice sheet: `day` as 2026-05-09, `distance_m`, `gate_mm`, `rolled`, `passed`.

    Raises
    ------
    CaptureError
        One of `csv_table`'s classes, `MissingFileError` or `UnreadableFieldError`, with line and column.
    """
    rows = read_table(table_bytes(path, PRACTICE_COLUMNS), PRACTICE_COLUMNS, file=path.name)
    return tuple(_checked(PracticeTable, row, {"entry": n} | _cells(row)) for n, row in enumerate(rows, 1))


def held_load_tables(path: Path) -> tuple[HeldLoadTable, ...]:
    """Pairs without and with the mass: `load_kg`, `load_ahead_mm`, and `without_mm`, `with_mm` or recordings.

    Raises
    ------
    CaptureError
        As `practice_tables`.
    """
    rows = read_table(table_bytes(path, HELD_LOAD_COLUMNS), HELD_LOAD_COLUMNS, file=path.name)
    return tuple(_checked(HeldLoadTable, row, {"pair": n} | _cells(row)) for n, row in enumerate(rows, 1))


def read_practice(path: Path) -> tuple[AimPractice, ...]:
    """The practice sheet of a file; errors as `practice_tables`."""
    return tuple(AimPractice(**dict(t)) for t in practice_tables(path))


def read_held_loads(path: Path) -> tuple[HeldLoadPair, ...]:
    """The pairs of a file; errors as `held_load_tables`."""
    return tuple(HeldLoadPair(**dict(t)) for t in held_load_tables(path))


def _cells(row: Row) -> dict[str, Any]:
    """What stands in a line's filled cells, as its column holds it."""
    return {name: _cell(row, name) for name, typed in row.cells.items() if typed}


def _cell(row: Row, column: str) -> Any:
    if column in WORDS:
        return row.text(column)
    if column in COUNTS:
        return row.count(column)
    if column == "passed":
        return 0 if row.text(column) == "0" else row.count(column, "a whole number from 0")
    if column == "day":
        return _day(row, column)
    return row.number(column, "a number with a point in decimals")


def _day(row: Row, column: str) -> date:
    try:
        return date.fromisoformat(row.text(column))
    except ValueError as exc:
        allowed = "a date such as 2026-05-09"
        raise TableCellError(row.file, row.line, column, row.text(column), allowed) from exc


def _checked(table: type[T], row: Row, cells: Mapping[str, Any]) -> T:
    try:
        return checked(table, cells, file=f"{row.file}, line {row.line}")
    except UnreadableFieldError as exc:
        if exc.what == "This is missing.":  # an empty cell of a column that is there
            column = exc.where.rpartition(", ")[2]
            raise TableCellError(row.file, row.line, column, "", "something in this cell") from exc
        raise
