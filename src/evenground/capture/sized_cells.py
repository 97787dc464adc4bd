"""Cells of a table that hold a size, a word of a few, or yes or no."""

from collections.abc import Sequence
from typing import TypeVar

from evenground.capture.csv_table import Row, TableCellError
from evenground.errors import EvengroundError
from evenground.units import parse_angle_deg, parse_length_mm

__all__ = ["angle_deg", "length_mm", "one_of", "yes_or_no"]

Word = TypeVar("Word", bound=str)


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


def angle_deg(row: Row, column: str, *, low: float = -45.0, high: float = 45.0) -> float:
    """An angle in degrees from `low` to `high`, with or without its sign for degrees.

    Raises
    ------
    TableCellError
        When the cell is no such angle.
    """
    typed, allowed = row.text(column), f"degrees from {low:g} to {high:g}"
    try:
        found = parse_angle_deg(typed, field=column, default_unit="deg", signed=True)
    except EvengroundError as exc:
        raise TableCellError(row.file, row.line, column, typed, allowed) from exc
    if not low <= found <= high:
        raise TableCellError(row.file, row.line, column, typed, allowed)
    return found


def one_of(row: Row, column: str, words: Sequence[Word], *, usual: Word | None = None) -> Word:
    """One of a few words; `usual` for an empty cell where there is one.

    Raises
    ------
    TableCellError
        For any other word.
    """
    typed = row.text(column).lower()
    if not typed and usual is not None:
        return usual
    for word in words:
        if typed == word:
            return word
    raise TableCellError(
        row.file, row.line, column, row.text(column), f"{', '.join(words[:-1])} or {words[-1]}"
    )


def yes_or_no(row: Row, column: str) -> bool | None:
    """Yes or no; None for an empty cell.

    Raises
    ------
    TableCellError
        For anything else.
    """
    if not row.text(column):
        return None
    return one_of(row, column, ("yes", "no")) == "yes"
