"""Invented players, visits and readings for the records' tests."""

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

from evenground.records.entries import Entry
from evenground.records.models import Player, Visit
from evenground.records.reading_kinds import kind_named
from evenground.records.visits import start_visit

DAY = date(2026, 5, 9)
NOON = datetime(2026, 5, 9, 12, 0, tzinfo=UTC)


def player(name: str = "Wren Halloway", *, handed: str = "left", birth_year: int | None = 1988) -> Player:
    return Player.objects.create(name=name, handed=handed, birth_year=birth_year)


def visit(whose: Player | None = None) -> Visit:
    return start_visit(whose or player(), day=DAY, teacher="R. Tall", at=NOON)


def entry(kind: str, *, id: UUID | None = None, **fields: Any) -> Entry:  # noqa: A002 - the log's own word
    """A reading with this payload; `supersedes`, `void_reason` and `blobs` go to the reading itself."""
    own = {
        name: fields.pop(name)
        for name in ("supersedes", "void_reason", "blobs", "seq", "by")
        if name in fields
    }
    version = kind_named(kind).version
    return Entry(id=id or uuid4(), kind=kind, version=version, payload=fields, at=NOON, **own)


def numbered(*entries: Entry) -> list[Entry]:
    """A log in plain form: each entry a second and a place after the one before."""
    from dataclasses import replace

    return [replace(e, seq=seq, at=NOON + timedelta(seconds=seq)) for seq, e in enumerate(entries, start=1)]


def begun() -> tuple[Entry, Entry]:
    """The two readings that every visit begins with."""
    return (
        entry("visit", visit="sample", date="2026-05-09", teacher="R. Tall"),
        entry("player", name="Wren Halloway", handed="left", birth_year=1988),
    )
