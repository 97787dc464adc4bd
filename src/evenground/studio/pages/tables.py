"""Pasted tables and CSV files: read by the readers of the command line, saved row by row."""

import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Annotated, Any
from uuid import UUID

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

from evenground.capture.aim_trials import read_putts_and_swings
from evenground.capture.club_file import club_tables
from evenground.capture.extra_trials import held_load_tables, practice_tables
from evenground.capture.toml_text import given
from evenground.capture.trials import read_trials
from evenground.capture.turn_trials import read_turns
from evenground.errors import CaptureError
from evenground.records.models import Visit
from evenground.studio.pages.saving import Sender, save_rows

__all__ = ["NoTableError", "SentTable", "UnreadableTableError", "save_table"]

Row = tuple[str, Mapping[str, Any]]
PASTED = "pasted table"


class NoTableError(CaptureError):
    """A table was sent to a check that takes none."""

    do = "Type the values into their fields."

    def __init__(self, check: str) -> None:
        super().__init__(check)
        self.where = check
        self.what = "This check takes no table."


class UnreadableTableError(CaptureError):
    """A table of which one line cannot be read; the line is said, for no field is there to stand at."""

    def __init__(self, where: str, what: str, do: str) -> None:
        super().__init__(where, what, do)
        self.what = f"{where}: {what}" if where else what
        self.do = do


class SentTable(BaseModel):
    """A table as it was pasted, or as its file holds it; the page says when, as with all that it sends."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    id: UUID
    at: AwareDatetime | None = None
    check: Annotated[str, Field(max_length=20)]
    text: Annotated[str, Field(max_length=200_000)]


def save_table(row: Visit, sent: SentTable, sender: Sender) -> int:
    """Save every row of a pasted table; gives how many were new.

    Raises
    ------
    CaptureError
        With the line and column that cannot be read; then nothing is saved.
    """
    reader = READERS.get(sent.check)
    if reader is None:
        raise NoTableError(sent.check)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / PASTED
        file.write_text(_commas(sent.text), "utf-8")
        try:
            rows = reader(file)
        except CaptureError as exc:
            where = exc.where.removeprefix(PASTED).strip()
            raise UnreadableTableError(where[:1].upper() + where[1:], exc.what, exc.do) from exc
    return save_rows(row, sent.id, rows, sender)


def _commas(text: str) -> str:
    """A table copied out of a spreadsheet has tabs between its cells."""
    plain = text.replace("\r\n", "\n").strip()
    return plain.replace("\t", ";" if "," in plain else ",") + "\n"


def _hip_line(file: Path) -> list[Row]:
    return [
        (
            "hip-line trial",
            {
                "width_mm": t.width_mm,
                "hip_line_deg": t.hip_line_deg,
                **({} if t.family is None else {"family": t.family}),
                "phase": t.phase,
            },
        )
        for t in read_trials(file)
    ]


def _aim(file: Path) -> list[Row]:
    putts, swings = read_putts_and_swings(file)
    rows: list[Row] = [("aim trial", given(t) | {"condition": t.condition}) for t in putts]
    return [*rows, *(("full-swing aim", given(s)) for s in swings)]


def _own_clubs(file: Path) -> list[Row]:
    """Clubs of a list; the mark tells them apart, so that a list may be loaded again once corrected."""
    return [
        ("own club", {"club": table.mark, **table.model_dump(mode="json", exclude_unset=True)})
        for table in club_tables(file)
    ]


def _turn(file: Path) -> list[Row]:
    """Turns of a list; what was left empty is left out, and the page gives the repeat."""
    return [("turn", given(t)) for t in read_turns(file)]


def _practice(file: Path) -> list[Row]:
    return [("aim practice", _plain_of(t)) for t in practice_tables(file)]


def _held_loads(file: Path) -> list[Row]:
    return [("held load", _plain_of(t)) for t in held_load_tables(file)]


def _plain_of(table: BaseModel) -> dict[str, Any]:
    """A line as a reading; the number is the log's."""
    plain = table.model_dump(mode="json", exclude_none=True)
    return {k: v for k, v in plain.items() if k not in ("entry", "pair")}


READERS: Mapping[str, Callable[[Path], list[Row]]] = {
    "hip line": _hip_line,
    "aim": _aim,
    "turn": _turn,
    "own clubs": _own_clubs,
    "practice": _practice,
    "held load": _held_loads,
}
