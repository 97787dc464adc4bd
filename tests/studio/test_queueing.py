"""Who goes where next: nobody twice, the bottleneck first, early leavers first."""

from datetime import UTC, datetime, timedelta
from uuid import UUID

from hypothesis import given
from hypothesis import strategies as st

from evenground.fit.hour import HOUR
from evenground.studio.queueing import STATIONS, Happened, Place, board, place_of
from evenground.visit import CHECKS

NINE = datetime(2026, 5, 9, 9, 0, tzinfo=UTC)
SLUGS = [s.slug for s in STATIONS]


def place(number: int, **more: object) -> Place:
    fields: dict[str, object] = {
        "member": UUID(int=number),
        "name": f"Player {number}",
        "here": True,
        "left": False,
        "at": "",
        "since": NINE + timedelta(minutes=number),
        "done": frozenset(),
    }
    return Place(**(fields | more))  # type: ignore[arg-type]  # the fields above fill every one


places = st.lists(
    st.builds(
        lambda at, done, here: (at if here else "", frozenset(done), here),
        st.sampled_from(["", *SLUGS]),
        st.sets(st.sampled_from(SLUGS)),
        st.booleans(),
    ),
    max_size=12,
).map(lambda said: [place(n, at=a, done=d, here=h) for n, (a, d, h) in enumerate(said)])


def test_the_stations_hold_every_check_of_the_hour_once() -> None:
    assert sorted(c for s in STATIONS for c in s.checks) == sorted(CHECKS)
    assert sum(s.minutes for s in STATIONS) == sum(line.minutes for line in HOUR.values())


@given(places)
def test_nobody_is_called_twice_or_away_from_a_station_or_to_one_that_is_done(people: list[Place]) -> None:
    called = [(line.station.slug, line.next) for line in board(people).lines if line.next is not None]
    assert len({p.member for _, p in called}) == len(called)
    for slug, one in called:
        assert one.free
        assert slug not in one.done
        assert not any(p.at == slug for p in people)


@given(places)
def test_the_bottleneck_never_idles_while_somebody_free_needs_it(people: list[Place]) -> None:
    said = board(people)
    line = next((line for line in said.lines if line.station.slug == said.bottleneck), None)
    waiting = [p for p in people if line and p.free and line.station.slug not in p.done]
    if line is not None and waiting and not line.there:
        assert line.next is not None


def test_the_station_with_most_minutes_left_is_the_bottleneck() -> None:
    # mat and hip line take 14 minutes each by the plan, no other station more than 9
    people = [place(n, done=frozenset({"mat"} if n == 0 else {})) for n in range(8)]
    assert board(people).bottleneck == "hip-line"
    done = [place(n, done=frozenset({"hip-line"})) for n in range(8)]
    assert board(done).bottleneck == "mat"


def test_whoever_has_to_leave_first_is_called_first() -> None:
    people = [place(1), place(2, leaves_at=NINE + timedelta(hours=3)), place(3, leaves_at=NINE)]
    said = board(people)
    line = next(line for line in said.lines if line.station.slug == said.bottleneck)
    assert line.next is not None
    assert line.next.name == "Player 3"


def test_a_player_who_left_holds_nobody_up_and_one_who_is_late_is_still_counted() -> None:
    gone, late = place(1, here=False, left=True), place(2, here=False)
    assert board([gone]).bottleneck is None
    line = next(line for line in board([late]).lines if line.station.slug == "hip-line")
    assert (line.need, line.next) == (1, None)


def test_going_to_another_station_finishes_the_one_before() -> None:
    told = [
        Happened(what="came", station="", at=NINE),
        Happened(what="at", station="desk", at=NINE + timedelta(minutes=5)),
        Happened(what="at", station="mat", at=NINE + timedelta(minutes=15)),
    ]
    here = place_of(UUID(int=1), "Wren", reversed(told))
    assert (here.at, here.done) == ("mat", frozenset({"desk"}))
    back = place_of(
        UUID(int=1), "Wren", [*told, Happened(what="left", station="", at=NINE + timedelta(hours=1))]
    )
    assert (back.left, back.at, back.done) == (True, "", frozenset({"desk", "mat"}))
