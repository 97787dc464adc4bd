"""Practice between two visits is held against the earlier card, and scored as a forecast."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from evenground.assess import assess
from evenground.assess.change_lines import Told
from evenground.assess.changes import compare_visits
from evenground.capture.bundle import read_bundle
from evenground.example import example_bundle
from evenground.plain import to_plain
from evenground.visit import AimPractice, Visit

EXAMPLE = read_bundle(example_bundle())


def told(visit: Visit) -> Told:
    findings = assess(visit, EXAMPLE.studio, EXAMPLE.open_blob)
    return Told(visit=visit, studio=EXAMPLE.studio, findings=to_plain(findings))


def bare(day: date, *lines: tuple[date, int]) -> Visit:
    example = EXAMPLE.visit
    practice = tuple(
        AimPractice(entry=i, day=on, distance_m=1.5, gate_mm=60.0, rolled=40, passed=passed)
        for i, (on, passed) in enumerate(lines, 1)
    )
    visit = Visit(visit=f"visit {day}", day=day, player=example.player, practice=practice)
    return replace(visit, aim=None if lines else example.aim)


def test_practice_since_the_card_is_a_forecast_and_a_note_and_older_practice_is_neither() -> None:
    first = EXAMPLE.visit.day
    later = first + timedelta(days=42)
    lines = ((first + timedelta(days=7), 36), (first - timedelta(days=7), 0))
    change = compare_visits(told(bare(first)), told(bare(later, *lines)))
    (forecast,) = [f for f in change.forecasts if f.what.startswith("practice")]
    assert forecast.came == pytest.approx(0.9)
    assert 0.0 < forecast.said < 0.6
    (note,) = [n for n in change.notes if n.startswith("practice")]
    assert "36 of 40 passed" in note
    assert "The earlier card expects" in note
    assert "more than expected" in note


def test_without_aims_on_the_card_nothing_was_promised() -> None:
    first = EXAMPLE.visit.day
    line = (first + timedelta(days=7), 4)
    before = told(replace(bare(first), aim=None))
    change = compare_visits(before, told(bare(first + timedelta(days=42), line)))
    assert change.forecasts == ()
    assert not [n for n in change.notes if n.startswith("practice")]
