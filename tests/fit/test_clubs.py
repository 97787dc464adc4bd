"""Verdicts, the 14-inch scale and the lie."""

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.fit.clubs import (
    HandsTooHighError,
    check_club_length,
    check_grip_length,
    check_grip_profile,
    check_putter_lie,
    lie_change_deg,
    profile_rise_mm,
    swing_weight_points,
)


def test_a_limit_within_the_error_cannot_be_certified() -> None:
    assert check_putter_lie(79.5, se_deg=0.5).answer == "cannot certify"
    assert check_putter_lie(78.0, se_deg=0.5).answer == "conforms"
    assert check_club_length(1215.0, "woods", se_mm=3.0).answer == "cannot certify"
    assert check_club_length(1215.0, "putter", se_mm=3.0).answer == "conforms"


def test_a_verdict_names_the_size_and_the_limit() -> None:
    assert check_grip_length(170.0).text == "170.0 mm, at least 177.8 mm"
    assert check_grip_length(177.8).answer == "conforms"


def test_a_small_rise_is_no_bulge() -> None:
    assert check_grip_profile([22.9, 22.0, 22.2]).answer == "conforms"
    assert check_grip_profile([22.9, 22.0, 22.21]).answer == "does not conform"


@given(st.lists(st.floats(15, 40), min_size=1, max_size=30))
def test_the_rise_is_the_largest_later_minus_earlier(profile: list[float]) -> None:
    plain = max(b - a for i, a in enumerate(profile) for b in profile[i:])
    assert profile_rise_mm(profile) == pytest.approx(plain, abs=1e-12)


@given(st.floats(850, 1200), st.floats(50, 72), st.floats(0.5, 40))
def test_longer_is_flatter_and_back_again(length: float, lie: float, longer: float) -> None:
    flatter = lie_change_deg(length, lie, longer)
    assert flatter < 0.0
    assert lie_change_deg(length + longer, lie + flatter, -longer) == pytest.approx(-flatter, abs=1e-9)


def test_a_club_too_short_for_the_hands_is_refused() -> None:
    with pytest.raises(HandsTooHighError, match=r"cannot hold the hands .* mm high") as caught:
        lie_change_deg(900.0, 80.0, -200.0)
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)  # noqa: S301 - our own bytes


def test_head_mass_raises_the_swing_weight_by_lever_arm() -> None:
    # Statics by hand: g at the head of a club whose balance it does not move much counts (L - 14 in) each.
    before = swing_weight_points(430.0, 690.0)
    mass, arm = 2.0, 940.0
    after = swing_weight_points(430.0 + mass, (430.0 * 690.0 + mass * arm) / (430.0 + mass))
    assert after - before == pytest.approx(mass / 28.349523125 * (arm - 355.6) / 25.4 / 1.75, rel=1e-9)
