"""Who goes where next at a school: the station with most work left is the bottleneck and is served first."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from uuid import UUID

from evenground.fit.hour import HOUR
from evenground.visit import Check

__all__ = ["STATIONS", "Board", "Happened", "Place", "Station", "StationLine", "board", "place_of"]

_NEVER = datetime.max.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """One place of a school and the checks taken there."""

    name: str
    slug: str
    checks: tuple[Check, ...]

    @property
    def minutes(self) -> int:
        """What one player takes here by the plan of the hour."""
        return sum(HOUR[check].minutes for check in self.checks)


STATIONS = (
    Station(name="desk", slug="desk", checks=("safety", "body", "hands")),
    Station(name="clubs", slug="clubs", checks=("own clubs", "ball")),
    Station(name="mat", slug="mat", checks=("as arrived", "ground")),
    Station(name="hip line", slug="hip-line", checks=("hip line",)),
    Station(name="posture and turn", slug="posture", checks=("posture", "turn")),
    Station(name="grip and aim", slug="aim", checks=("grip", "aim")),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """One event of a player's day: came, at a station, done there, or left."""

    what: str
    station: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a player is: `at` a station or waiting, which stations are done, here or not."""

    member: UUID
    name: str
    here: bool
    left: bool
    at: str
    since: datetime | None
    done: frozenset[str]
    leaves_at: datetime | None = None

    @property
    def free(self) -> bool:
        """Whether the player can be called to a station."""
        return self.here and not self.at


@dataclass(frozen=True, slots=True, kw_only=True)
class StationLine:
    """One station: who is there, how many still need it, minutes of work left, and who comes next."""

    station: Station
    there: tuple[Place, ...]
    need: int
    minutes_left: int
    next: Place | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """All stations, the bottleneck named; None when no work is left."""

    lines: tuple[StationLine, ...]
    bottleneck: str | None


def place_of(
    member: UUID, name: str, events: Iterable[Happened], *, leaves_at: datetime | None = None
) -> Place:
    """Where a player is after what happened, in whatever order it was told.

    Going to another station finishes the one before.
    """
    here, left, at, since = False, False, "", None
    done: set[str] = set()
    for event in sorted(events, key=lambda e: e.at):
        if event.what in ("at", "done", "left") and at:
            done |= {at} if event.what != "at" or event.station != at else set()
        if event.what == "done" and event.station:
            done.add(event.station)
        if event.what == "at":
            done.discard(event.station)
        here, left = event.what != "left", event.what == "left"
        at = event.station if event.what == "at" else ""
        since = event.at
    return Place(
        member=member,
        name=name,
        here=here,
        left=left,
        at=at,
        since=since,
        done=frozenset(done),
        leaves_at=leaves_at,
    )


def board(places: Sequence[Place], stations: Sequence[Station] = STATIONS) -> Board:
    """Who goes where next.

    The station with most minutes of work left is the bottleneck. Stations that are free call a player in that
    order: first whoever has to leave earliest, then whoever has most ahead of them, then whoever waits
    longest. Nobody is called twice; players who left are not counted, those who have not come yet are.
    """
    needs = {s.slug: [p for p in places if not p.left and s.slug not in p.done] for s in stations}
    left = {s.slug: len(needs[s.slug]) * s.minutes for s in stations}
    order = sorted(stations, key=lambda s: -left[s.slug])
    called = _called(order, places, needs, {s.slug: s.minutes for s in stations})
    lines = tuple(
        StationLine(
            station=s,
            there=tuple(p for p in places if p.at == s.slug),
            need=len(needs[s.slug]),
            minutes_left=left[s.slug],
            next=called.get(s.slug),
        )
        for s in stations
    )
    return Board(lines=lines, bottleneck=order[0].slug if order and left[order[0].slug] else None)


def _called(
    order: Sequence[Station],
    places: Sequence[Place],
    needs: Mapping[str, Sequence[Place]],
    minutes: Mapping[str, int],
) -> dict[str, Place]:
    taken: set[UUID] = set()
    called: dict[str, Place] = {}
    for station in order:
        if any(p.at == station.slug for p in places):
            continue
        waiting = [p for p in needs[station.slug] if p.free and p.member not in taken]
        chosen = min(waiting, key=lambda p: _urgency(p, minutes), default=None)
        if chosen is not None:
            called[station.slug] = chosen
            taken.add(chosen.member)
    return called


def _urgency(place: Place, minutes: Mapping[str, int]) -> tuple[datetime, int, datetime, str]:
    ahead = sum(m for slug, m in minutes.items() if slug not in place.done)
    return place.leaves_at or _NEVER, -ahead, place.since or _NEVER, place.name
