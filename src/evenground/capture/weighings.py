"""Total forces with body masses as CSV."""

import csv
import io
import math
from dataclasses import dataclass
from pathlib import Path

from evenground.capture.fields import MissingFileError
from evenground.errors import CaptureError
from evenground.measure.weighing import Weighing

__all__ = ["WeighedRow", "WeighingCellError", "WeighingColumnsError", "load_weighings"]

_NEEDED = ("person", "stood_on", "force_n", "mass_kg")
_OPTIONAL = ("left_n", "right_n", "empty_n", "worn_kg")
_MOST_ROWS = 100_000


class WeighingColumnsError(CaptureError):
    """A table without the columns that it needs, or with others."""

    do = f"Name in the first line {', '.join(_NEEDED)}, and where you have them {', '.join(_OPTIONAL)}."

    def __init__(self, file: str, what: str) -> None:
        super().__init__(file, what)
        self.where, self.what = file, what


class WeighingCellError(CaptureError):
    """A cell that is no number, or an impossible one."""

    do = "Give newtons and kilograms with a point in decimals; a force and a mass are over zero."

    def __init__(self, file: str, line: int, column: str, text: str) -> None:
        super().__init__(file, line, column, text)
        self.where = f"{file}, line {line}, {column}"
        self.what = f'"{text}" cannot be used.'


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighedRow:
    """One row: the weighing, and the force under each foot where it was given."""

    weighing: Weighing
    left_n: float | None = None
    right_n: float | None = None


def load_weighings(path: Path) -> tuple[WeighedRow, ...]:
    """Read a table of weighings.

    Raises
    ------
    MissingFileError, WeighingColumnsError, WeighingCellError
        With the file, the line and the column.
    """
    try:
        text = path.read_text("utf-8-sig")
    except OSError as exc:
        raise MissingFileError(path.name, (exc.strerror or "unknown reason").lower()) from exc
    except UnicodeDecodeError as exc:
        raise WeighingColumnsError(path.name, "This is not UTF-8 text.") from exc
    delimiter = ";" if ";" in text.split("\n", 1)[0] else ","
    reader = csv.DictReader(io.StringIO(text), delimiter=delimiter, restkey="more")
    _check_columns(path.name, [name.strip() for name in reader.fieldnames or ()])
    rows = []
    for row in reader:
        clean = {str(k).strip(): v.strip() if isinstance(v, str) else "" for k, v in row.items()}
        if any(clean.values()):
            rows.append(_row(path.name, reader.line_num, clean))
        if len(rows) > _MOST_ROWS:
            raise WeighingColumnsError(path.name, f"There are more than {_MOST_ROWS} rows.")
    return tuple(rows)


def _check_columns(file: str, names: list[str]) -> None:
    missing = [n for n in _NEEDED if n not in names]
    unknown = [n for n in names if n not in (*_NEEDED, *_OPTIONAL)]
    if missing:
        raise WeighingColumnsError(file, f"There is no column {', '.join(missing)}.")
    if unknown or len(set(names)) != len(names):
        raise WeighingColumnsError(
            file, f"A column is not known or there twice: {', '.join(unknown or names)}."
        )


def _row(file: str, line: int, row: dict[str, str]) -> WeighedRow:
    def number(column: str, *, least: float) -> float | None:
        text = row.get(column, "")
        if not text and column in _OPTIONAL:
            return None
        try:
            value = float(text)
        except ValueError as exc:
            raise WeighingCellError(file, line, column, text) from exc
        if not (math.isfinite(value) and value > least):
            raise WeighingCellError(file, line, column, text)
        return value

    nothing = -math.inf
    weighing = Weighing(
        force_n=number("force_n", least=0.0) or 0.0,
        mass_kg=number("mass_kg", least=0.0) or 0.0,
        person=row["person"] or "the player",
        stood_on=row["stood_on"] or "the mat",
        empty_n=number("empty_n", least=nothing),
        worn_kg=number("worn_kg", least=nothing) or 0.0,
    )
    left, right = number("left_n", least=nothing), number("right_n", least=nothing)
    return WeighedRow(weighing=weighing, left_n=left, right_n=right)
