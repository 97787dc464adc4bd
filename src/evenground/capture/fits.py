"""Confirmed fits from a CSV file: which hand of which player kept which diameter."""

from pathlib import Path
from typing import Literal, cast

from evenground.capture.csv_table import Columns, Row, TableCellError, read_table, table_bytes
from evenground.fit.grip_model import ConfirmedFit

__all__ = ["FITS", "fits_from", "read_fits"]

FITS = Columns(needed=("player", "hand", "length_mm", "finger_mm", "diameter_mm"))

LIMITS_MM = {"length_mm": (100.0, 260.0), "finger_mm": (35.0, 120.0), "diameter_mm": (12.0, 60.0)}
"""What no hand and no grip is beyond: another unit, or a slip."""


def read_fits(path: Path) -> tuple[ConfirmedFit, ...]:
    """Confirmed fits in the order of the file.

    Parameters
    ----------
    path
        CSV: `player` tells players apart (any text), `hand` is upper or lower, `finger_mm` is hand length
        less palm length, `diameter_mm` the grip's outside where that hand sits.

    Raises
    ------
    CaptureError
        With file, line, what was found and what is allowed.
    """
    return fits_from(table_bytes(path, FITS), file=path.name)


def fits_from(raw: bytes, *, file: str) -> tuple[ConfirmedFit, ...]:
    """The same from the content of the file."""
    return tuple(_fit(row) for row in read_table(raw, FITS, file=file))


def _fit(row: Row) -> ConfirmedFit:
    hand, player = row.text("hand").lower(), row.text("player")
    if hand not in ("upper", "lower"):
        raise TableCellError(row.file, row.line, "hand", hand, "upper or lower")
    if not player:
        raise TableCellError(row.file, row.line, "player", player, "any text that tells players apart")
    sizes = {name: _size(row, name, *limits) for name, limits in LIMITS_MM.items()}
    return ConfirmedFit(player=player, hand=cast("Literal['upper', 'lower']", hand), **sizes)


def _size(row: Row, name: str, low: float, high: float) -> float:
    allowed = f"millimetres, {low:g} to {high:g}"
    size = row.number(name, allowed)
    if not low <= size <= high:
        raise TableCellError(row.file, row.line, name, row.text(name), allowed)
    return size
