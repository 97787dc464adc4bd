from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.db import IntegrityError

from evenground.capture.fields import UnreadableFieldError
from evenground.records.assemble import assemble
from evenground.records.blobs import BlobNotFoundError, put_blob
from evenground.records.entries import Entry
from evenground.records.log import (
    BlobNameTakenError,
    FileNotGivenError,
    NotMovableError,
    OtherKindError,
    ReadingConflictError,
    ReadingNotFoundError,
    ReasonMissingError,
    VisitNotFoundError,
    WidthsAlreadyTypedError,
    append,
    correct,
    entries_of,
    history,
    move,
    readings_since,
    void,
)
from evenground.records.models import AuditEntry, OnlyAppendedError, Reading, Visit
from evenground.records.reading_kinds import DataFromNewerVersionError, UnknownKindError
from evenground.visit import HipLineTrial
from tests.records.making import NOON, begun, entry, player, visit


def trial(number: int, width_mm: float, hip_line_deg: float, **own: Any) -> Entry:
    return entry("hip-line trial", trial=number, width_mm=width_mm, hip_line_deg=hip_line_deg, **own)


def trials(of: Visit) -> tuple[HipLineTrial, ...]:
    found = assemble(entries_of(of.pk))
    return () if found.hip_line is None else found.hip_line.trials


def with_set_up() -> Visit:
    made = visit()
    append(made.pk, entry("hip-line set-up", landmark="rear top of the hip bones"))
    return made


def test_a_started_visit_says_whose_it_is_and_when(records: str) -> None:
    started = visit(player("Ash Fennimore", handed="right", birth_year=None))
    told = assemble(entries_of(started.pk))
    assert (told.player.name, told.player.handed, told.player.birth_year) == ("Ash Fennimore", "right", None)
    assert (told.day.isoformat(), told.teacher) == ("2026-05-09", "R. Tall")
    assert [r.seq for r in readings_since(started.pk, 0)] == [1, 2]


def test_a_reading_sent_again_changes_nothing(records: str) -> None:
    of, sent = with_set_up(), trial(1, 380, 3.5)
    first, again = append(of.pk, sent), append(of.pk, sent)
    assert (first.is_new, again.is_new) == (True, False)
    assert first.reading == again.reading
    assert Reading.objects.filter(visit=of).count() == 4
    assert Visit.objects.get(pk=of.pk).last_seq == 4


def test_one_id_with_two_contents_is_refused_and_the_first_stays(records: str) -> None:
    of, taken = with_set_up(), uuid4()
    append(of.pk, trial(1, 380, 3.5, id=taken))
    with pytest.raises(ReadingConflictError):
        append(of.pk, trial(1, 390, 3.5, id=taken))
    with pytest.raises(ReadingConflictError):
        append(visit(player("Ash Fennimore")).pk, trial(1, 380, 3.5, id=taken))
    assert [t.width_mm for t in trials(of)] == [380.0]


def test_sizes_are_stored_in_their_unit_however_they_were_typed(records: str) -> None:
    of = visit()
    done = append(of.pk, entry("own club", club="a", length="37 in"))
    assert done.reading.payload == {"club": "a", "length_mm": 939.8}
    assert done.unfinished == "mark and family still missing"


def test_a_payload_that_is_not_one_of_its_kind_stores_nothing(records: str) -> None:
    of = visit()
    for wrong in (
        entry("hip-line trial", trial=1, width_mm="380"),
        entry("hip-line trial", trial=1, width_mm=20),
        entry("hip-line trial", trial=1, width_cm=38),
        entry("hip-line trial", width_mm=380),
        entry("hip-line trial", trial=1),
        entry("skip", check="turn", why="no\0time"),
        entry("skip", check="turn", why="no \ud800 time"),
    ):
        with pytest.raises(UnreadableFieldError):
            append(of.pk, wrong)
    assert Visit.objects.get(pk=of.pk).last_seq == 2


def test_a_reading_of_an_unknown_kind_or_from_a_newer_version_is_refused(records: str) -> None:
    from dataclasses import replace

    of = visit()
    with pytest.raises(UnknownKindError):
        append(of.pk, replace(trial(1, 380, 2), kind="mood"))
    with pytest.raises(DataFromNewerVersionError):
        append(of.pk, replace(trial(1, 380, 2), version=99))


def test_fields_of_one_trial_typed_on_two_tablets_come_together(records: str) -> None:
    of = with_set_up()
    one = append(of.pk, entry("hip-line trial", trial=1, width_mm=380, by="tablet one"))
    assert one.unfinished == "hip_line_deg still missing"
    assert trials(of) == ()
    two = append(of.pk, entry("hip-line trial", trial=1, hip_line_deg=-2, by="tablet two"))
    assert two.unfinished is None
    assert trials(of) == (HipLineTrial(trial=1, width_mm=380.0, hip_line_deg=-2.0),)


def test_of_two_hands_in_one_field_the_later_shows_and_both_stay(records: str) -> None:
    of = with_set_up()
    append(of.pk, trial(1, 380, 3.5, by="one"))
    append(of.pk, trial(1, 380, 4.5, by="two"))
    assert [t.hip_line_deg for t in trials(of)] == [4.5]
    told = history(of.pk, "hip-line trial", "hip_line_deg", {"trial": 1})
    assert [(h.value, h.entry.by, h.became) for h in told] == [
        (4.5, "two", "shown"),
        (3.5, "one", "replaced"),
    ]


def test_a_correction_shows_wherever_it_puts_the_reading(records: str) -> None:
    of, first = with_set_up(), trial(1, 380, 3.5)
    append(of.pk, first)
    fixed = {"trial": 2, "width_mm": 380, "hip_line_deg": 3.5}
    correct(of.pk, first.id, fixed, new_id=uuid4(), at=NOON, by="R. Tall")
    assert [t.trial for t in trials(of)] == [2]
    assert AuditEntry.objects.filter(action="corrected", object_id=str(first.id)).count() == 1


def test_a_void_reading_is_gone_from_the_visit_and_stays_in_the_history(records: str) -> None:
    of, first, second = with_set_up(), trial(1, 380, 3.5), trial(1, 380, 6.5)
    append(of.pk, first)
    append(of.pk, second)
    void(of.pk, second.id, "bar slipped", new_id=uuid4(), at=NOON)
    assert trials(of) == ()  # the older 3.5 does not come back by itself
    told = history(of.pk, "hip-line trial", "hip_line_deg", {"trial": 1})
    assert [(h.value, h.became, h.why) for h in told] == [
        (6.5, "voided", "bar slipped"),
        (3.5, "replaced", None),
    ]


def test_a_void_without_a_reason_is_refused(records: str) -> None:
    of, first = with_set_up(), trial(1, 380, 3.5)
    append(of.pk, first)
    with pytest.raises(ReasonMissingError):
        void(of.pk, first.id, "  ", new_id=uuid4(), at=NOON)
    assert len(trials(of)) == 1


def test_a_reading_saved_under_the_wrong_player_moves_with_its_history(records: str) -> None:
    mine, theirs = with_set_up(), with_set_up()
    wrong, own, move_id = trial(1, 400, 8.0), trial(1, 380, 1.0), uuid4()
    append(mine.pk, wrong)
    append(theirs.pk, own)
    (copy,) = move(mine.pk, [wrong.id], theirs.pk, "wrong badge", move_id=move_id, at=NOON, by="R. Tall")
    assert trials(mine) == ()
    assert [(t.trial, t.hip_line_deg) for t in trials(theirs)] == [(1, 1.0), (2, 8.0)]
    assert copy.moved_from == wrong.id
    (left,) = history(mine.pk, "hip-line trial", "hip_line_deg", {"trial": 1})
    assert (left.became, left.why) == ("voided", "wrong badge")
    assert AuditEntry.objects.filter(action="moved", object_id=str(wrong.id)).count() == 1
    lines = Reading.objects.count()
    assert move(mine.pk, [wrong.id], theirs.pk, "wrong badge", move_id=move_id, at=NOON) == (copy,)
    assert Reading.objects.count() == lines


def test_what_says_whose_visit_it_is_cannot_move(records: str) -> None:
    mine, theirs = visit(), visit()
    head = readings_since(mine.pk, 0)[1]
    with pytest.raises(NotMovableError):
        move(mine.pk, [head.pk], theirs.pk, "wrong", move_id=uuid4(), at=NOON)
    other = append(mine.pk, entry("safety", screening="cleared")).reading
    with pytest.raises(NotMovableError):
        move(mine.pk, [other.pk], mine.pk, "wrong", move_id=uuid4(), at=NOON)


def test_a_move_that_fails_half_way_leaves_both_visits_as_they_were(records: str) -> None:
    mine, theirs = with_set_up(), with_set_up()
    good = append(mine.pk, trial(1, 400, 8.0)).reading
    blob, other = put_blob(b"frames", "application/octet-stream"), put_blob(b"others", "text/plain")
    clash = entry("placement", recording="r", footwear="barefoot", stance="fitted", blobs={"r": blob.sha256})
    append(mine.pk, clash)
    append(
        theirs.pk,
        entry("placement", recording="r", footwear="barefoot", stance="fitted", blobs={"r": other.sha256}),
    )
    before = Reading.objects.count()
    with pytest.raises(BlobNameTakenError):
        move(mine.pk, [good.pk, clash.id], theirs.pk, "wrong badge", move_id=uuid4(), at=NOON)
    assert Reading.objects.count() == before
    assert len(trials(mine)) == 1
    assert trials(theirs) == ()


def test_a_reading_names_only_files_that_are_stored(records: str) -> None:
    of = visit()
    fields: dict[str, Any] = {"recording": "mat/one.parquet", "footwear": "barefoot", "stance": "fitted"}
    with pytest.raises(FileNotGivenError):
        append(of.pk, entry("placement", **fields))
    with pytest.raises(BlobNotFoundError):
        append(of.pk, entry("placement", **fields, blobs={"mat/one.parquet": "0" * 64}))
    stored = put_blob(b"frames", "application/octet-stream")
    append(of.pk, entry("placement", **fields, blobs={"mat/one.parquet": stored.sha256}))
    assert assemble(entries_of(of.pk)).ground[0].recording == "mat/one.parquet"


def test_a_correction_must_be_of_the_same_kind_and_visit(records: str) -> None:
    mine, theirs = visit(), visit()
    safety = append(mine.pk, entry("safety", screening="cleared")).reading
    with pytest.raises(OtherKindError):
        append(mine.pk, entry("skip", check="turn", why="no time", supersedes=safety.pk))
    with pytest.raises(ReadingNotFoundError):
        append(theirs.pk, entry("safety", screening="cleared", supersedes=safety.pk))
    with pytest.raises(VisitNotFoundError):
        append(uuid4(), entry("safety", screening="cleared"))


def test_what_typed_widths_mean_cannot_be_changed_under_them(records: str) -> None:
    of = visit()
    append(of.pk, entry("visit", width_convention="inside"))
    append(of.pk, entry("as arrived", family="irons", width_mm=300))
    with pytest.raises(WidthsAlreadyTypedError):
        append(of.pk, entry("visit", width_convention="outside"))
    append(of.pk, entry("visit", width_convention="inside", teacher="B. Oakes"))
    turned = visit()
    append(turned.pk, entry("turn", toward="lead", repeat=1, turn_deg=50))
    append(turned.pk, entry("visit", width_convention="inside"))  # that turn has no width
    append(turned.pk, entry("turn", toward="lead", repeat=1, width_mm=300))
    with pytest.raises(WidthsAlreadyTypedError):
        append(turned.pk, entry("visit", width_convention="outside"))
    assert assemble(entries_of(of.pk)).teacher == "B. Oakes"


def test_readings_since_gives_only_what_is_newer(records: str) -> None:
    of = with_set_up()
    seen = readings_since(of.pk, 0)[-1].seq
    append(of.pk, trial(1, 380, 3.5))
    assert [r.kind for r in readings_since(of.pk, seen)] == ["hip-line trial"]


@pytest.mark.parametrize(
    "change",
    [
        lambda r: Reading.objects.filter(pk=r.pk).update(payload={}),
        lambda r: Reading.objects.filter(pk=r.pk).update(seq=99),
    ],
)
def test_the_database_itself_refuses_to_rewrite_a_reading(
    records: str, change: Callable[[Reading], object]
) -> None:
    of = visit()
    reading = append(of.pk, entry("safety", screening="cleared")).reading
    with pytest.raises(IntegrityError, match="never changed"):
        change(reading)
    with pytest.raises(OnlyAppendedError):
        reading.save()
    assert Reading.objects.get(pk=reading.pk).payload == {"screening": "cleared"}


def test_a_started_visit_sent_twice_is_one_visit(records: str) -> None:
    from evenground.records.visits import start_visit

    whose, made = player(), uuid4()
    one = start_visit(whose, day=visit(whose).day, visit_id=made, at=NOON)
    two = start_visit(whose, day=one.day, visit_id=made, at=NOON)
    assert one == two
    assert Reading.objects.filter(visit=one).count() == len(begun())


def test_the_short_way_to_the_log_reads_what_the_models_hold(records: str) -> None:
    of = with_set_up()
    blob = put_blob(b"frames", "application/octet-stream")
    names = {"b.parquet": blob.sha256, "a.toml": blob.sha256}
    stand = entry("placement", recording="b.parquet", footwear="barefoot", stance="fitted", blobs=names)
    append(of.pk, stand)
    void(of.pk, stand.id, "stepped off", new_id=uuid4(), at=NOON)
    assert entries_of(of.pk) == [r.entry() for r in readings_since(of.pk, 0)]
    assert [e.kind for e in entries_of(of.pk, kind="placement")] == ["placement", "placement"]
