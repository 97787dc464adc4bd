"""Aims from a CSV file: trial, where the face pointed in one of three ways and, if wanted, condition."""

from pathlib import Path

from evenground.capture.csv_table import Columns, Row, TableCellError, read_table, table_bytes
from evenground.capture.sized_cells import angle_deg, length_mm
from evenground.visit import AimTrial

__all__ = ["AIM_COLUMNS", "read_aims"]

LENGTHS = ("offset_mm", "dot_mm")
WAYS = (*LENGTHS, "offset", "dot", "face_deg")
AIM_COLUMNS = Columns(needed=("trial",), optional=(*WAYS, "condition"))


def read_aims(path: Path) -> tuple[AimTrial, ...]:
    """Aims in the order of the file.

    Parameters
    ----------
    path
        CSV in UTF-8, columns named in the first line in any order. `offset_mm` and `dot_mm` are + right of
        the target as seen from behind the ball; `offset` and `dot` are the same with a unit of their own;
        `face_deg` is + open. Each line has one of them. Without a `condition` it is *as arrived*.

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
    given = [way for way in WAYS if row.text(way)]
    if len(given) != 1:
        column = next((w for w in WAYS if w in row.cells), WAYS[0]) if not given else given[1]
        raise TableCellError(row.file, row.line, column, row.text(column), f"one of {', '.join(WAYS)} a line")
    return AimTrial(trial=number, condition=row.text("condition", "as arrived"), **_aim(row, given[0]))


def _aim(row: Row, way: str) -> dict[str, float]:
    if way in LENGTHS:
        return {way: row.number(way, "millimetres at the target, + right, such as -12.5")}
    if way == "face_deg":
        return {way: angle_deg(row, way)}
    return {f"{way}_mm": length_mm(row, way)}
