"""A measurement study as typed: person, observer, repeat, value and, where two are compared, the method."""

from dataclasses import dataclass
from pathlib import Path

from evenground.capture.csv_table import Columns, Row, TableCellError, read_table, table_bytes
from evenground.errors import CaptureError
from evenground.measure.suspects import Reading

__all__ = ["STUDY_COLUMNS", "StudyTable", "TooManyMethodsError", "read_study", "study_from"]

STUDY_COLUMNS = Columns(needed=("person", "repeat", "value"), optional=("observer", "method"))
ONE = "one observer"
MOST = 2000


class TooManyMethodsError(CaptureError):
    """A study of more methods than can be compared at once, or none beside the other."""

    do = "Compare two methods at a time, each on the same persons."

    def __init__(self, file: str, methods: tuple[str, ...]) -> None:
        super().__init__(file, methods)
        self.where = f"{file}, method"
        self.what = f"{len(methods)} methods stand in the table ({', '.join(m[:30] for m in methods[:5])})."


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyTable:
    """Readings by method, in the order in which the methods first appear; `not_taken` counts empty values."""

    methods: dict[str, tuple[Reading, ...]]
    not_taken: int


def read_study(path: Path) -> StudyTable:
    """A study from a file; see `study_from`."""
    return study_from(table_bytes(path, STUDY_COLUMNS), file=path.name)


def study_from(raw: bytes, *, file: str) -> StudyTable:
    """A study from CSV text.

    Parameters
    ----------
    raw
        The text; without an `observer` all readings are by one; a line with an empty `value` was not taken.
    file
        Its name, for the messages.

    Raises
    ------
    CaptureError
        One of the table's, or `TooManyMethodsError`: file, line, column, value, and what is allowed.
    """
    found: dict[str, list[Reading]] = {}
    seen: dict[tuple[str, str, str, int], int] = {}
    not_taken = 0
    rows = read_table(raw, STUDY_COLUMNS, file=file)
    if len(rows) > MOST:
        raise TableCellError(file, rows[MOST].line, "lines", f"{len(rows)} lines", f"at most {MOST} readings")
    for row in rows:
        if not row.text("value"):
            not_taken += 1
            continue
        method, reading = row.text("method"), _reading(row)
        place = (method, reading.person, reading.observer, reading.repeat)
        if place in seen:
            allowed = f"each repeat once: this one already stands in line {seen[place]}"
            raise TableCellError(file, row.line, "repeat", row.text("repeat"), allowed)
        seen[place] = row.line
        found.setdefault(method, []).append(reading)
    if len(found) > 2:
        raise TooManyMethodsError(file, tuple(found))
    if not found:
        raise TableCellError(file, rows[0].line, "value", "", "a number in at least one line")
    return StudyTable(methods={m: tuple(r) for m, r in found.items()}, not_taken=not_taken)


def _reading(row: Row) -> Reading:
    person = row.text("person")
    if not person:
        raise TableCellError(row.file, row.line, "person", "", "a name or number for whoever was measured")
    return Reading(
        person=person[:80],
        observer=row.text("observer", ONE)[:80],
        repeat=row.count("repeat"),
        value=row.number("value", "a number such as -1.5"),
    )
