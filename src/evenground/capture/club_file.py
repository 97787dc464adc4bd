"""Own clubs as they are typed: the ``[[own_clubs]]`` entries of `visit.toml`, and lists of clubs alone."""

import csv
import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from evenground.capture.fields import Short, Typed, checked, read_toml
from evenground.capture.text import read_bytes, text_lines
from evenground.errors import CaptureError
from evenground.visit import Family, Glove, GripStyle, OwnClub

__all__ = ["ClubList", "ClubTwiceError", "NoClubsError", "OwnClubTable", "club_tables", "read_clubs"]

MOST_CLUBS = 200


class NoClubsError(CaptureError):
    """A club list without a club."""

    do = "Write one club a line below the column names, or one [[own_clubs]] entry a club."

    def __init__(self, file: str) -> None:
        super().__init__(file)
        self.where = file
        self.what = "There is no club in the file."


class ClubTwiceError(CaptureError):
    """Two lines with the same mark."""

    do = "Give each club a mark of its own."

    def __init__(self, file: str, mark: str, line: int, other_line: int) -> None:
        super().__init__(file, mark, line, other_line)
        self.where = f"{file} line {line}, mark"
        self.what = f'The mark "{mark[:60]}" already stands in line {other_line}.'


class OwnClubTable(Typed):
    """One ``[[own_clubs]]`` entry; leave the butt out when it was not measured."""

    mark: Short
    family: Family
    length_mm: Annotated[float, Field(gt=400, lt=1600)] | None = None
    length_method: Short | None = None
    lie_deg: Annotated[float, Field(gt=40, lt=90)] | None = None
    butt_upper_mm: Annotated[float, Field(gt=8, lt=30)] | None = None
    butt_lower_mm: Annotated[float, Field(gt=8, lt=30)] | None = None
    grip_upper_mm: Annotated[float, Field(gt=12, lt=60)] | None = None
    grip_lower_mm: Annotated[float, Field(gt=12, lt=60)] | None = None
    upper_station_mm: Annotated[float, Field(gt=10, lt=600)] = 50.8
    lower_station_mm: Annotated[float, Field(gt=10, lt=900)] = 152.4
    total_mass_g: Annotated[float, Field(gt=150, lt=1200)] | None = None
    balance_mm: Annotated[float, Field(gt=100, lt=1300)] | None = None
    grip_mass_g: Annotated[float, Field(gt=10, lt=300)] | None = None
    grip_style: GripStyle = "usual"
    glove: Glove | None = None
    grip: Short | None = None
    grip_shape: Literal["round", "not round"] | None = None
    grip_length_mm: Annotated[float, Field(gt=50, lt=1000)] | None = None
    grip_widest_mm: Annotated[float, Field(gt=12, lt=80)] | None = None
    lean_deg: Annotated[float, Field(gt=-45, lt=45)] | None = None
    cap_height_mm: Annotated[float, Field(gt=300, lt=1600)] | None = None
    ball_inside_lead_heel_mm: Annotated[float, Field(gt=-300, lt=700)] | None = None
    ball_from_toe_line_mm: Annotated[float, Field(gt=-100, lt=1500)] | None = None
    counterweight_g: Annotated[float, Field(gt=0, lt=300)] | None = None
    counterweight_at_mm: Annotated[float, Field(ge=0, lt=1300)] | None = None
    glove_mm: Annotated[float, Field(gt=0, lt=3)] | None = None


class ClubList(Typed):
    """A file of clubs alone: nothing but ``[[own_clubs]]``."""

    own_clubs: Annotated[tuple[OwnClubTable, ...], Field(max_length=MOST_CLUBS)] = ()

    @model_validator(mode="after")
    def _marks_once(self) -> Self:
        marks = [c.mark for c in self.own_clubs]
        twice = next((m for m in marks if marks.count(m) > 1), None)
        if twice is not None:
            msg = f"The mark {twice} stands {marks.count(twice)} times; each club needs its own"
            raise ValueError(msg)
        return self


def read_clubs(path: Path) -> tuple[OwnClub, ...]:
    """The clubs of a TOML or CSV file, in its order. Errors as in `club_tables`."""
    return tuple(OwnClub(**dict(table)) for table in club_tables(path))


def club_tables(path: Path) -> tuple[OwnClubTable, ...]:
    """The entries of a club list.

    Parameters
    ----------
    path
        TOML with ``[[own_clubs]]`` entries; or CSV in UTF-8, comma or semicolon between the cells, the keys
        of such an entry in its first line (``length_mm`` with numbers, or ``length`` with text like
        ``37 in``), empty cells for what was not measured.

    Raises
    ------
    CaptureError
        With file, line, column and what is allowed.
    """
    raw = read_bytes(path)
    lines = text_lines(raw, file=path.name)
    if any(line.lstrip().startswith("[[own_clubs") for line in lines):
        found = read_toml(raw, ClubList, file=path.name).own_clubs
    else:
        found = tuple(_csv_clubs(path.name, lines))
    if not found:
        raise NoClubsError(path.name)
    return found


def _csv_clubs(file: str, lines: list[str]) -> Iterator[OwnClubTable]:
    delimiter = ";" if ";" in lines[0] and "," not in lines[0] else ","
    rows = [(n, [c.strip() for c in row]) for n, row in enumerate(csv.reader(lines, delimiter=delimiter), 1)]
    filled = [(n, row) for n, row in rows if any(row)]
    names = [name.lower() for name in filled[0][1]]
    seen: dict[str, int] = {}
    for number, row in filled[1 : MOST_CLUBS + 1]:
        table = checked(OwnClubTable, _entry(names, row), file=f"{file} line {number}")
        if table.mark in seen:
            raise ClubTwiceError(file, table.mark, number, seen[table.mark])
        seen[table.mark] = number
        yield table


def _entry(names: list[str], row: list[str]) -> Mapping[str, Any]:
    """A line as TOML would have it: numbers under keys with a unit, words elsewhere, nothing empty."""
    cells = {name: cell for name, cell in zip(names, row, strict=False) if cell}
    extra = {f"cell {i + 1}": cell for i, cell in enumerate(row) if i >= len(names) and cell}
    fields = OwnClubTable.model_fields
    numbers = {n for n in cells if n in fields and n.rpartition("_")[2] in ("mm", "deg", "g")}
    return {n: _number(cell) if n in numbers else cell for n, cell in (cells | extra).items()}


def _number(cell: str) -> Any:
    """A number where there is one; other text stays, and is refused with what is allowed."""
    try:
        value = json.loads(cell)
    except ValueError:
        return cell
    return value if isinstance(value, int | float) and not isinstance(value, bool) else cell
