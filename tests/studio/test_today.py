"""Today: who is where, who comes next, what is checked first thing, and what an empty day teaches."""

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from evenground.records.entries import Entry
from evenground.records.log import append
from evenground.records.models import CardVersion, Instrument, InstrumentCheck, Player, Role, Visit
from evenground.records.reading_kinds import kind_named
from evenground.records.visits import start_visit
from evenground.studio.days import today_here
from evenground.studio.lists import day_begins, instruments_of, players_named, visits_on
from tests.studio.conftest import As


@pytest.fixture
def odo(studio: Path) -> Player:
    return Player.objects.create(name="Odo Fennimark", handed="left")


def read(visit: Visit, kind: str, **payload: object) -> None:
    version = kind_named(kind).version
    append(visit.pk, Entry(id=uuid4(), kind=kind, version=version, payload=payload, at=timezone.now()))


def test_an_empty_day_teaches_what_a_visit_is(owner: Client) -> None:
    page = owner.get("/").content.decode()
    assert "Nobody has begun today." in page
    assert "before any coaching" in page
    assert "New player" in page


def test_a_visit_shows_where_the_player_stands_and_how_many_checks_have_begun(odo: Player) -> None:
    visit = start_visit(odo, day=today_here())
    assert (visits_on(today_here())[0].station, visits_on(today_here())[0].begun) == ("", 0)
    read(visit, "safety", screening="cleared")
    read(visit, "body mass", mass_kg=80.0)
    line = visits_on(today_here())[0]
    assert (line.station, line.begun, line.number) == ("body", 2, 1)


def test_visits_of_other_days_are_not_today(odo: Player, owner: Client) -> None:
    start_visit(odo, day=today_here() - timedelta(days=1))
    assert "Nobody has begun today." in owner.get("/").content.decode()


def test_starting_a_visit_twice_by_a_second_tap_starts_one(odo: Player, owner: Client) -> None:
    once = {"id": str(uuid4())}
    first, second = (owner.post(f"/players/{odo.pk}/start", once).headers["Location"] for _ in range(2))
    assert first == second == f"/visits/{once['id']}/"
    assert Visit.objects.count() == 1


def test_a_visits_id_that_another_player_has_gives_a_new_visit(odo: Player, owner: Client) -> None:
    other = Player.objects.create(name="Maren Quillby", handed="right")
    taken = start_visit(other, day=today_here())
    owner.post(f"/players/{odo.pk}/start", {"id": str(taken.pk)})
    assert Visit.objects.filter(player=odo).count() == 1
    assert Visit.objects.filter(player=other).count() == 1


def test_who_is_here_already_does_not_come_next(odo: Player) -> None:
    start_visit(odo, day=today_here())
    later = Player.objects.create(name="Maren Quillby", handed="right")
    assert players_named("", not_on=today_here()) == [later]


def test_players_are_found_by_any_part_of_the_name_however_it_is_written(odo: Player) -> None:
    assert players_named("FENNI") == [odo]
    assert players_named("%") == []


def test_a_day_with_forty_visits_takes_as_many_queries_as_one_with_two(owner: Client) -> None:
    def queries(visits: int) -> int:
        for number in range(visits):
            whose = Player.objects.create(name=f"Player {number}", handed="right")
            read(start_visit(whose, day=today_here()), "safety", screening="cleared")
        with CaptureQueriesContext(
            connection,
        ) as asked:
            assert owner.get("/now").status_code == 200
        return len(asked)

    owner.get("/")
    assert queries(2) == queries(38)


def test_an_instrument_counts_as_checked_only_since_this_morning(studio: Path) -> None:
    mat = Instrument.objects.create(kind="mat", name="mat")
    morning = day_begins(timezone.now())
    check = InstrumentCheck.objects.create(instrument=mat, passed=True, at=morning - timedelta(minutes=1))
    assert not instruments_of(morning)[0].today
    InstrumentCheck.objects.filter(pk=check.pk).update(at=morning)
    assert instruments_of(morning)[0].today


def signed_card(odo: Player, at: datetime) -> CardVersion:
    visit = start_visit(odo, day=at.date())
    return CardVersion.objects.create(visit=visit, number=1, input_hash="0" * 64, signed_at=at)


def test_a_failed_check_counts_every_card_since_the_last_good_one(odo: Player) -> None:
    bar = Instrument.objects.create(kind="bar", name="bar")
    day = datetime(2026, 5, 9, 9, tzinfo=UTC)
    for hours, passed in ((0, True), (48, False)):
        InstrumentCheck.objects.create(instrument=bar, passed=passed, at=day + timedelta(hours=hours))
    signed_card(odo, day - timedelta(hours=1))
    signed_card(odo, day + timedelta(hours=1))
    signed_card(odo, day + timedelta(hours=25))
    assert instruments_of(day)[0].doubted == 2


def test_an_assistant_keeps_an_opening_check_with_what_was_seen(as_role: As, studio: Path) -> None:
    bar = Instrument.objects.create(kind="bar", name="hip-line bar")
    said = {"passed": "no", "note": "flipped: 3 deg apart"}
    page = as_role(Role.ASSISTANT).post(f"/instruments/{bar.pk}/check", said, follow=True).content.decode()
    kept = InstrumentCheck.objects.get()
    assert (kept.passed, kept.note) == (False, "flipped: 3 deg apart")
    assert "hip-line bar is not in order" in page


def test_midnight_is_the_studios_own() -> None:
    here = day_begins(datetime.now(UTC)).astimezone()
    assert (here.hour, here.minute, here.second) == (0, 0, 0)
    assert here.date() == date.today()


def test_no_visit_is_found_under_an_id_that_was_never_made(owner: Client) -> None:
    assert owner.get(f"/visits/{UUID(int=0)}/").status_code == 404
