"""What stance does to the turn: slopes within a player, known truth, and what cannot be told."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

import numpy as np
import pytest
import statsmodels.api as sm  # type: ignore[import-untyped]
from bench.prove_turn import prove

from evenground.fit.turn import NothingVariedError, TurnSlope, turn_response
from evenground.visit import TurnReading

Toward = Literal["lead", "trail"]


def turns(toward: Toward, pairs: Sequence[tuple[float, float]]) -> list[TurnReading]:
    return [TurnReading(toward=toward, width_mm=w, turn_deg=d) for w, d in pairs]


def only(slopes: Sequence[TurnSlope]) -> TurnSlope:
    assert len(slopes) == 1
    return slopes[0]


def test_the_slope_is_that_of_least_squares_per_hundred_millimetres() -> None:
    pairs = [(300, 60), (420, 52), (350, 58), (500, 50), (300, 61), (460, 49), (380, 55.5)]
    found = only(turn_response(turns("trail", pairs), known_sd_deg=1e-6).slopes)
    # Beside statsmodels' ordinary least squares; with the place in the series held, as ours does when turns
    # are to spare.
    widths = np.array([w for w, _ in pairs], dtype=float)
    x = sm.add_constant(np.column_stack([widths, np.arange(1, 8)]))
    fit = sm.OLS(np.array([d for _, d in pairs], dtype=float), x).fit()
    assert found.slope is not None
    assert found.slope.value == pytest.approx(100.0 * fit.params[1], rel=1e-9)
    assert found.slope.se == pytest.approx(100.0 * fit.bse[1], rel=1e-9)  # their own scatter: 0 is no error
    assert (found.low, found.high, found.toward) == (300, 500, "trail")
    assert found.seen


def test_each_side_and_part_has_a_slope_of_its_own() -> None:
    steep = [(300, 60), (400, 50), (500, 40), (350, 55), (450, 45)]
    flat = [(w, 52.0) for w, _ in steep]
    readings = [*turns("trail", steep), *turns("lead", flat)]
    readings += [replace(t, part="pelvis", turn_deg=t.turn_deg / 2) for t in turns("trail", steep)]
    found = {(s.part, s.toward): s.slope for s in turn_response(readings, known_sd_deg=1.0).slopes}
    values = {key: slope.value for key, slope in found.items() if slope is not None}
    assert values == pytest.approx(
        {("trunk", "lead"): 0.0, ("trunk", "trail"): -10.0, ("pelvis", "trail"): -5.0}, abs=1e-9
    )


def test_swapping_the_sides_swaps_the_slopes() -> None:
    pairs = [(300, 60), (400, 50), (500, 40), (350, 55), (450, 46)]
    one = only(turn_response(turns("lead", pairs)).slopes)
    other = only(turn_response(turns("trail", pairs)).slopes)
    assert one.slope == other.slope
    assert (one.toward, other.toward) == ("lead", "trail")


def test_posture_is_told_per_ten_degrees() -> None:
    leans = (30.0, 40.0, 50.0, 30.0, 50.0, 40.0)
    readings = [TurnReading(toward="lead", turn_deg=60 - 0.3 * a, trunk_deg=a) for a in leans]
    found = only(turn_response(readings, known_sd_deg=1.0).slopes)
    assert found.varied == "trunk lean"
    assert found.slope is not None
    assert found.slope.value == pytest.approx(-3.0)


def test_width_and_posture_that_always_changed_together_are_not_told_apart() -> None:
    readings = [
        TurnReading(toward="lead", turn_deg=d, width_mm=w, trunk_deg=w / 10)
        for w, d in ((300, 60), (400, 55), (500, 50), (300, 61), (500, 51), (400, 54))
    ]
    found = turn_response(readings).slopes
    assert [s.slope for s in found] == [None, None]
    assert "always changed together" in (found[0].reason or "")


def test_too_few_turns_say_how_many_more() -> None:
    found = only(turn_response(turns("lead", [(300, 60), (500, 50)])).slopes)
    assert found.slope is None
    assert found.reason is not None
    assert "2 trials cannot tell" in found.reason
    assert "Take 2 more" in found.reason


def test_turns_in_one_stance_and_turns_into_pain_say_nothing_of_it() -> None:
    with pytest.raises(
        NothingVariedError, match=r"Nothing was varied from turn to turn\..*two or three stance"
    ):
        turn_response(turns("lead", [(300, 60), (300, 61)]))
    hurt = replace(turns("lead", [(500, 30)])[0], stopped_by_pain=True)
    with pytest.raises(NothingVariedError):
        turn_response([*turns("lead", [(300, 60), (300, 61)]), hurt])


def test_what_is_proved_at_full_count_holds_at_less() -> None:
    # A tenth would take a good ten seconds; the bands are those of thirty.
    rows = prove(30, 20261126)
    assert len(rows) == 4
    assert [row["claim"] for row in rows if not row["held"]] == []
