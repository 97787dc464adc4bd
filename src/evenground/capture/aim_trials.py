"""Aims from a CSV file: trial, where the face pointed in one of three ways and, if wanted, condition."""

from pathlib import Path

from evenground.capture.csv_table import Columns, Row, TableCellError, read_table, table_bytes
from evenground.capture.sized_cells import angle_deg, length_mm
from evenground.visit import AimTrial, FullSwingAim

__all__ = ["AIM_COLUMNS", "read_aims", "read_putts_and_swings"]

LENGTHS = ("offset_mm", "dot_mm")
WAYS = (*LENGTHS, "offset", "dot", "face_deg")
AIM_COLUMNS = Columns(needed=("trial",), optional=(*WAYS, "condition", "club", "target_m"))
FAR = "metres to the target, over 10 and under 400"
NO_DOT = ("dot_mm", "dot")


def read_aims(path: Path) -> tuple[AimTrial, ...]:
    """Aims in the order of the file.

    Parameters
    ----------
    path
        CSV in UTF-8, columns named in the first line in any order. `offset_mm` and `dot_mm` are + right of
        the target as seen from behind the ball; `offset` and `dot` are the same with a unit of their own;
        `face_deg` is + open. Each line has one of them. Without a `condition` it is *as arrived*. Lines with
        a `club` are full-swing aims and left out.

    Raises
    ------
    CaptureError
        One of `csv_table`'s classes or `MissingFileError`, with file, line, column, value, what is allowed.
    """
    return read_putts_and_swings(path)[0]


def read_putts_and_swings(path: Path) -> tuple[tuple[AimTrial, ...], tuple[FullSwingAim, ...]]:
    """Aims at the hole, and those of lines with a `club`, at a target `target_m` away.

    Parameters
    ----------
    path
        As in `read_aims`.

    Raises
    ------
    CaptureError
        As in `read_aims`.
    """
    trials: list[AimTrial] = []
    swings: list[FullSwingAim] = []
    for row in read_table(table_bytes(path, AIM_COLUMNS), AIM_COLUMNS, file=path.name):
        club = row.text("club")
        if club:
            swings.append(_swing(row, club, [s.trial for s in swings if s.club == club]))
        else:
            trials.append(_trial(row, [t.trial for t in trials]))
    return tuple(trials), tuple(swings)


def _trial(row: Row, before: list[int]) -> AimTrial:
    number = _number(row, before)
    return AimTrial(trial=number, condition=row.text("condition", "as arrived"), **_aim(row, _way(row, WAYS)))


def _swing(row: Row, club: str, before: list[int]) -> FullSwingAim:
    far = row.number("target_m", FAR)
    if not 10.0 < far < 400.0:
        raise TableCellError(row.file, row.line, "target_m", row.text("target_m"), FAR)
    way = _way(row, tuple(w for w in WAYS if w not in NO_DOT))
    return FullSwingAim(trial=_number(row, before), club=club, target_m=far, **_aim(row, way))


def _number(row: Row, before: list[int]) -> int:
    allowed = "a whole number from 1, each number once"
    number = row.count("trial", allowed)
    if number in before:
        raise TableCellError(row.file, row.line, "trial", row.text("trial"), allowed)
    return number


def _way(row: Row, ways: tuple[str, ...]) -> str:
    """The one way in which an aim was read."""
    given = [way for way in WAYS if row.text(way)]
    if len(given) == 1 and given[0] in ways:
        return given[0]
    wrong = given[-1] if given else next((w for w in ways if w in row.cells), ways[0])
    raise TableCellError(row.file, row.line, wrong, row.text(wrong), f"one of {', '.join(ways)} a line")


def _aim(row: Row, way: str) -> dict[str, float]:
    if way in LENGTHS:
        return {way: row.number(way, "millimetres at the target, + right, such as -12.5")}
    if way == "face_deg":
        return {way: angle_deg(row, way)}
    return {f"{way}_mm": length_mm(row, way)}
