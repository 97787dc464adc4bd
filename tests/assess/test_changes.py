import copy
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from evenground.assess import assess
from evenground.assess.change_lines import Told
from evenground.assess.changes import OtherPlayerError, VisitChange, WrongOrderError, compare_visits
from evenground.capture.bundle import read_bundle
from evenground.example import example_bundle
from evenground.fit.change import LineChange
from evenground.plain import to_plain
from evenground.visit import HipLineCheck, Shoes


@pytest.fixture(scope="module")
def first() -> Told:
    read = read_bundle(example_bundle())
    # The recordings are left out: their lines go the same way as all others, and reading them takes seconds.
    visit = replace(read.visit, ground=())
    findings = assess(visit, read.studio, read.open_blob, digests=read.digests)
    return Told(visit=visit, studio=read.studio, findings=to_plain(findings))


def later(told: Told, **changed: Any) -> Told:
    visit = replace(told.visit, visit="later", day=told.visit.day + timedelta(weeks=6), **changed)
    return Told(visit=visit, studio=told.studio, findings=copy.deepcopy(told.findings))


def line(found: VisitChange, key: str) -> LineChange:
    return next(one for one in found.lines if one.key == key)


def figure(told: Told, kind: str, *path: str) -> Any:
    at = next(f for f in told.findings["findings"] if f["kind"] == kind)["value"]
    for name in path:
        at = at[name]
    return at


def test_an_unchanged_player_shows_no_change_on_any_line(first: Told) -> None:
    found = compare_visits(first, later(first))
    assert {one.word for one in found.lines} <= {"no real change", "cannot tell", "not comparable"}
    assert found.days == 42
    assert len(found.lines) > 20


def test_a_turn_that_grew_is_later_less_earlier(first: Told) -> None:
    now = later(first)
    figure(now, "turn", "lead", "mean_deg")["value"] += 12.0
    change = line(compare_visits(first, now), "turn.lead.mean_deg")
    assert change.word == "changed"
    assert change.change is not None
    assert change.change.value == pytest.approx(12.0)


def test_other_shoes_make_toe_out_not_comparable_and_leave_posture_alone(first: Told) -> None:
    found = compare_visits(first, later(first, shoes=Shoes(name="others")))
    assert line(found, "irons.toe-out lead").word == "not comparable"
    assert "others now" in line(found, "irons.toe-out lead").reason
    assert line(found, "posture.irons.trunk_deg").word == "no real change"


def test_another_landmark_is_never_pooled(first: Told) -> None:
    check = first.visit.hip_line
    assert isinstance(check, HipLineCheck)
    found = compare_visits(first, later(first, hip_line=replace(check, landmark="back of the pelvis")))
    assert line(found, "irons.hip line").word == "not comparable"
    assert "other landmark" in line(found, "irons.hip line").reason


def test_another_method_version_is_not_comparable(first: Told) -> None:
    now = later(first)
    next(f for f in now.findings["findings"] if f["kind"] == "turn")["methods"]["turn"] = 99
    assert "other method" in line(compare_visits(first, now), "turn.lead.mean_deg").reason


def test_the_hip_line_is_compared_at_the_width_that_the_earlier_card_gave(first: Told) -> None:
    now = later(first)
    for curve in figure(now, "stance", "conditions"):
        for point in curve["curve"]:
            point["mean_deg"] += 8.0
    change = line(compare_visits(first, now), "irons.hip line")
    assert change.word == "changed"
    assert change.change is not None
    assert change.change.value == pytest.approx(8.0)


def test_a_bar_with_an_error_of_its_own_says_less_about_a_change(first: Told) -> None:
    check = first.visit.hip_line
    assert check is not None
    sure, loose = (
        line(compare_visits(first, later(first, hip_line=replace(check, bar_error_deg=e))), "irons.hip line")
        for e in (0.0, 4.0)
    )
    assert sure.change is not None
    assert loose.change is not None
    assert loose.change.se > sure.change.se
    assert loose.word == "cannot tell"


def test_another_teacher_brings_in_how_far_observers_differ(first: Told) -> None:
    errors = replace(first.studio.errors, turn_between_observers_deg=3.0)
    studied = replace(first, studio=replace(first.studio, errors=errors))
    same, other = (
        line(compare_visits(studied, later(studied, **changed)), "turn.lead.mean_deg")
        for changed in ({}, {"teacher": "Somebody Else"})
    )
    assert same.change is not None
    assert other.change is not None
    assert other.change.se == pytest.approx((same.change.se**2 + 2 * 9.0) ** 0.5)


def test_what_was_skipped_now_is_not_comparable_with_the_reason(first: Told) -> None:
    now = later(first)
    finding = next(f for f in now.findings["findings"] if f["kind"] == "turn")
    finding.update(value=None, reason="skipped: no time left", status="not measured")
    assert (
        line(compare_visits(first, now), "turn.lead.mean_deg").reason
        == "not measured now: skipped: no time left"
    )


def test_the_width_a_player_came_back_with_is_held_against_the_card(first: Told) -> None:
    now = later(first)
    card = figure(first, "setup.irons", "width_inside_mm")
    figure(now, "setup.irons", "was_inside_mm")["value"] = (card["low"] + card["high"]) / 2.0
    kept = {k.family: k.word for k in compare_visits(first, now).kept}
    assert kept["irons"] == "as the card said"
    assert kept["putter"] == "wider than the card said"


def test_the_cards_chance_of_square_is_scored_by_the_later_curve(first: Told) -> None:
    now = later(first)
    for curve in figure(now, "stance", "conditions"):
        for point in curve["curve"]:
            point["p_square"] = 0.25
    found = {f.what: f for f in compare_visits(first, now).forecasts}
    square = next(f for what, f in found.items() if what.startswith("irons: square"))
    assert square.came == 0.25
    assert square.said > 0.9


def test_aims_of_the_later_visit_are_counted_inside_the_window(first: Told) -> None:
    aim = first.visit.aim
    assert aim is not None
    straight = replace(aim, trials=tuple(replace(t, offset_mm=0.0) for t in aim.trials))
    found = compare_visits(first, later(first, aim=straight)).forecasts
    assert {f.came for f in found if f.what.startswith("aim")} == {1.0}
    far = replace(straight, distance_m=aim.distance_m + 1.0)
    assert not [f for f in compare_visits(first, later(first, aim=far)).forecasts if f.what.startswith("aim")]


def test_two_players_and_a_wrong_order_are_refused(first: Told) -> None:
    other = replace(first.visit.player, name="Somebody Else")
    with pytest.raises(OtherPlayerError):
        compare_visits(first, later(first, player=other))
    with pytest.raises(WrongOrderError, match="earlier visit first"):
        compare_visits(later(first), first)
