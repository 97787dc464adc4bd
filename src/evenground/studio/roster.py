"""A school's roster: names from a CSV file or pasted, visits started, badges with codes that catch a slip."""

import csv
import io
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from uuid import UUID, uuid5

from django.db import transaction

from evenground.errors import CaptureError
from evenground.records.answers import answered
from evenground.records.models import Person, Player
from evenground.records.visits import start_visit
from evenground.studio.models import School, SchoolMember
from evenground.studio.pairing import ALPHABET

__all__ = ["MOST", "RosterError", "RosterLine", "code_from", "fill_school", "make_code", "read_roster"]

MOST = 40
"""Players of one school (ours: twice the largest that was planned for)."""
LETTERS = 4
_COLUMNS = {
    "name": "name",
    "player": "name",
    "handed": "handed",
    "hand": "handed",
    "birth year": "birth_year",
    "year": "birth_year",
    "mail": "email",
    "email": "email",
    "guardian": "guardian_name",
    "guardian's mail": "guardian_email",
}


class RosterError(CaptureError):
    """A line of a roster that cannot be taken."""

    do = 'Write a line each, such as "Wren Halloway, left, 1988"; the birth year may be left out.'

    def __init__(self, line: int, what: str) -> None:
        super().__init__(line, what)
        self.where = f"line {line}"
        self.what = what


@dataclass(frozen=True, slots=True, kw_only=True)
class RosterLine:
    """One player of a roster."""

    name: str
    handed: str
    birth_year: int | None = None
    email: str = ""
    guardian_name: str = ""
    guardian_email: str = ""


def read_roster(text: str, today: date) -> tuple[RosterLine, ...]:
    """The players of a roster, with a line of column names or without.

    Raises
    ------
    RosterError
        At the first line that cannot be taken; then none is.

    Examples
    --------
    >>> read_roster("Wren Halloway; left; 1988", date(2026, 5, 9))[0].handed
    'left'
    """
    rows = [(n, row) for n, row in _rows(text) if any(cell.strip() for cell in row)]
    columns: list[str] = ["name", "handed", "birth_year", "email", "guardian_name", "guardian_email"]
    if rows and rows[0][1][0].strip().casefold() in _COLUMNS:
        columns = [_COLUMNS.get(cell.strip().casefold(), "") for cell in rows[0][1]]
        rows = rows[1:]
    if not rows:
        raise RosterError(1, "The roster holds no player.")
    if len(rows) > MOST:
        raise RosterError(rows[MOST][0], f"A school has at most {MOST} players.")
    return tuple(_line(n, dict(zip(columns, row, strict=False)), today) for n, row in rows)


def _rows(text: str) -> Iterable[tuple[int, list[str]]]:
    clean = text.lstrip("\ufeff").replace("\x00", "")
    first = clean.strip().partition("\n")[0]
    mark = next((m for m in ("\t", ";", ",") if m in first), ",")
    reader = csv.reader(io.StringIO(clean), delimiter=mark, skipinitialspace=True)
    try:
        for row in reader:
            yield reader.line_num, row
    except csv.Error as exc:
        raise RosterError(reader.line_num, "This line cannot be split into cells.") from exc


def _line(number: int, cells: dict[str, str], today: date) -> RosterLine:
    said = {name: " ".join(text.split())[:120] for name, text in cells.items() if name}
    if not said.get("name"):
        raise RosterError(number, "The name is missing.")
    handed = {"r": "right", "l": "left", "": "right"}.get(said.get("handed", "")[:1].lower())
    if handed is None:
        raise RosterError(number, f"{said['handed']!r} is neither right nor left.")
    year = said.get("birth_year", "")
    if year and not (year.isdecimal() and today.year - 110 <= int(year[:9]) <= today.year - 3):
        raise RosterError(number, f"{year!r} is no birth year.")
    rest = {name: said.get(name, "") for name in ("email", "guardian_name", "guardian_email")}
    return RosterLine(name=said["name"], handed=handed, birth_year=int(year) if year else None, **rest)


def make_code() -> str:
    """A badge's code: four signs, and a fifth that catches any one wrong sign and nearly every swap."""
    body = "".join(secrets.choice(ALPHABET) for _ in range(LETTERS))
    return body + _check_sign(body)


def code_from(text: str) -> str | None:
    """The code that was typed or scanned, None when a sign of it is wrong.

    Examples
    --------
    >>> code_from(" 2345-" + _check_sign("2345").lower()) == "2345" + _check_sign("2345")
    True
    """
    plain = "".join(c for c in text.upper() if c in ALPHABET)
    fits = len(plain) == LETTERS + 1 and plain[-1] == _check_sign(plain[:-1])
    return plain if fits else None


def _check_sign(body: str) -> str:
    """Different weights, each without a common factor with the 30 signs: one slip changes the sum (ours)."""
    total = sum(w * ALPHABET.index(c) for w, c in zip((7, 11, 13, 17), body, strict=True))
    return ALPHABET[total % len(ALPHABET)]


def fill_school(school: School, lines: Iterable[RosterLine], *, person: Person | None, fill_id: UUID) -> int:
    """Start a visit for each player of a roster; the same roster sent again starts nothing more.

    A player who is known by this very name and birth year keeps their records.
    """
    new = 0
    with answered(), transaction.atomic():
        for number, line in enumerate(lines):
            visit_id = uuid5(fill_id, str(number))
            if SchoolMember.objects.filter(visit_id=visit_id).exists():
                continue
            teacher = "" if person is None else person.name
            visit = start_visit(
                _player(line), day=school.day, teacher=teacher, person=person, visit_id=visit_id
            )
            SchoolMember.objects.create(school=school, visit=visit, code=_free_code(school))
            new += 1
    return new


def _player(line: RosterLine) -> Player:
    known = Player.objects.filter(name=line.name, birth_year=line.birth_year, birth_year__isnull=False)
    if known.count() == 1:
        return known.get()
    return Player.objects.create(
        name=line.name,
        handed=line.handed,
        birth_year=line.birth_year,
        email=line.email,
        guardian_name=line.guardian_name,
        guardian_email=line.guardian_email,
    )


def _free_code(school: School) -> str:
    taken = set(school.members.values_list("code", flat=True))
    return next(code for code in iter(make_code, "") if code not in taken)
