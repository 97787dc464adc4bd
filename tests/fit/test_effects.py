import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenground.fit.effects import Effect, Effects, TooFewTrialsToTellError, fit_effects
from evenground.fit.effects_design import Trial, alias_sets, lay_out_design

WIDTHS = (300.0, 420.0, 340.0, 380.0, 300.0, 420.0, 360.0, 320.0)
NOISE = (0.5, -0.2, 0.1, -0.6, -0.3, 0.4, 0.2, -0.1)


def trials(values: Sequence[float], **conditions: Sequence[float | str]) -> list[Trial]:
    rows = zip(*conditions.values(), strict=True)
    return [
        Trial(value=v, conditions=dict(zip(conditions, row, strict=True)))
        for v, row in zip(values, rows, strict=True)
    ]


def fitted(found: Sequence[Trial], known_sd: float | None = None) -> Effects:
    return fit_effects(found, response="hip line", unit="deg", known_sd=known_sd)


def named(found: Effects, condition: str) -> Effect:
    return next(e for e in found.effects if e.condition == condition)


def test_an_effect_is_the_change_from_the_smallest_to_the_largest_value_tried() -> None:
    found = named(
        fitted(trials([0.02 * w + e for w, e in zip(WIDTHS, NOISE, strict=True)], width_mm=WIDTHS)),
        "width_mm",
    )
    assert (found.start, found.end) == (300.0, 420.0)
    assert found.change is not None
    assert found.change.interval().holds(0.02 * 120.0)
    assert found.seen


def test_effects_agree_with_the_difference_of_means_for_two_words() -> None:
    # By hand: means 1 and 4, pooled variance (2 + 2 + 2 + 2) / 4 = 2 over 2 + 2 readings a side of three.
    values = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0]
    found = named(fitted(trials(values, grip=["own"] * 3 + ["proposed"] * 3)), "grip")
    assert (found.start, found.end) == ("own", "proposed")
    assert found.change is not None
    assert found.change.value == pytest.approx(3.0)
    assert found.change.se == pytest.approx(math.sqrt(1.0 * (1 / 3 + 1 / 3)))
    assert found.change.dof == 4


def test_the_largest_effect_comes_first() -> None:
    grip = ["own", "new"] * 4
    values = [0.05 * w + 0.5 * (g == "new") + e for w, g, e in zip(WIDTHS, grip, NOISE, strict=True)]
    sizes = [
        abs(e.change.value) for e in fitted(trials(values, grip=grip, width_mm=WIDTHS)).effects if e.change
    ]
    assert sizes == sorted(sizes, reverse=True)
    assert len(sizes) == 2


@settings(max_examples=25)
@given(st.floats(-40.0, 40.0))
def test_a_constant_on_every_reading_changes_no_effect(shift: float) -> None:
    plain = fitted(trials(NOISE, width_mm=WIDTHS))
    moved = fitted(trials([v + shift for v in NOISE], width_mm=WIDTHS))
    one, other = plain.effects[0].change, moved.effects[0].change
    assert one is not None
    assert other is not None
    assert other.value == pytest.approx(one.value, abs=1e-9)
    assert other.se == pytest.approx(one.se, abs=1e-9)


def test_readings_with_the_other_sign_give_effects_with_the_other_sign() -> None:
    plain, turned = (fitted(trials([s * v for v in NOISE], width_mm=WIDTHS)).effects[0] for s in (1.0, -1.0))
    assert plain.change is not None
    assert turned.change is not None
    assert turned.change.value == pytest.approx(-plain.change.value)


def test_conditions_that_always_changed_together_are_named_and_not_told_apart() -> None:
    shoes = ["flat" if w < 350 else "spiked" for w in WIDTHS]
    hands = ["hanging" if w < 350 else "on the club" for w in WIDTHS]
    ball = [1.0, 2.0, 2.0, 1.0, 1.0, 2.0, 1.0, 2.0]
    found = fitted(trials(NOISE, shoes=shoes, hands=hands, ball_mm=ball))
    assert found.aliases == (("shoes", "hands"),)
    assert named(found, "shoes").change is None
    assert "hands" in (named(found, "shoes").reason or "")
    assert named(found, "ball_mm").change is not None


def test_a_condition_that_is_a_sum_of_two_others_is_aliased_with_both() -> None:
    a = np.array([0.0, 1.0, 0.0, 1.0, 2.0, 0.0, 1.0, 2.0])
    b = np.array([0.0, 0.0, 1.0, 1.0, 0.0, 2.0, 2.0, 1.0])
    c = np.array([0.0, 1.0, 1.0, 0.0, 0.0, 1.0, 0.0, 1.0])
    design = lay_out_design(
        trials(NOISE, a=a.tolist(), b=b.tolist(), c=c.tolist(), d=(a + b).tolist()), series=False
    )
    assert [tuple(design.columns[i].name for i in s) for s in alias_sets(design)] == [("a", "b", "d")]


def test_what_was_never_varied_is_listed_and_has_no_effect() -> None:
    found = fitted(trials(NOISE, width_mm=WIDTHS, shoes=["flat"] * 8))
    assert found.never_varied == (("shoes", "flat"),)
    assert [e.condition for e in found.effects] == ["width_mm"]


def test_nothing_varied_says_so() -> None:
    found = fitted(trials(NOISE, shoes=["flat"] * 8))
    assert found.effects == ()
    assert "nothing was varied" in found.notes[0]


def test_a_condition_that_is_not_on_every_trial_is_left_out_and_said() -> None:
    some = trials(NOISE, width_mm=WIDTHS)
    some[0] = Trial(value=0.5, conditions={"width_mm": 300.0, "toe_out_lead_deg": 20.0})
    found = fitted(some)
    assert any("toe out lead is not written down on 7 trials" in note for note in found.notes)


def test_too_few_trials_are_refused_with_how_many_more() -> None:
    with pytest.raises(TooFewTrialsToTellError, match=r"2 trials cannot tell.*Take 2 more"):
        fitted(trials([1.0, 2.0], width_mm=[300.0, 400.0]))
    with pytest.raises(TooFewTrialsToTellError):
        fitted([])


def test_a_drift_over_the_series_is_an_effect_of_its_own() -> None:
    series = [
        Trial(value=0.5 * i + e, conditions={"width_mm": w}, order=float(i))
        for i, (w, e) in enumerate(zip(WIDTHS, NOISE, strict=True))
    ]
    drift = named(fitted(series), "place in the series").change
    assert drift is not None
    assert drift.interval().holds(3.5)


def test_pairs_take_away_what_differs_between_placements() -> None:
    # Same readings: as pairs the error is that of the differences, by hand mean 1, SD sqrt(1/3), n 4.
    apart = [0.5, 1.5, 0.5, 1.5]
    paired = [
        Trial(value=10.0 * k + (d if grip == "new" else 0.0), conditions={"grip": grip}, group=str(k))
        for k, d in enumerate(apart)
        for grip in ("own", "new")
    ]
    change = named(fitted(paired), "grip").change
    assert change is not None
    assert change.value == pytest.approx(1.0)
    assert change.se == pytest.approx(math.sqrt(1 / 3 / 4), rel=1e-4)
    assert change.dof == 3


def test_the_studios_own_error_is_used_unless_the_trials_contradict_it() -> None:
    values = [3.0 * e for e in NOISE]
    usual, tight = (fitted(trials(values, width_mm=WIDTHS), known_sd=sd) for sd in (1.5, 0.1))
    assert usual.effects[0].change is not None
    assert math.isinf(usual.effects[0].change.dof)
    assert usual.noise_sd == pytest.approx(1.5)
    assert tight.effects[0].change is not None
    assert tight.effects[0].change.dof == 6
    assert "larger than the studio's error" in tight.notes[0]


def test_a_bend_is_taken_away_and_said_and_leaves_the_ends_alone() -> None:
    widths = [300.0 + 20.0 * i for i in range(10)]
    values = [0.001 * (w - 390.0) ** 2 + 0.02 * w + 0.05 * (-1) ** i for i, w in enumerate(widths)]
    found = fitted(trials(values, width_mm=widths))
    assert any("no straight line" in note for note in found.notes)
    assert found.effects[0].change is not None
    assert found.effects[0].change.value == pytest.approx(0.02 * 180.0, abs=0.1)
