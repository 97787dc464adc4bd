"""Turn to each side, and what pain does to a reading."""

import pickle
from dataclasses import replace
from typing import Literal

import pytest

from evenground.measure.turn import MixedTurnPartsError, NoTurnError, turn_ranges
from evenground.visit import TurnReading


def turns(toward: Literal["lead", "trail"], *degrees: float, pain: bool = False) -> list[TurnReading]:
    return [TurnReading(toward=toward, turn_deg=d, stopped_by_pain=pain) for d in degrees]


def test_each_side_has_its_mean_its_best_and_their_errors() -> None:
    ranges = turn_ranges([*turns("lead", 50, 54, 52), *turns("trail", 60, 61)], known_sd_deg=2.0)
    assert ranges.lead.mean_deg is not None
    assert ranges.lead.best_deg is not None
    assert (ranges.lead.mean_deg.value, ranges.lead.best_deg.value) == (52.0, 54.0)
    assert ranges.lead.mean_deg.se == pytest.approx(2.0 / 3**0.5)
    assert ranges.lead.best_deg.se == pytest.approx(2.0)
    assert ranges.difference_deg is not None
    assert ranges.difference_deg.value == pytest.approx(-8.5)
    assert ranges.difference_deg.se == pytest.approx(2.0 * (1 / 3 + 1 / 2) ** 0.5)


def test_swapping_sides_swaps_the_answer_and_nothing_else() -> None:
    one = turn_ranges([*turns("lead", 50, 54), *turns("trail", 60, 61)], known_sd_deg=2.0)
    other = turn_ranges([*turns("trail", 50, 54), *turns("lead", 60, 61)], known_sd_deg=2.0)
    assert one.lead.mean_deg == other.trail.mean_deg
    assert one.difference_deg is not None
    assert other.difference_deg is not None
    assert one.difference_deg.value == -other.difference_deg.value


def test_a_turn_stopped_by_pain_counts_for_nothing_and_is_said() -> None:
    ranges = turn_ranges([*turns("lead", 50, 54), *turns("lead", 75, pain=True)], known_sd_deg=2.0)
    assert ranges.lead.best_deg is not None
    assert ranges.lead.best_deg.value == 54.0
    assert ranges.lead.stopped == 1
    assert ranges.notes == ("Pain stopped 1 of 3 turns; they are no range.",)
    assert ranges.trail.reason == "not taken to this side"
    assert ranges.difference_deg is None


def test_a_side_that_pain_stopped_every_time_has_no_range() -> None:
    ranges = turn_ranges([*turns("lead", 50), *turns("trail", 30, 31, pain=True)])
    assert ranges.trail.mean_deg is None
    assert ranges.trail.reason == "pain stopped every turn to this side"
    with pytest.raises(
        NoTurnError, match=r"Pain stopped 2 of 2 turns.*is no range.*health professional"
    ) as caught:
        turn_ranges(turns("lead", 30, 31, pain=True))
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)  # noqa: S301 - our own bytes
    with pytest.raises(NoTurnError, match="No turn was entered"):
        turn_ranges([])


def test_one_turn_carries_a_published_tester_s_error() -> None:
    # Johnson et al. 2012, J Athl Train 47:52-60: same-day SEM 0.8 to 2.1 deg; the largest is taken.
    ranges = turn_ranges(turns("lead", 50))
    assert ranges.lead.mean_deg is not None
    assert ranges.lead.mean_deg.se == 2.1
    assert "not this studio's own" in ranges.notes[0]


def test_trunk_and_pelvis_are_never_one_range() -> None:
    pelvis = [replace(t, part="pelvis") for t in turns("lead", 30, 31)]
    assert turn_ranges(pelvis).part == "pelvis"
    with pytest.raises(
        MixedTurnPartsError, match="2 turns of the trunk and 2 of the pelvis are not one range"
    ):
        turn_ranges([*turns("lead", 50, 51), *pelvis])


def test_turns_in_several_stances_say_so() -> None:
    widths = [replace(t, width_mm=w) for t, w in zip(turns("lead", 50, 48), (300.0, 500.0), strict=True)]
    notes = turn_ranges(widths, known_sd_deg=2.0).notes
    assert notes == ("Turns toward the target are over 2 stances; the mean is over all of them.",)


def test_a_slip_of_ten_times_is_named_and_counted() -> None:
    found = turn_ranges(turns("trail", 52, 5.3, 54), known_sd_deg=2.0)
    assert found.notes == (
        (
            "Turn 2 away from the target reads 5.3 deg, a tenth of the others (about 53): check it; it is "
            "counted as it stands."
        ),
    )
    assert found.trail.mean_deg is not None
    assert found.trail.mean_deg.value == pytest.approx(37.1)


def test_turns_that_all_agree_keep_the_error_of_one_turn() -> None:
    mean = turn_ranges(turns("lead", 50, 50, 50)).lead.mean_deg
    assert mean is not None
    assert mean.se == pytest.approx(2.1 / 3**0.5)
