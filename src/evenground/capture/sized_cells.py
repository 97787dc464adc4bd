"""Cells of a table that hold a size: as a number in the column's unit, or as text with a unit of its own."""

from evenground.capture.csv_table import Row, TableCellError
from evenground.errors import EvengroundError
from evenground.units import parse_angle_deg, parse_length_mm

__all__ = ["angle_deg", "length_mm"]


def length_mm(row: Row, column: str) -> float:
    """A length with its unit, such as ``1 1/4 in``, in millimetres; may be negative.

    Raises
    ------
    TableCellError
        When the cell is no length with a unit.
    """
    typed = row.text(column)
    try:
        return parse_length_mm(typed, field=column, signed=True)
    except EvengroundError as exc:
        allowed = "a length with its unit, such as 12 mm or 1/2 in"
        raise TableCellError(row.file, row.line, column, typed, allowed) from exc


def angle_deg(row: Row, column: str) -> float:
    """An angle in degrees, with or without its sign for degrees.

    Raises
    ------
    TableCellError
        When the cell is no angle.
    """
    typed = row.text(column)
    try:
        return parse_angle_deg(typed, field=column, default_unit="deg", signed=True)
    except EvengroundError as exc:
        raise TableCellError(row.file, row.line, column, typed, "degrees, such as -1.5") from exc
