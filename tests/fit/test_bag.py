"""One club and the whole bag: balance, counterweights, the Rules as far as measured, and what is missing."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.fit.bag import (
    NOWHERE,
    Stands,
    counterweight_effect,
    describe_bag,
    describe_club,
    hands_middle_mm,
)
from evenground.fit.clubs import check_grip_length, check_grip_shape, check_lean, hand_moment_n_m
from evenground.visit import BallPlace, OwnClub

IRON = OwnClub(
    mark="7 iron",
    family="irons",
    length_mm=939.8,
    length_method="60 deg plane",
    lie_deg=62.5,
    total_mass_g=425.0,
    balance_mm=715.0,
)
PUTTER = OwnClub(
    mark="putter",
    family="putter",
    length_mm=863.6,
    length_method="along the shaft",
    lie_deg=71.0,
    total_mass_g=530.0,
    balance_mm=560.0,
)


def test_swing_weight_is_for_irons_and_the_moment_about_the_hands_for_putters() -> None:
    iron, putter = describe_club(IRON), describe_club(PUTTER)
    # By hand: 425 g = 14.9914 oz, (715 - 355.6) / 25.4 = 14.1496 in: 212.12 in oz, 0.788 points under D0.
    assert iron.swing_weight_points is not None
    assert iron.swing_weight_points.value == pytest.approx((212.123 - 213.5) / 1.75, abs=0.002)
    # Error by hand: 1 mm of balance is 14.9914 / 25.4 / 1.75, half a gram 14.1496 * 0.5 / 28.35 / 1.75.
    assert iron.swing_weight_points.se == pytest.approx(math.hypot(0.3373, 0.1426), abs=0.002)
    assert iron.hand_moment_n_m is None
    assert putter.swing_weight_points is None
    # By hand: hands 101.6 mm below the cap, 0.530 kg * 9.80665 * 0.4584 m.
    assert putter.hand_moment_n_m is not None
    assert putter.hand_moment_n_m.value == pytest.approx(2.3826, abs=1e-3)


def test_one_hand_moves_the_middle_of_the_hands() -> None:
    assert hands_middle_mm(PUTTER) == pytest.approx(101.6)
    assert hands_middle_mm(replace(PUTTER, grip_style="lead hand only")) == 50.8


@given(st.floats(1.0, 200.0), st.floats(0.0, 900.0))
def test_a_counterweight_is_two_bodies_on_one_lever(added_g: float, at_mm: float) -> None:
    effect = counterweight_effect(PUTTER, added_g, at_mm)
    assert effect is not None
    whole = effect.mass_g.value * effect.balance_mm.value
    assert whole == pytest.approx(530.0 * 560.0 + added_g * at_mm, rel=1e-12)
    hands = hands_middle_mm(PUTTER)
    before = hand_moment_n_m(530.0, 560.0, hands)
    after = hand_moment_n_m(effect.mass_g.value, effect.balance_mm.value, hands)
    assert effect.hand_moment_n_m == pytest.approx(after - before, abs=1e-9)
    assert effect.hand_inertia_kg_m2 >= 0.0
    assert effect.swing_weight_points is None


def test_a_weight_in_the_butt_lightens_the_head_and_one_in_the_head_does_not() -> None:
    # Slogan of the trade: 5 g of grip is one point the other way; by statics 5.2 to 5.5 g (check values 7.2).
    butt, head = counterweight_effect(IRON, 5.35, 100.0), counterweight_effect(IRON, 5.0, 900.0)
    assert butt is not None
    assert head is not None
    assert butt.swing_weight_points == pytest.approx(-1.08, abs=0.03)
    assert (butt.hand_moment_n_m < 0.0, head.hand_moment_n_m > 0.0) == (True, True)
    assert counterweight_effect(replace(IRON, balance_mm=None), 20.0) is None


def test_a_club_held_flatter_says_so_with_its_error() -> None:
    club = describe_club(replace(IRON, cap_height_mm=939.8 * math.sin(math.radians(60.0))))
    assert club.lie_off_deg is not None
    assert club.held_lie_deg is not None
    assert club.held_lie_deg.value == pytest.approx(60.0, abs=1e-9)
    assert club.lie_off_deg.value == pytest.approx(-2.5, abs=1e-9)  # flatter: the toe is up
    # By hand: 5 mm over 939.8 cos 60 = 0.61 deg, 1.5 mm of length tan 60 / 939.8 = 0.16, own lie 0.5.
    assert club.lie_off_deg.se == pytest.approx(math.hypot(0.610, 0.158, 0.5), abs=0.002)
    assert club.flat_length_mm is not None
    assert club.flat_length_mm.value < 939.8  # held low, a shorter club would lie flat


def test_a_cap_above_the_club_is_told_in_a_note_and_nothing_else_is_lost() -> None:
    club = describe_club(replace(IRON, cap_height_mm=1000.0))
    assert club.held_lie_deg is None
    assert "not below the club's own length of 940 mm" in club.notes[0]
    assert club.swing_weight_points is not None


def test_the_ball_is_this_club_s_own_or_its_family_s() -> None:
    stands = Stands(
        ball={
            "irons": BallPlace(family="irons", inside_lead_heel_mm=(150.0, 154.0), from_toe_line_mm=(400.0,))
        },
        toe_out_deg={"irons": (20.0, 10.0)},
        shoe_length_mm=290.0,
    )
    family = describe_club(IRON, stands)
    assert family.ball_inside_lead_heel_mm is not None
    assert (family.ball_inside_lead_heel_mm.value, family.ball_inside_lead_heel_mm.n) == (152.0, 2)
    # By hand: 0.86 * 290 = 249.4 mm from heel centre to toe tip, times the mean of cos 20 and cos 10.
    ahead = 249.4 * (math.cos(math.radians(20)) + math.cos(math.radians(10))) / 2
    assert family.ball_from_heel_line_mm is not None
    assert family.ball_from_heel_line_mm.value == pytest.approx(400.0 + ahead, abs=0.01)
    own = describe_club(replace(IRON, ball_from_toe_line_mm=420.0), stands)
    assert own.ball_from_toe_line_mm is not None
    assert own.ball_from_toe_line_mm.value == 420.0
    assert describe_club(IRON, NOWHERE).ball_from_heel_line_mm is None


def test_the_rules_are_held_against_what_was_measured() -> None:
    assert describe_club(IRON).conforming is True
    assert {v.rule for v in describe_club(IRON).verdicts} == {"club length", "lie"}
    assert describe_club(OwnClub(mark="x", family="irons")).conforming is None
    long = replace(IRON, family="woods", length_mm=1218.0)
    assert describe_club(long).verdicts[0].answer == "cannot certify"
    assert describe_club(replace(long, length_mm=1216.0)).verdicts[0].answer == "conforms"
    assert describe_club(replace(long, length_mm=1216.0, length_method=None)).conforming is None
    assert describe_club(replace(long, length_mm=1225.0)).conforming is False
    wide = replace(IRON, grip_widest_mm=44.7, grip_upper_mm=30.0)
    assert describe_club(wide).conforming is False
    grown = replace(IRON, grip_upper_mm=22.0, grip_lower_mm=22.5)
    assert "bulge" in describe_club(grown).verdicts[-1].text


def test_a_lean_a_short_grip_and_a_flat_grip_are_told_apart() -> None:
    assert check_lean(19.0, se_deg=1.0).answer == "cannot certify"
    assert check_lean(12.0, se_deg=1.0).answer == "conforms"
    assert check_lean(-12.5, se_deg=1.0).answer == "does not conform"
    assert check_grip_length(178.0, se_mm=1.5).answer == "cannot certify"
    assert check_grip_shape("round", "irons").answer == "conforms"
    flat = replace(PUTTER, grip_shape="not round")
    assert describe_club(flat).conforming is None
    assert describe_club(replace(flat, family="irons")).conforming is False


def test_fifteen_clubs_are_one_too_many() -> None:
    bag = describe_bag([replace(IRON, mark=str(i)) for i in range(15)])
    assert bag.notes[0] == "15 clubs; a round may be begun with 14 at most."
    assert len(describe_bag([IRON]).notes) == 1
    assert describe_bag([]).notes == ()


def test_a_club_over_46_inches_may_meet_a_local_rule() -> None:
    driver = replace(IRON, family="woods", length_mm=1180.0)
    assert "(46 in): a committee may have a local rule" in describe_club(driver).notes[0]
    assert describe_club(replace(driver, family="putter", length_method="along the shaft")).notes == ()
