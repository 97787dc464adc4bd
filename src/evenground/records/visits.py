"""Starting a visit, and the studio's snapshot that it is assessed with."""

import hashlib
from datetime import date, datetime
from uuid import UUID, uuid4, uuid5

from django.db import transaction
from django.utils import timezone

from evenground.capture.fields import checked
from evenground.capture.studio_file import StudioFile
from evenground.records.answers import answered
from evenground.records.assemble import Folded, fold
from evenground.records.audit import note
from evenground.records.entries import Entry, canonical
from evenground.records.log import append, entries_of
from evenground.records.models import Blob, Person, Player, StudioSnapshot, Visit, VisitState

__all__ = ["current_snapshot", "folded", "keep_snapshot", "start_visit", "studio_file", "use_snapshot"]


def start_visit(
    player: Player,
    *,
    day: date,
    teacher: str = "",
    person: Person | None = None,
    visit_id: UUID | None = None,
    at: datetime | None = None,
    planned: bool = False,
) -> Visit:
    """Start a player's visit: its row, and the first two readings, which say what it is and whose.

    A `visit_id` made by the client makes a resend harmless: the visit that is there is given back.
    """
    visit_id = visit_id or uuid4()
    with answered(), transaction.atomic():
        visit, made = Visit.objects.get_or_create(
            pk=visit_id,
            defaults={
                "player": player,
                "day": day,
                "state": VisitState.PLANNED if planned else VisitState.OPEN,
                "snapshot": current_snapshot(),
            },
        )
        if made:
            head = {
                "visit": f"{day.isoformat()}-{visit_id.hex[:6]}",
                "date": day.isoformat(),
                "teacher": teacher,
            }
            whose = {"name": player.name, "handed": player.handed, "birth_year": player.birth_year}
            whose |= {"reference": player.reference or None}
            for kind, payload in (("visit", head), ("player", whose)):
                entry = Entry(
                    id=uuid5(visit_id, kind),
                    kind=kind,
                    version=1,
                    payload=payload,
                    at=at or timezone.now(),
                    by=person.name if person is not None else "",
                )
                append(visit_id, entry, person=person)
            note(person, "started", what="visit", object_id=str(visit_id), player_id=player.pk)
    visit.refresh_from_db()
    return visit


def folded(visit_id: UUID) -> Folded:
    """The visit as its tables, and what is unfinished in it."""
    return fold(entries_of(visit_id))


def current_snapshot() -> StudioSnapshot | None:
    """The studio's snapshot in use, None before there is one."""
    return StudioSnapshot.objects.filter(in_use_since__isnull=False).order_by("-in_use_since").first()


def keep_snapshot(file: StudioFile, *, stock: Blob | None = None) -> StudioSnapshot:
    """The stored snapshot with this content, made if it is not there; the one in use stays in use."""
    body = file.model_dump(mode="json")
    said = canonical([body, None if stock is None else stock.sha256])
    with answered(), transaction.atomic():
        snapshot, _ = StudioSnapshot.objects.get_or_create(
            digest=hashlib.sha256(said.encode()).hexdigest(), defaults={"body": body, "stock": stock}
        )
    return snapshot


def use_snapshot(file: StudioFile, *, stock: Blob | None = None) -> StudioSnapshot:
    """Take settings, errors and stock into use from now on; visits keep the snapshot they started with."""
    with answered(), transaction.atomic():
        snapshot = keep_snapshot(file, stock=stock)
        snapshot.in_use_since = timezone.now()
        snapshot.save(update_fields=["in_use_since"])
    return snapshot


def studio_file(snapshot: StudioSnapshot | None) -> StudioFile:
    """The `studio.toml` that a snapshot says; the defaults when there is none."""
    if snapshot is None:
        return StudioFile(format=1)
    return checked(StudioFile, snapshot.body, file="studio.toml")
