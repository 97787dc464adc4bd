"""Length, lie, cap and reach: one triangle from every side, and errors that the derivatives give."""

import math
import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.estimate import Estimate
from evenground.fit.club_address import (
    CapTooHighError,
    ball_from_heel_line_mm,
    cap_height_mm,
    held_lie_deg,
    length_for_lie_mm,
    reach_mm,
)
from evenground.fit.clubs import lie_change_deg

lengths = st.floats(800.0, 1200.0)
lies = st.floats(50.0, 78.0)


def mm(value: float, se: float = 0.0) -> Estimate:
    return Estimate(value=value, se=se, unit="mm")


def deg(value: float, se: float = 0.0) -> Estimate:
    return Estimate(value=value, se=se, unit="deg")


@given(lengths, lies)
def test_the_triangle_closes(length: float, lie: float) -> None:
    cap, reach = cap_height_mm(mm(length), deg(lie)), reach_mm(mm(length), deg(lie))
    assert math.hypot(cap.value, reach.value) == pytest.approx(length, rel=1e-12)
    assert held_lie_deg(mm(length), cap).value == pytest.approx(lie, abs=1e-6)
    assert length_for_lie_mm(cap, deg(lie)).value == pytest.approx(length, rel=1e-9)


@given(lengths, lies, st.floats(1.0, 40.0))
def test_a_longer_club_at_one_cap_height_is_held_flatter(length: float, lie: float, longer: float) -> None:
    cap = cap_height_mm(mm(length), deg(lie))
    held = held_lie_deg(mm(length + longer), cap)
    assert held.value - lie == pytest.approx(lie_change_deg(length, lie, longer), abs=1e-6)


def test_errors_are_those_of_drawn_readings() -> None:
    rng = np.random.default_rng(20260622)
    length, lie = rng.normal(950.0, 3.0, 40_000), np.radians(rng.normal(62.0, 0.5, 40_000))
    height = rng.normal(830.0, 5.0, 40_000)
    a, b, h = mm(950.0, 3.0), deg(62.0, 0.5), mm(830.0, 5.0)
    for stated, drawn in (
        (cap_height_mm(a, b), length * np.sin(lie)),
        (reach_mm(a, b), length * np.cos(lie)),
        (held_lie_deg(a, h), np.degrees(np.arcsin(height / length))),
        (length_for_lie_mm(h, b), height / np.sin(lie)),
    ):
        assert stated.se == pytest.approx(drawn.std(), rel=0.02)  # four errors of an SD of 40 000 draws


def test_the_ball_is_further_from_the_heels_than_from_the_toes() -> None:
    plain = ball_from_heel_line_mm(mm(400.0, 4.0), 290.0, (0.0, 0.0))
    turned = ball_from_heel_line_mm(mm(400.0, 4.0), 290.0, (30.0, 30.0))
    uneven = ball_from_heel_line_mm(mm(400.0, 4.0), 290.0, (40.0, 0.0))
    assert plain.value == pytest.approx(400.0 + 0.86 * 290.0)
    assert turned.value < plain.value  # feet turned out reach less far ahead
    assert uneven.se > plain.se


def test_a_cap_above_its_club_is_refused_in_a_sentence() -> None:
    with pytest.raises(CapTooHighError, match="Measure the cap's height again") as caught:
        held_lie_deg(mm(900.0), mm(905.0))
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)  # noqa: S301 - our own bytes
