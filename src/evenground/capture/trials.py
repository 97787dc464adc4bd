"""Hip-line trials from a CSV file: trial, width_mm, hip_line_deg and, if wanted, their conditions."""

import csv
import io
import math
from pathlib import Path
from typing import cast, get_args

from evenground.errors import CaptureError
from evenground.visit import Family, Footwear, HandsAt, HipLineTrial, Phase

__all__ = [
    "MissingColumnError",
    "NoTrialsError",
    "TrialTwiceInFileError",
    "TrialValueError",
    "UnknownColumnError",
    "UnreadableTrialsError",
    "read_trials",
]

_NEEDED = ("trial", "width_mm", "hip_line_deg")
_OPTIONAL = ("family", "phase", "footwear", "hands", "toe_out_deg", "ball_mm")
_LAST_TRIAL = 9999
_ORDER = f"a whole number from 1 to {_LAST_TRIAL}"
_MOST_BYTES = 1_000_000  # a day's trials are a few kilobytes; a recording given by mistake is far larger


class UnreadableTrialsError(CaptureError):
    """A trials file that is missing or is not a text file."""

    do = "Give a CSV text file (UTF-8) with the columns trial, width_mm, hip_line_deg."

    def __init__(self, file: str, reason: str) -> None:
        super().__init__(file, reason)
        self.where = file
        self.what = f"The file {reason}."


class NoTrialsError(CaptureError):
    """A trials file without a single trial."""

    do = "Write one line a trial below the line of column names."

    def __init__(self, file: str) -> None:
        super().__init__(file)
        self.where = file
        self.what = "There is no trial in the file."


class MissingColumnError(CaptureError):
    """A column that must be there is not."""

    do = "Name the columns in the first line: trial,width_mm,hip_line_deg and, if wanted, family and phase."

    def __init__(self, file: str, missing: tuple[str, ...], found: tuple[str, ...]) -> None:
        super().__init__(file, missing, found)
        self.where = f"{file} line 1"
        columns = "The column " if len(missing) == 1 else "The columns "
        verb = " is missing" if len(missing) == 1 else " are missing"
        self.what = f"{columns}{', '.join(missing)}{verb} (found: {', '.join(found) or 'none'})."


class UnknownColumnError(CaptureError):
    """A column this file does not have."""

    do = f"Leave it out; the columns are {', '.join((*_NEEDED, *_OPTIONAL))}."

    def __init__(self, file: str, column: str) -> None:
        super().__init__(file, column)
        self.where = f"{file} line 1"
        self.what = f"The column {column!r} is not known or stands there twice."


class TrialValueError(CaptureError):
    """A cell that cannot be what its column asks for."""

    def __init__(self, file: str, line: int, column: str, value: str, allowed: str) -> None:
        super().__init__(file, line, column, value, allowed)
        self.where = f"{file} line {line}, {column}"
        self.what = f"{value!r} is not allowed here." if value else "The value is missing."
        self.do = f"Give {allowed}."


class TrialTwiceInFileError(CaptureError):
    """Two lines with the same trial number in one phase."""

    do = "Number the trials in the order they were taken, each number once in a phase."

    def __init__(self, file: str, number: int, line: int, other_line: int) -> None:
        super().__init__(file, number, line, other_line)
        self.where = f"{file} line {line}, trial"
        self.what = f"Trial {number} already stands in line {other_line}."


def read_trials(path: Path) -> tuple[HipLineTrial, ...]:
    """Trials in the order of the file.

    Parameters
    ----------
    path
        A CSV file in UTF-8, comma or semicolon between the cells; column names in the first line, in any
        order; empty lines are skipped. `family` is ``putter``, ``irons`` or ``woods``, empty for a trial that
        speaks for all; `phase` is ``before`` (also when empty), ``rested`` or ``after``. What else was
        varied is empty where it is as usual.

    Raises
    ------
    CaptureError
        One of this module's classes, with file, line, column, value and what is allowed.
    """
    name = path.name
    text = _text(path)
    first = text.split("\n", 1)[0]
    delimiter = ";" if ";" in first and "," not in first else ","
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        lines = [(rows.line_num, [cell.strip() for cell in row]) for row in rows]
    except csv.Error as exc:
        raise UnreadableTrialsError(name, "is not a table of commas and lines") from exc
    filled = [(number, row) for number, row in lines if any(row)]
    if not filled:
        raise NoTrialsError(name)
    columns = _columns(name, filled[0][1])
    trials: list[HipLineTrial] = []
    seen: dict[tuple[int, Phase], int] = {}
    for number, row in filled[1:]:
        trial = _trial(name, number, columns, row)
        key = (trial.trial, trial.phase)
        if key in seen:
            raise TrialTwiceInFileError(name, trial.trial, number, seen[key])
        seen[key] = number
        trials.append(trial)
    if not trials:
        raise NoTrialsError(name)
    return tuple(trials)


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise UnreadableTrialsError(path.name, f"is larger than {_MOST_BYTES // 1_000_000} MB")
        raw = path.read_bytes()
    except FileNotFoundError as exc:
        raise UnreadableTrialsError(path.name, "is not there") from exc
    except OSError as exc:
        raise UnreadableTrialsError(path.name, "cannot be opened") from exc
    if b"\0" in raw:
        raise UnreadableTrialsError(path.name, "is not text")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as exc:
        raise UnreadableTrialsError(path.name, "is not text in UTF-8") from exc


def _columns(file: str, header: list[str]) -> list[str]:
    names = [name.lower() for name in header]
    missing = tuple(n for n in _NEEDED if n not in names)
    if missing:
        raise MissingColumnError(file, missing, tuple(n for n in names if n))
    for i, column in enumerate(names):
        if column not in (*_NEEDED, *_OPTIONAL) or column in names[:i]:
            raise UnknownColumnError(file, column)
    return names


def _trial(file: str, line: int, columns: list[str], row: list[str]) -> HipLineTrial:
    if len(row) > len(columns):
        allowed = f"{len(columns)} cells, with a point in decimals"
        raise TrialValueError(file, line, "cells", f"{len(row)} cells", allowed)
    cells = dict(zip(columns, row + [""] * (len(columns) - len(row)), strict=True))

    def number(column: str, allowed: str) -> float:
        try:
            value = float(cells[column])
        except ValueError as exc:
            raise TrialValueError(file, line, column, cells[column], allowed) from exc
        if not math.isfinite(value):
            raise TrialValueError(file, line, column, cells[column], allowed)
        return value

    def maybe(column: str, allowed: str) -> float | None:
        return number(column, allowed) if cells.get(column) else None

    def word(column: str, words: tuple[str, ...]) -> str | None:
        value = cells.get(column, "").lower()
        if value and value not in words:
            raise TrialValueError(file, line, column, cells[column], f"one of {', '.join(words)}")
        return value or None

    order = number("trial", _ORDER)
    if order != int(order) or not 1 <= order <= _LAST_TRIAL:
        raise TrialValueError(file, line, "trial", cells["trial"], _ORDER)
    return HipLineTrial(
        trial=int(order),
        width_mm=number("width_mm", "heel centre to heel centre in mm, as a number such as 410"),
        hip_line_deg=number("hip_line_deg", "degrees, + open, as a number such as -1.5"),
        family=cast("Family | None", word("family", get_args(Family))),
        phase=cast("Phase", word("phase", get_args(Phase)) or "before"),
        footwear=cast("Footwear | None", word("footwear", get_args(Footwear))),
        hands=cast("HandsAt | None", word("hands", get_args(HandsAt))),
        toe_out_deg=maybe("toe_out_deg", "both feet's toe-out in degrees, such as 20"),
        ball_mm=maybe("ball_mm", "mm inside the lead heel centre, such as 120"),
    )
