"""The studio's instruments with their checks, as analyses take them, and what a failed one puts in doubt."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Count, Max
from django.utils import timezone

from evenground.capture.fields import checked
from evenground.capture.instrument_file import InstrumentTable, instrument_from
from evenground.instruments import Figures, Instrument, InstrumentCheck, last_good, latest, latest_passed
from evenground.plain import to_plain
from evenground.records.answers import answered
from evenground.records.models import CardVersion, Person, Reading, Visit, VisitState
from evenground.records.models import Instrument as InstrumentRow
from evenground.records.models import InstrumentCheck as CheckRow
from evenground.records.visits import current_snapshot, keep_snapshot, studio_file, use_snapshot

__all__ = ["DoubtedVisit", "doubted", "instrument_of", "keep_checks", "put_in_use"]

MEASURED_BY = {
    "mat": ("placement",),
    "scales": ("placement",),
    "bar": ("hip-line trial", "grip trial"),
    "protractor": ("hip-line trial", "grip trial", "turn"),
    "camera": ("posture",),
    "caliper": ("own club",),
    "tape measure": ("body size", "as arrived"),
}
"""Kinds of readings that an instrument of a kind takes."""

_MOST_CHECKS = 400
"""The checks of three months of mornings; older ones stay stored."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DoubtedVisit:
    """A visit measured since an instrument was last in order; `card` is the number of its signed card."""

    id: UUID
    player: str
    player_id: UUID
    day: date
    readings: int
    last_at: datetime
    card: int | None


def instrument_of(row: InstrumentRow) -> Instrument:
    """A row with its checks as analyses take it, times as this place's clock shows them."""
    newest = row.checks.order_by("-at", "-id")[:_MOST_CHECKS]
    checks = [_table(check) for check in reversed(newest)]
    table = {"name": row.name, "kind": row.kind, "checks": checks}
    return instrument_from(checked(InstrumentTable, table, file=row.name))


def _table(check: CheckRow) -> dict[str, Any]:
    said = {"step": "by hand"} | {k: v for k, v in check.figures.items() if k != "files"}
    return said | {"at": check.at.astimezone(), "passed": check.passed, "why": check.note}


def keep_checks(
    row: InstrumentRow, checks: Sequence[InstrumentCheck], person: Person | None, files: Sequence[str] = ()
) -> None:
    """Append checks to an instrument and take them into use; `files` are the digests of their recordings."""
    with answered(), transaction.atomic():
        for check in checks:
            CheckRow.objects.create(
                instrument=row,
                at=check.at,
                person=person,
                passed=check.passed,
                figures=_plain(check) | ({"files": list(files)} if files else {}),
                note=check.why[:400],
            )
        put_in_use()


def _plain(check: InstrumentCheck) -> dict[str, Any]:
    figures: Figures | None = check.figures
    own = {} if figures is None else {check.step.replace(" ", "_"): to_plain(figures)}
    return {"step": check.step} | own


def put_in_use(*, now: datetime | None = None) -> None:
    """Take the instruments with their newest checks into the studio's snapshot.

    Visits of today that are not closed take them too: the opening check of a morning speaks of that day,
    whether the first visit was begun before it or after. What else their snapshots say stays.
    """
    today = (now or timezone.now()).astimezone().date()
    rows = InstrumentRow.objects.filter(retired_at__isnull=True).order_by("created_at", "id")
    tables = tuple(InstrumentTable.model_validate(_newest(instrument_of(row))) for row in rows)
    current = current_snapshot()
    kept = studio_file(current).model_copy(update={"instruments": tables})
    with answered(), transaction.atomic():
        use_snapshot(kept, stock=None if current is None else current.stock)
        for visit in Visit.objects.select_related("snapshot").filter(day=today):
            if visit.state == VisitState.CLOSED:
                continue
            own = studio_file(visit.snapshot).model_copy(update={"instruments": tables})
            stock = None if visit.snapshot is None else visit.snapshot.stock
            visit.snapshot = keep_snapshot(own, stock=stock)
            visit.save(update_fields=["snapshot"])


def _newest(instrument: Instrument) -> dict[str, Any]:
    """The table of an instrument with the newest check of each step, and the last good one of each.

    What passed last tells since when a failed step has not been in order.
    """
    wanted = dict.fromkeys((*latest_passed(instrument).values(), *latest(instrument).values()))
    checks = [_plain(c) | {"at": c.at, "passed": c.passed, "why": c.why} for c in wanted]
    return {
        "name": instrument.name,
        "kind": instrument.kind,
        "checks": sorted(checks, key=lambda c: c["at"]),
    }


def doubted(row: InstrumentRow, *, most: int = 200) -> list[DoubtedVisit]:
    """Visits with readings that it took since it was last in order; empty when it is in order."""
    instrument = instrument_of(row)
    if all(check.passed for check in latest(instrument).values()):
        return []
    good = last_good(instrument)
    readings = Reading.objects.filter(kind__in=MEASURED_BY.get(row.kind, ()), void_reason__isnull=True)
    if good is not None:
        readings = readings.filter(saved_at__gt=good)
    visits = readings.values("visit").annotate(count=Count("id"), last=Max("saved_at")).order_by("-last")
    return list(_visits(list(visits[:most])))


def _visits(found: Sequence[Any]) -> Iterator[DoubtedVisit]:
    rows = Visit.objects.select_related("player").in_bulk([f["visit"] for f in found])
    signed = CardVersion.objects.filter(visit__in=rows, signed_at__isnull=False)
    cards = dict(signed.order_by("number").values_list("visit_id", "number"))
    for one in found:
        visit = rows[one["visit"]]
        yield DoubtedVisit(
            id=visit.pk,
            player=visit.player.name,
            player_id=visit.player_id,
            day=visit.day,
            readings=one["count"],
            last_at=one["last"],
            card=cards.get(visit.pk),
        )
