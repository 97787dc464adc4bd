"""Paired grip trials from a CSV file."""

from pathlib import Path

from evenground.capture.csv_table import Columns, Row, read_table, table_bytes
from evenground.capture.sized_cells import angle_deg, one_of, yes_or_no
from evenground.visit import GripHand, GripTrial

__all__ = ["GRIP_COLUMNS", "read_grip_trials"]

KNEES = ("knee_flex_lead_deg", "knee_flex_trail_deg")
GRIP_COLUMNS = Columns(needed=("pair", "grip", "hip_line_deg"), optional=("club", "hand", *KNEES, "glove"))
HANDS: tuple[GripHand, ...] = ("both", "lead", "trail")


def read_grip_trials(path: Path) -> tuple[GripTrial, ...]:
    """Trials in the order of the file.

    Parameters
    ----------
    path
        CSV in UTF-8, columns named in the first line in any order: `pair` from 1, `grip` own or proposed,
        `hip_line_deg` + open; if wanted `club` (without it *club*), `hand` both, lead or trail, the bend of
        each knee, and `glove` yes or no.

    Raises
    ------
    CaptureError
        One of `csv_table`'s classes or `MissingFileError`, with file, line, column, value, what is allowed.
    """
    rows = read_table(table_bytes(path, GRIP_COLUMNS), GRIP_COLUMNS, file=path.name)
    return tuple(_trial(row) for row in rows)


def _trial(row: Row) -> GripTrial:
    knees = {name: _bend(row, name) for name in KNEES if row.text(name)}
    return GripTrial(
        pair=row.count("pair"),
        club=row.text("club", "club"),
        grip=one_of(row, "grip", ("own", "proposed")),
        hip_line_deg=angle_deg(row, "hip_line_deg", low=-90.0, high=90.0),
        hand=one_of(row, "hand", HANDS, usual="both"),
        knee_flex_lead_deg=knees.get(KNEES[0]),
        knee_flex_trail_deg=knees.get(KNEES[1]),
        glove=yes_or_no(row, "glove"),
    )


def _bend(row: Row, name: str) -> float:
    return angle_deg(row, name, low=-20.0, high=120.0)
