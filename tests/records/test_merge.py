from collections.abc import Sequence
from typing import Any
from uuid import UUID

from hypothesis import given
from hypothesis import strategies as st

from evenground.records.entries import Entry
from evenground.records.merge import merged
from tests.records.making import entry, numbered

IDS = [UUID(int=n) for n in range(1, 13)]


@st.composite
def logs(draw: st.DrawFn) -> list[Entry]:
    """Logs of one kind in which readings set, correct and take back each other at random."""
    entries: list[Entry] = []
    for number in range(draw(st.integers(1, len(IDS)))):
        earlier = st.sampled_from([None, *(e.id for e in entries)])
        supersedes = draw(earlier)
        void = draw(st.booleans()) if supersedes is not None else False
        which = draw(st.sets(st.sampled_from(["width_mm", "hip_line_deg"]), min_size=1))
        fields: dict[str, Any] = {"trial": draw(st.integers(1, 2))} | dict.fromkeys(
            sorted(which), 100.0 + number
        )
        own: dict[str, Any] = {"id": IDS[number], "supersedes": supersedes}
        entries.append(entry("hip-line trial", **own, **({"void_reason": "why"} if void else fields)))
    return numbered(*entries)


def root(log: Sequence[Entry], which: UUID) -> UUID:
    above = {e.id: e.supersedes for e in log}[which]
    return which if above is None else root(log, above)


def shown_slowly(log: Sequence[Entry], trial: int, field: str) -> float | None:
    """What shows of a field, straight from the rule: the latest value that nothing later took away."""
    for at in reversed(range(len(log))):
        one = log[at]
        if one.payload.get("trial") == trial and field in one.payload:
            mine = root(log, one.id)
            taken = any(e.supersedes is not None and root(log, e.supersedes) == mine for e in log[at + 1 :])
            return None if taken else one.payload[field]
    return None


@given(logs(), st.randoms(use_true_random=False))
def test_what_shows_is_the_latest_value_that_nothing_took_away_in_whatever_order_readings_arrive(
    log: list[Entry], rng: Any
) -> None:
    shuffled = list(log)
    rng.shuffle(shuffled)
    seen = merged(shuffled)
    for trial in (1, 2):
        slot = seen.slot("hip-line trial", {"trial": trial})
        shown = {} if slot is None else slot.values
        for field in ("width_mm", "hip_line_deg"):
            assert shown.get(field) == shown_slowly(log, trial, field)


@given(logs())
def test_every_value_that_was_ever_given_stands_in_the_history(log: list[Entry]) -> None:
    seen = merged(log)
    for trial in (1, 2):
        mine = [e.payload for e in log if e.payload.get("trial") == trial]
        values = [payload["width_mm"] for payload in mine if "width_mm" in payload]
        told = seen.history("hip-line trial", {"trial": trial}, "width_mm")
        assert [line.value for line in told] == values[::-1]
        assert sum(line.became == "shown" for line in told) <= 1


def test_of_two_corrections_that_put_a_trial_in_two_places_the_later_shows() -> None:
    first = entry("hip-line trial", trial=1, width_mm=400)
    log = numbered(
        first,
        entry("hip-line trial", trial=2, width_mm=400, supersedes=first.id),
        entry("hip-line trial", trial=3, width_mm=400, supersedes=first.id),
    )
    assert [slot.key for slot in merged(log).of("hip-line trial")] == [(3,)]


def test_taking_back_an_older_reading_leaves_a_newer_one_of_other_hands() -> None:
    old, new = entry("body mass", mass_kg=71), entry("body mass", mass_kg=72)
    log = numbered(old, new, entry("body mass", supersedes=old.id, void_reason="other scales"))
    slot = merged(log).slot("body mass")
    assert slot is not None
    assert slot.values == {"mass_kg": 72}
