from dataclasses import replace
from typing import Any
from uuid import UUID

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from evenground.capture.bundle_writer import visit_toml
from evenground.capture.fields import read_toml
from evenground.capture.visit_file import VisitFile, visit_from
from evenground.records.assemble import VisitNotBegunError, assemble, fold
from evenground.records.entries import Entry
from evenground.records.from_file import TwiceInTheFileError, entries_from
from evenground.records.reading_kinds import KINDS
from evenground.visit import Visit
from tests.capture.bundle_samples import VISIT, swapped
from tests.records.making import begun, entry, numbered
from tests.strategies import visits

VISIT_ID = UUID(int=7)
storable = visits.filter(lambda v: "\0" not in v.teacher)  # no database keeps that character in text
DIGESTS = {"mat/one.parquet": "a" * 64}


def typed(text: str = VISIT) -> VisitFile:
    return read_toml(text.encode(), VisitFile, file="visit.toml")


def one_field_at_a_time(log: list[Entry]) -> list[Entry]:
    """The same log as a form saves it: each field as it is typed, keys with every one."""
    pieces = []
    for one in log:
        keys = {k: v for k, v in one.payload.items() if k in KINDS[one.kind].keys}
        for name, value in one.payload.items():
            if name not in keys:
                pieces.append(entry(one.kind, **keys, **{name: value}))
    return numbered(*pieces)


@given(storable, st.randoms(use_true_random=False))
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_readings_of_a_visit_assemble_to_the_same_visit_in_any_order(visit: Visit, rng: Any) -> None:
    file = typed(visit_toml(visit))
    names = {name for p in visit.ground for name in (p.recording, p.layout) if name is not None}
    names |= {v.photo for v in visit.posture_views if v.photo is not None}
    names |= {n for pair in visit.held_load for n in pair.recordings}
    try:
        log = entries_from(file, VISIT_ID, dict.fromkeys(names, "a" * 64))
    except TwiceInTheFileError:
        twice: list[list[Any]] = [[p.recording for p in visit.ground]]
        twice.append([(t.condition, t.trial) for t in visit.aim.trials] if visit.aim is not None else [])
        twice.append([(t.pair, t.club, t.grip) for t in visit.grip.trials] if visit.grip is not None else [])
        assert any(len(set(keys)) < len(keys) for keys in twice)  # only what one log cannot tell apart
        return
    rng.shuffle(log)
    said = tuple(b for b in visit.ball if b.inside_lead_heel_mm or b.from_toe_line_mm)
    assert assemble(log) == replace(visit, ball=said)  # an empty entry holds no reading


def test_the_sample_visit_assembles_the_same_from_whole_readings_and_field_by_field() -> None:
    log = entries_from(typed(), VISIT_ID, DIGESTS)
    assert assemble(log) == visit_from(typed())
    assert assemble(one_field_at_a_time(log)) == visit_from(typed())


@given(st.randoms(use_true_random=False))
@settings(max_examples=30, deadline=None)
def test_fields_saved_in_any_order_assemble_to_the_same_checks(rng: Any) -> None:
    pieces = one_field_at_a_time(entries_from(typed(), VISIT_ID, DIGESTS))
    rng.shuffle(pieces)
    again, once = assemble(numbered(*pieces)), visit_from(typed())
    assert again.hip_line == once.hip_line
    assert again.body is not None
    assert once.body is not None
    assert set(again.body.sizes) == set(once.body.sizes)
    assert replace(again, body=once.body) == once


def test_widths_typed_inside_the_shoes_are_converted_as_the_bundle_converts_them() -> None:
    text = swapped('width_convention = "heel centres"', 'width_convention = "inside"')
    log = entries_from(typed(text), VISIT_ID, DIGESTS)
    visit = assemble(log)
    assert visit.as_arrived[0].width_mm == pytest.approx(320 + 2.75 * 25.4, abs=1e-9)


def test_widths_wait_until_the_shoes_that_convert_them_are_measured() -> None:
    log = [
        *begun(),
        entry("visit", width_convention="inside"),
        entry("as arrived", family="irons", width_mm=300.0),
    ]
    before = fold(numbered(*log))
    assert before.file.as_arrived == ()
    assert "heel breadth is missing" in before.unfinished[0].reason
    after = assemble(numbered(*log, entry("shoes", heel_breadth_mm=70.0)))
    assert after.as_arrived[0].width_mm == 370.0


def test_a_turn_waits_with_its_width_and_one_without_does_not() -> None:
    log = [
        *begun(),
        entry("visit", width_convention="inside"),
        entry("turn", toward="lead", repeat=1, turn_deg=50.0, width_mm=300.0),
        entry("turn", toward="lead", repeat=2, turn_deg=52.0),
        entry("turn", toward="lead", repeat=1, part="pelvis", turn_deg=30.0),
    ]
    before = fold(numbered(*log))
    assert [(t.turn_deg, t.part) for t in before.file.turn] == [(52.0, "trunk"), (30.0, "pelvis")]
    assert "heel breadth is missing" in before.unfinished[0].reason
    after = assemble(numbered(*log, entry("shoes", heel_breadth_mm=70.0)))
    assert [t.width_mm for t in after.turn] == [370.0, None, None]


def test_eyes_and_full_swing_aims_wait_for_the_distance() -> None:
    log = [
        *begun(),
        entry("eye line", repeat=1, offset_mm=-20.0),
        entry("full-swing aim", club="driver", trial=1, target_m=220.0, face_deg=1.0),
        entry("full-swing aim", club="driver", trial=2, target_m=220.0),
    ]
    before = fold(numbered(*log))
    assert before.file.aim is None
    reasons = [u.reason for u in before.unfinished]
    assert reasons.count("the aim set-up is still missing") >= 2
    after = assemble(numbered(*log, entry("aim set-up", distance_m=2.0))).aim
    assert after is not None
    assert (len(after.eyes), len(after.full_swing)) == (1, 1)


def test_trials_wait_for_the_landmark_and_say_so() -> None:
    log = [*begun(), entry("hip-line trial", trial=1, width_mm=380.0, hip_line_deg=2.0)]
    told = fold(numbered(*log))
    assert told.file.hip_line is None
    assert [(u.check, u.key, u.reason) for u in told.unfinished] == [
        ("hip line", (1,), "the hip-line set-up is still missing")
    ]


def test_values_that_do_not_fit_together_are_left_out_and_named() -> None:
    log = numbered(*begun(), entry("hand", side="left", length_mm=105.0, palm_length_mm=175.0))
    told = fold(log)
    assert told.file.hands is None
    assert "175 mm is not shorter than" in told.unfinished[0].reason
    assert assemble(log).hands == ()


def test_a_second_club_under_a_mark_that_is_taken_waits() -> None:
    one = entry("own club", club="a", mark="7 iron", family="irons")
    two = entry("own club", club="b", mark="7 iron", family="irons")
    told = fold(numbered(*begun(), one, two))
    assert [c.mark for c in told.file.own_clubs] == ["7 iron"]
    assert [u.key for u in told.unfinished] == [("b",)]


def test_a_limb_entered_by_mistake_can_be_cleared() -> None:
    log = [*begun(), entry("limb", limb="left arm", state="absent")]
    with_limb = assemble(numbered(*log))
    assert with_limb.body is not None
    assert with_limb.body.limbs == {"left arm": "absent"}
    assert assemble(numbered(*log, entry("limb", limb="left arm", state=None))).body is None


def test_a_log_without_a_player_is_no_visit() -> None:
    with pytest.raises(VisitNotBegunError):
        assemble(numbered(begun()[0]))
