"""Grips and clubs against values from outside, named by their row in the project's table of check values."""

import math

import pytest

from evenground.fit.clubs import (
    check_club_length,
    check_grip_profile,
    check_grip_width,
    check_putter_lie,
    lie_change_deg,
    swing_weight_inch_ounces,
    swing_weight_points,
)
from evenground.fit.grip import installed_mm
from evenground.fit.grip_constants import REFERENCE_DIAMETER_MM, REFERENCE_HAND_MM
from evenground.stock import TAPE_MM
from evenground.units import parse_length_mm
from evenground.visit import Family


def test_grip_1_a_64th_and_how_many_layers_it_takes() -> None:
    # Arithmetic on the international inch (25.4 mm exactly); 0.005 in tape is common practice, no source.
    step = parse_length_mm("1/64 in")
    assert step == 0.396875
    assert step / (2 * TAPE_MM.value) == pytest.approx(1.5625, rel=1e-12)


def test_grip_2_a_bore_over_a_wider_shaft() -> None:
    # Constant cross-section of rubber, worked by hand: sqrt(22.86^2 - 14.73^2 + 15.24^2).
    assert installed_mm(22.86, 14.73, 15.24) == pytest.approx(23.192, abs=1e-3)


def test_a_smaller_butt_under_a_wider_bore() -> None:
    # The same rule the other way, to the two printed decimals: 0.33 mm smaller outside.
    assert 22.86 - installed_mm(22.86, 15.24, 14.73) == pytest.approx(0.33, abs=0.01)


def test_a_stretched_grip() -> None:
    # Constant volume: free 267, pulled to 277 mm on its own core of 14.73: 22.86 becomes 22.62.
    assert installed_mm(22.86, 14.73, 14.73, stretch=277 / 267) == pytest.approx(22.62, abs=0.005)  # printed


def test_hand_1_the_squeezing_ratio_would_ask_for_far_more() -> None:
    # 19.7 % of hand length (squeezing bare cylinders) is 38.08 mm for the survey's mean man; ours is 11.83 %.
    hand = REFERENCE_HAND_MM.value
    assert 0.197 * hand == pytest.approx(38.08, abs=0.01)
    assert 100 * REFERENCE_DIAMETER_MM.value / hand == pytest.approx(11.83, abs=0.01)


def test_rule_1_grip_width() -> None:
    # Equipment Rules 2-3b(iii): 44.45 mm (1.75 in).
    assert check_grip_width(44.45).answer == "conforms"
    assert check_grip_width(parse_length_mm("1.75 in")).answer == "conforms"
    assert check_grip_width(44.46).answer == "does not conform"


def test_rule_2_putter_lie() -> None:
    # Equipment Rules 2-1d: at least 10 deg from the vertical.
    assert check_putter_lie(79.9).answer == "conforms"
    assert check_putter_lie(80.1).answer == "does not conform"


@pytest.mark.parametrize(
    ("length_mm", "family", "answer"),
    [
        (457.2, "irons", "conforms"),
        (457.1, "irons", "does not conform"),
        (457.1, "putter", "does not conform"),
        (1219.2, "woods", "conforms"),
        (1219.3, "woods", "does not conform"),
        (1300.0, "putter", "conforms"),
    ],
)
def test_rule_3_club_length(length_mm: float, family: Family, answer: str) -> None:
    # Equipment Rules 2-1c: 18 to 48 in, no upper limit for putters.
    assert check_club_length(length_mm, family).answer == answer


def test_rule_4_bulge_or_waist() -> None:
    # Equipment Rules 2-3b(iii): may be tapered but must not have any bulge or waist; the 0.2 mm are ours.
    verdict = check_grip_profile([22.9, 22.0, 22.4])
    assert verdict.answer == "does not conform"
    assert "bulge or waist" in verdict.text
    assert check_grip_profile([22.9, 22.4, 22.0]).answer == "conforms"


def test_sw_1_the_14_inch_scale() -> None:
    # Lever about 14 in: (30.5 - 14) x 13.0 = 214.5 in oz; D0 213.5 and 1.75 a point are common practice.
    grams, millimetres = 13.0 * 28.349523125, 30.5 * 25.4
    assert swing_weight_inch_ounces(grams, millimetres) == pytest.approx(214.5, abs=1e-4)
    assert swing_weight_points(grams, millimetres) == pytest.approx(0.5714, abs=1e-4)


@pytest.mark.parametrize(
    ("inches", "lie_deg", "longer_in", "change_deg", "off"),
    [
        (37.0, 62.5, 0.5, -1.433, 1e-3),  # lie-1
        (45.0, 58.0, 1.0, -1.941, 1e-3),  # lie-2
        (37.0, 62.5, 1.0, -2.77, 0.01),
        (45.0, 58.0, 0.5, -0.99, 0.01),
        (38.0, 61.0, 0.5, -1.32, 0.01),
        (36.0, 63.5, 0.5, -1.53, 0.01),
        (34.0, 71.0, 0.5, -2.28, 0.01),
        (34.0, 71.0, 1.0, -4.29, 0.01),
    ],
)
def test_lie_at_one_hand_height(
    inches: float, lie_deg: float, longer_in: float, change_deg: float, off: float
) -> None:
    # Exact geometry h = L sin(lie), tolerances from the printed digits; half an inch is not 1 deg.
    assert lie_change_deg(25.4 * inches, lie_deg, 25.4 * longer_in) == pytest.approx(change_deg, abs=off)
    again = math.degrees(math.asin(inches * math.sin(math.radians(lie_deg)) / (inches + longer_in))) - lie_deg
    assert lie_change_deg(25.4 * inches, lie_deg, 25.4 * longer_in) == pytest.approx(again, abs=1e-9)
