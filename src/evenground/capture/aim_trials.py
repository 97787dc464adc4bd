"""Aims from a CSV file: trial, offset_mm and, if wanted, condition."""

from pathlib import Path

from evenground.capture.csv_table import Columns, Row, TableCellError, read_table, table_bytes
from evenground.visit import AimTrial

__all__ = ["AIM_COLUMNS", "read_aims"]

AIM_COLUMNS = Columns(needed=("trial", "offset_mm"), optional=("condition",))


def read_aims(path: Path) -> tuple[AimTrial, ...]:
    """Aims in the order of the file.

    Parameters
    ----------
    path
        CSV in UTF-8, columns named in the first line in any order. `offset_mm` is + right of the target as
        seen from behind the ball; without a `condition` it is *as arrived*.

    Raises
    ------
    CaptureError
        One of `csv_table`'s classes or `MissingFileError`, with file, line, column, value, what is allowed.
    """
    trials: list[AimTrial] = []
    for row in read_table(table_bytes(path, AIM_COLUMNS), AIM_COLUMNS, file=path.name):
        trials.append(_trial(row, [t.trial for t in trials]))
    return tuple(trials)


def _trial(row: Row, before: list[int]) -> AimTrial:
    allowed = "a whole number from 1, each number once"
    number = row.count("trial", allowed)
    if number in before:
        raise TableCellError(row.file, row.line, "trial", row.text("trial"), allowed)
    offset = row.number("offset_mm", "millimetres at the target, + right, such as -12.5")
    return AimTrial(trial=number, offset_mm=offset, condition=row.text("condition", "as arrived"))
