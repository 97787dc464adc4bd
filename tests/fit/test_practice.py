"""Practice as a share with its range, and beside what the aim check expects; against two other programs."""

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.proportion import (  # type: ignore[import-untyped]  # it has no types
    confint_proportions_2indep,
    proportion_confint,
)

from evenground.errors import EvengroundError
from evenground.estimate import Interval
from evenground.fit import practice
from evenground.fit.practice import (
    AimForecast,
    compare_practice,
    expected_shares,
    gate_window_deg,
    score_practice,
    share_interval,
)
from evenground.visit import AimPractice

STEADY = AimForecast(bias_deg=0.1, spread_deg=0.7, n=400)


def sheet(*counts: tuple[int, int], gate_mm: float = 80.0) -> list[AimPractice]:
    return [
        AimPractice(entry=i, day=date(2026, 5, i), distance_m=1.5, gate_mm=gate_mm, rolled=n, passed=k)
        for i, (k, n) in enumerate(counts, 1)
    ]


@given(st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_the_range_of_a_share_is_that_of_another_program(counted: tuple[int, int]) -> None:
    k, n = counted
    low, high = proportion_confint(k, n, method="beta")  # statsmodels: Clopper and Pearson
    ours = share_interval(k, n)
    assert (ours.low, ours.high) == pytest.approx((low, high), abs=1e-9)


@pytest.mark.parametrize(("one", "other"), [((56, 70), (48, 80)), ((9, 10), (3, 10)), ((0, 20), (4, 25))])
def test_the_range_of_a_difference_is_that_of_another_program(
    one: tuple[int, int], other: tuple[int, int]
) -> None:
    # statsmodels: Newcombe's method 10 from two Wilson ranges; ours takes whatever ranges it is given.
    low, high = confint_proportions_2indep(*one, *other, method="newcomb")
    wide = [
        Interval(low=a, high=b, level=0.95, unit="")
        for a, b in (
            proportion_confint(*one, method="wilson"),
            proportion_confint(*other, method="wilson"),
        )
    ]
    ours = practice._apart(one[0] / one[1], wide[0], other[0] / other[1], wide[1])
    assert (ours.low, ours.high) == pytest.approx((low, high), abs=1e-6)


def test_a_gate_as_wide_as_a_ball_lets_none_pass_and_a_wider_one_more_than_a_narrower() -> None:
    with pytest.raises(EvengroundError, match="No ball fits"):
        gate_window_deg(42.67, 1.5)
    means = [float(expected_shares(STEADY, gate, 1.5).mean()) for gate in (50.0, 60.0, 80.0, 120.0)]
    assert means == sorted(means)
    farther = expected_shares(STEADY, 60.0, 3.0).mean()
    assert farther < means[1]


def test_the_expected_share_is_what_rolled_balls_show() -> None:
    rng = np.random.default_rng(20260509)
    aims = rng.normal(STEADY.bias_deg, STEADY.spread_deg, 400_000) * STEADY.face_share
    across = 1500.0 * np.tan(np.radians(aims))
    seen = float(np.mean(np.abs(across) < (60.0 - 42.67) / 2.0))
    told = float(expected_shares(STEADY, 60.0, 1.5).mean())
    assert told == pytest.approx(seen, abs=0.01)  # the forecast of 400 aims is a little wider than the truth


def test_practice_as_expected_agrees_far_fewer_and_more_are_said_and_few_balls_say_nothing() -> None:
    expected = float(expected_shares(STEADY, 60.0, 1.5).mean())
    right = round(600 * expected)
    word = {
        "agrees": sheet((right, 600), gate_mm=60.0),
        "fewer than expected": sheet((5, 40), gate_mm=60.0),
        "more than expected": sheet((40, 40), gate_mm=60.0),
        "cannot tell": sheet((round(9 * expected), 9), gate_mm=60.0),
    }
    for said, entries in word.items():
        assert compare_practice(score_practice(entries)[0], STEADY).word == said


def test_a_forecast_of_three_aims_never_agrees_and_says_that_aims_are_missing() -> None:
    vague = AimForecast(bias_deg=0.1, spread_deg=0.7, n=3)
    found = compare_practice(score_practice(sheet((30, 60), gate_mm=60.0))[0], vague)
    assert found.word == "cannot tell"
    assert found.more_balls is None
    assert "more aims" in found.why


def test_gates_are_scored_apart_and_days_that_differ_widen_the_range() -> None:
    one, other = score_practice([*sheet((7, 10)), *sheet((5, 10), gate_mm=60.0)])
    assert (one.gate_mm, other.gate_mm) == (80.0, 60.0)
    steady, jumpy = (score_practice(sheet(*days))[0] for days in ([(20, 40)] * 4, [(2, 40), (38, 40)] * 2))
    assert steady.share == jumpy.share == 0.5
    assert steady.spread_factor == 1.0
    assert jumpy.spread_factor > 5.0
    assert jumpy.interval.low < steady.interval.low
    assert jumpy.interval.high > steady.interval.high
