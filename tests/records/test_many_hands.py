"""Ten hands on one visit at once: nothing lost, nothing twice, nothing seen out of order."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any, TypeVar
from uuid import uuid4

from django.db import connection

from evenground.records.assemble import assemble
from evenground.records.blobs import put_blob
from evenground.records.log import append, entries_of, move, readings_since
from evenground.records.models import Reading, Visit
from tests.records.making import NOON, entry, visit

HANDS = 10
EACH = 6

T = TypeVar("T")


def at_once(hands: int, do: Callable[[int], T]) -> list[T]:
    """Let every hand begin at the same moment in a thread with a connection of its own."""
    ready = Barrier(hands)

    def one(hand: int) -> T:
        try:
            ready.wait(timeout=30)
            return do(hand)
        finally:
            connection.close()

    with ThreadPoolExecutor(hands) as pool:
        return list(pool.map(one, range(hands)))


def test_ten_hands_on_one_visit_lose_nothing_and_share_one_order(records: str) -> None:
    of = visit()

    def save(hand: int) -> list[Any]:
        trials = range(hand * EACH + 1, (hand + 1) * EACH + 1)
        entries = [entry("hip-line trial", trial=t, width_mm=300 + t, hip_line_deg=0) for t in trials]
        return [append(of.pk, e).reading.pk for e in entries]

    saved = [pk for hand in at_once(HANDS, save) for pk in hand]
    append(of.pk, entry("hip-line set-up", landmark="rear top of the hip bones"))
    stored = Reading.objects.filter(kind="hip-line trial")
    assert set(stored.values_list("pk", flat=True)) == set(saved)
    seqs = [r.seq for r in readings_since(of.pk, 0)]
    assert seqs == list(range(1, Visit.objects.get(pk=of.pk).last_seq + 1))
    told = assemble(entries_of(of.pk)).hip_line
    assert told is not None
    assert len(told.trials) == HANDS * EACH


def test_one_reading_sent_by_ten_hands_at_once_is_stored_once(records: str) -> None:
    of, sent = visit(), entry("body mass", mass_kg=71)
    done = at_once(HANDS, lambda _: append(of.pk, sent))
    assert sum(d.is_new for d in done) == 1
    assert Reading.objects.filter(kind="body mass").count() == 1


def test_one_file_sent_by_ten_hands_at_once_is_stored_once(records: str) -> None:
    done = at_once(HANDS, lambda _: put_blob(b"the same frames", "application/octet-stream"))
    assert len({blob.sha256 for blob in done}) == 1


def test_whoever_follows_a_visit_misses_nothing_of_it(records: str) -> None:
    of = visit()

    def hand(number: int) -> list[int]:
        if number == 0:
            return follow()
        for repeat in range(EACH):
            append(of.pk, entry("body size", name="stature", repeat=number * EACH + repeat, size_mm=1778))
        return []

    def follow() -> list[int]:
        seen: list[int] = []
        while not seen or seen[-1] < 2 + 3 * EACH:
            seen += [r.seq for r in readings_since(of.pk, seen[-1] if seen else 0)]
        return seen

    seen = at_once(4, hand)[0]
    assert seen == list(range(1, 3 + 3 * EACH))


def test_two_moves_in_opposite_directions_do_not_wait_for_each_other_for_ever(records: str) -> None:
    one, two = visit(), visit()
    mine = [append(v.pk, entry("turn", toward="lead", repeat=1, turn_deg=40)).reading for v in (one, two)]

    def swap(hand: int) -> int:
        here, there = (one, two) if hand == 0 else (two, one)
        return len(move(here.pk, [mine[hand].pk], there.pk, "badges mixed up", move_id=uuid4(), at=NOON))

    assert at_once(2, swap) == [1, 1]
    assert [len(assemble(entries_of(v.pk)).turn) for v in (one, two)] == [1, 1]
