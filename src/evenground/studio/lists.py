"""What the lists on Today and on a player's page show, each in a fixed number of queries."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import OuterRef, Subquery

from evenground.instruments import last_good
from evenground.records.instruments import instrument_of
from evenground.records.models import (
    CardVersion,
    FindingsRow,
    Instrument,
    InstrumentCheck,
    Player,
    Reading,
    Visit,
    VisitState,
)

__all__ = [
    "ChangedLine",
    "InstrumentLine",
    "VisitLine",
    "changed_lines",
    "instruments_of",
    "players_named",
    "visits_of",
    "visits_on",
]

MORNINGS = 60
"""Checks of an instrument that are looked through for the newest of each step."""
NOT_A_STATION = "visit"
"""Readings that say what the visit is and whose, not where the player stands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitLine:
    """A visit in a list: where the player is, since when, and whether the card is signed."""

    id: UUID
    player_id: UUID
    player: str
    handed: str
    day: date
    state: str
    station: str
    last_at: datetime | None
    started_at: datetime
    begun: int
    cards_signed: int
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentLine:
    """An instrument and how its last check went. `since` counts cards signed since the last good one."""

    id: UUID
    kind: str
    name: str
    checked_at: datetime | None
    passed: bool | None
    today: bool
    note: str
    doubted: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangedLine:
    """One line of the card at two visits, as the players read it."""

    title: str
    before: str
    now: str
    same: bool


def visits_on(day: date) -> list[VisitLine]:
    """Visits of a day, those that are going on first, in the order they began."""
    lines = _lines(Visit.objects.filter(day=day))
    order = {VisitState.OPEN: 0, VisitState.PLANNED: 1, VisitState.CLOSED: 2}
    return sorted(lines, key=lambda v: (order[VisitState(v.state)], v.started_at))


def visits_of(player: Player) -> list[VisitLine]:
    """A player's visits, newest first."""
    return sorted(
        _lines(Visit.objects.filter(player=player)), key=lambda v: (v.day, v.started_at), reverse=True
    )


def _lines(visits: Any) -> list[VisitLine]:
    last = Reading.objects.filter(visit=OuterRef("pk")).exclude(check_name=NOT_A_STATION).order_by("-seq")
    rows = list(
        visits.select_related("player").annotate(
            station=Subquery(last.values("check_name")[:1]), last_at=Subquery(last.values("saved_at")[:1])
        )
    )
    ids = [row.pk for row in rows]
    begun: dict[UUID, set[str]] = {}
    seen = Reading.objects.filter(visit_id__in=ids).exclude(check_name=NOT_A_STATION)
    for visit_id, check in seen.order_by().values_list("visit_id", "check_name").distinct():
        begun.setdefault(visit_id, set()).add(check)
    signed = _signed(ids)
    numbers = _numbers({row.player_id for row in rows})
    return [
        VisitLine(
            id=row.pk,
            player_id=row.player_id,
            player=row.player.name,
            handed=row.player.handed,
            day=row.day,
            state=row.state,
            station=row.station or "",
            last_at=row.last_at,
            started_at=row.created_at,
            begun=len(begun.get(row.pk, ())),
            cards_signed=signed.get(row.pk, 0),
            number=numbers[row.pk],
        )
        for row in rows
    ]


def _signed(ids: Iterable[UUID]) -> dict[UUID, int]:
    counts: dict[UUID, int] = {}
    cards = CardVersion.objects.filter(visit_id__in=list(ids), signed_at__isnull=False)
    for visit_id in cards.order_by().values_list("visit_id", flat=True):
        counts[visit_id] = counts.get(visit_id, 0) + 1
    return counts


def _numbers(players: set[UUID]) -> dict[UUID, int]:
    """Which of a player's visits each one is, counted from 1."""
    numbers: dict[UUID, int] = {}
    counts: dict[UUID, int] = {}
    rows = Visit.objects.filter(player_id__in=players).order_by("day", "created_at")
    for visit_id, player_id in rows.values_list("pk", "player_id"):
        counts[player_id] = counts.get(player_id, 0) + 1
        numbers[visit_id] = counts[player_id]
    return numbers


def players_named(find: str, *, most: int = 20, not_on: date | None = None) -> list[Player]:
    """Players whose name holds what was typed; without it those who were here or taken in last.

    `not_on` leaves out who has a visit on that day already.
    """
    if find.strip():
        return list(Player.objects.filter(name__icontains=find.strip())[:most])
    # The newest visits and players, not an order over all players: that took 0.2 s at 20,000 visits.
    visits = Visit.objects.order_by("-day", "-created_at").values_list("player_id", "created_at")
    fresh = Player.objects.order_by("-created_at").values_list("pk", "created_at")
    here = (
        set() if not_on is None else set(Visit.objects.filter(day=not_on).values_list("player_id", flat=True))
    )
    seen = sorted(
        [*visits[: most * 8 + len(here)], *fresh[: most + len(here)]], key=lambda line: line[1], reverse=True
    )
    order = [pk for pk in dict.fromkeys(pk for pk, _ in seen) if pk not in here][:most]
    rows = Player.objects.in_bulk(order)
    return [rows[pk] for pk in order]


def instruments_of(day_begins: datetime) -> list[InstrumentLine]:
    """Instruments in use, with their last check; those not checked since the day began come first."""
    lines = [_instrument(row, day_begins) for row in Instrument.objects.filter(retired_at__isnull=True)]
    return sorted(lines, key=lambda line: (line.today, line.kind, line.name))


def _instrument(row: Instrument, day_begins: datetime) -> InstrumentLine:
    newest = list(InstrumentCheck.objects.filter(instrument=row).order_by("-at", "-id")[:MORNINGS])
    last = newest[0] if newest else None
    steps = {check.figures.get("step", "by hand"): check.passed for check in reversed(newest)}
    passed = None if last is None else all(steps.values())
    return InstrumentLine(
        id=row.pk,
        kind=row.kind,
        name=row.name,
        checked_at=None if last is None else last.at,
        passed=passed,
        today=last is not None and last.at >= day_begins,
        note="" if last is None else last.note,
        doubted=0 if passed is None or passed else _doubted(row),
    )


def _doubted(row: Instrument) -> int:
    """Cards signed since the instrument was last known to be good."""
    good = last_good(instrument_of(row))
    cards = CardVersion.objects.filter(signed_at__isnull=False)
    return cards.filter(signed_at__gte=good).count() if good is not None else cards.count()


def changed_lines(player: Player) -> tuple[VisitLine, VisitLine, list[ChangedLine]] | None:
    """The card lines of a player's last two visits that were worked out; None before there are two."""
    visits = [v for v in visits_of(player) if v.begun]
    bodies = {r.visit_id: r.body for r in FindingsRow.objects.filter(visit_id__in=[v.id for v in visits])}
    known = [v for v in visits if v.id in bodies][:2]
    if len(known) < 2:
        return None
    now, before = ({line["key"]: line for line in bodies[v.id].get("card", ())} for v in known)
    lines = [
        ChangedLine(
            title=str((now.get(key) or before[key])["title"]),
            before=str(before[key]["now"]) if key in before else "not measured",
            now=str(now[key]["now"]) if key in now else "not measured",
            same=key in before and key in now and before[key]["now"] == now[key]["now"],
        )
        for key in [*now, *(k for k in before if k not in now)]
    ]
    return known[0], known[1], lines


def day_begins(now: datetime) -> datetime:
    """Midnight of this place before a moment."""
    here = now.astimezone()
    return here - timedelta(
        hours=here.hour, minutes=here.minute, seconds=here.second, microseconds=here.microsecond
    )
