"""Readings saved under the wrong player, moved to the right one; both histories tell it."""

from dataclasses import dataclass
from uuid import UUID, uuid4

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from evenground.capture.studio_file import studio_from
from evenground.errors import EvengroundError, RecordsError
from evenground.records.entries import Entry
from evenground.records.log import STAYS, entries_of, move
from evenground.records.merge import Merged, merged
from evenground.records.models import Reading, Visit
from evenground.records.visits import studio_file
from evenground.studio.access import person_of
from evenground.studio.pages.checks import check_of
from evenground.studio.pages.scene import visit_row
from evenground.studio.tracing import says

__all__ = ["moving"]


class NothingToMoveError(RecordsError):
    """No reading or no other visit was picked."""

    do = "Tick the readings, pick the player that they belong to, and say why."

    def __init__(self) -> None:
        super().__init__()
        self.where = "move"
        self.what = "Nothing was moved."


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveLine:
    """One reading: what it says, whether it can be moved, and what became of it."""

    id: UUID
    kind: str
    says: str
    by: str
    at: object
    became: str
    movable: bool


@require_http_methods(["GET", "POST"])
def moving(request: HttpRequest, visit_id: UUID, slug: str) -> HttpResponse:
    """Show a check's readings with their history, and move those that are ticked."""
    row, said = visit_row(visit_id), ""
    if request.method == "POST":
        try:
            _move(request, row)
        except EvengroundError as exc:
            said = f"{exc.what} {exc.do}"
        else:
            return redirect("moving", visit_id, slug)
    context = {
        "row": row,
        "slug": slug,
        "check": check_of(slug) or slug,
        "lines": _lines(row, check_of(slug) or ""),
        "others": Visit.objects.filter(day=row.day).exclude(pk=row.pk).select_related("player"),
        "fresh_id": uuid4(),
        "said": said,
    }
    return render(request, "studio/school/moving.html", context, status=422 if said else 200)


def _move(request: HttpRequest, row: Visit) -> None:
    try:
        readings = [UUID(text) for text in request.POST.getlist("reading")]
        to, move_id = UUID(request.POST.get("to", "")), UUID(request.POST.get("id", ""))
    except ValueError as exc:
        raise NothingToMoveError from exc
    if not readings:
        raise NothingToMoveError
    person = person_of(request)
    move(
        row.pk,
        readings,
        to,
        " ".join(request.POST.get("why", "").split())[:400],
        move_id=move_id,
        at=timezone.now(),
        by="" if person is None else person.name,
        person=person,
    )


def _lines(row: Visit, check: str) -> list[MoveLine]:
    system = studio_from(studio_file(row.snapshot)).settings.units
    log = merged(entries_of(row.pk))
    kinds = set(Reading.objects.filter(visit=row, check_name=check).values_list("kind", flat=True))
    shown = {r for kind in kinds for slot in log.of(kind) for r in slot.readings}
    moved = _moved_to([e.id for e in log.entries])
    return [
        MoveLine(
            id=e.id,
            kind=e.kind,
            says=says(e.payload, system),
            by=e.by,
            at=e.at,
            became=_became(e, log, shown, moved),
            movable=e.id in shown and e.kind not in STAYS,
        )
        for e in log.entries
        if e.kind in kinds and e.void_reason is None
    ]


def _moved_to(ids: list[UUID]) -> dict[UUID, str]:
    copies = Reading.objects.filter(moved_from__in=ids).select_related("visit__player")
    return {c.moved_from: c.visit.player.name for c in copies if c.moved_from is not None}


def _became(entry: Entry, log: Merged, shown: set[UUID], moved: dict[UUID, str]) -> str:
    why = next((e.void_reason for e in log.entries if e.supersedes == entry.id and e.void_reason), None)
    if entry.id in moved:
        return f"moved to {moved[entry.id]}: {why}"
    came = _came_from(entry)
    if why is not None:
        return f"taken back: {why}"
    return came if entry.id in shown else "replaced"


def _came_from(entry: Entry) -> str:
    if entry.moved_from is None:
        return "shown"
    source = Reading.objects.select_related("visit__player").filter(pk=entry.moved_from).first()
    return "moved here" if source is None else f"moved here from {source.visit.player.name}"
