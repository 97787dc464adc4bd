"""Turns from a CSV file."""

from pathlib import Path

from evenground.capture.csv_table import (
    Columns,
    Row,
    TableCellError,
    TableColumnsError,
    read_table,
    table_bytes,
)
from evenground.capture.sized_cells import angle_deg, length_mm, one_of, yes_or_no
from evenground.visit import TurnPart, TurnReading

__all__ = ["TURN_COLUMNS", "read_turns"]

TURN_COLUMNS = Columns(
    needed=("toward", "turn_deg"),
    optional=("part", "width_mm", "width", "trunk_deg", "knee_flex_deg", "stopped_by_pain"),
)
PARTS: tuple[TurnPart, ...] = ("trunk", "pelvis")
WIDTH = "a stance width over 50 and under 1500 mm"


def read_turns(path: Path) -> tuple[TurnReading, ...]:
    """Turns in the order of the file.

    Parameters
    ----------
    path
        CSV in UTF-8, columns named in the first line in any order: `toward` lead or trail, `turn_deg`; if
        wanted `part` trunk or pelvis, the stance of each turn (`width_mm`, or `width` with its unit,
        `trunk_deg`, `knee_flex_deg`), and `stopped_by_pain` yes or no.

    Raises
    ------
    CaptureError
        One of `csv_table`'s classes or `MissingFileError`, with file, line, column, value, what is allowed.
    """
    rows = read_table(table_bytes(path, TURN_COLUMNS), TURN_COLUMNS, file=path.name)
    if {"width_mm", "width"} <= set(rows[0].cells):
        raise TableColumnsError(path.name, ("width_mm", "width"), "one of width_mm and width")
    return tuple(_turn(row) for row in rows)


def _turn(row: Row) -> TurnReading:
    return TurnReading(
        toward=one_of(row, "toward", ("lead", "trail")),
        turn_deg=angle_deg(row, "turn_deg", low=0.0, high=180.0),
        stopped_by_pain=yes_or_no(row, "stopped_by_pain") or False,
        part=one_of(row, "part", PARTS, usual="trunk"),
        width_mm=_width(row),
        trunk_deg=angle_deg(row, "trunk_deg", low=-20.0, high=100.0) if row.text("trunk_deg") else None,
        knee_flex_deg=angle_deg(row, "knee_flex_deg", low=-20.0, high=120.0)
        if row.text("knee_flex_deg")
        else None,
    )


def _width(row: Row) -> float | None:
    column = next((c for c in ("width_mm", "width") if row.text(c)), None)
    if column is None:
        return None
    width = row.number(column, WIDTH) if column == "width_mm" else length_mm(row, column)
    if not 50.0 < width < 1500.0:
        raise TableCellError(row.file, row.line, column, row.text(column), WIDTH)
    return width
