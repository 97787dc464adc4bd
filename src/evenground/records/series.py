"""Trials that are numbered as they come in: the log gives the number, so two stations never take the same."""

from dataclasses import replace
from typing import Any
from uuid import UUID

from django.db import transaction

from evenground.records.answers import answered
from evenground.records.entries import Entry
from evenground.records.log import Appended, VisitNotFoundError, append
from evenground.records.models import Person, Reading, Visit
from evenground.records.reading_kinds import Kind, kind_named

__all__ = ["append_next"]


def append_next(visit_id: UUID, entry: Entry, *, person: Person | None = None) -> Appended:
    """Append an entry of a numbered kind under the next free number; a resend keeps the number it got.

    A number that was taken back is not given again, so that a trial and its history stay one thing.

    Raises
    ------
    RecordsError, UnreadableFieldError
        As `append`.
    """
    kind = kind_named(entry.kind)
    if kind.number is None:
        return append(visit_id, entry, person=person)
    with answered(), transaction.atomic():
        if not Visit.objects.select_for_update().filter(pk=visit_id).exists():
            raise VisitNotFoundError(str(visit_id))
        stored = Reading.objects.filter(pk=entry.id, visit_id=visit_id, kind=kind.name).first()
        number = _next(visit_id, kind, entry) if stored is None else stored.payload[kind.number]
        payload = {**entry.payload, kind.number: number}
        return append(visit_id, replace(entry, payload=payload), person=person)


def _next(visit_id: UUID, kind: Kind, entry: Entry) -> int:
    """One past the highest number that any entry of the kind with the same other keys ever had."""
    number = kind.number or ""
    others = [name for name in kind.keys if name != number]
    wanted = _keys(kind, entry.payload, others)
    stored = Reading.objects.filter(visit_id=visit_id, kind=kind.name, void_reason__isnull=True)
    payloads = [kind.upcast(v, payload) for v, payload in stored.values_list("version", "payload")]
    taken = [int(p[number]) for p in payloads if _keys(kind, p, others) == wanted]
    return max(taken, default=0) + 1


def _keys(kind: Kind, payload: Any, names: list[str]) -> tuple[Any, ...]:
    fields = kind.table.model_fields
    return tuple(payload.get(name, fields[name].default) for name in names)
