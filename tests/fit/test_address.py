"""The address solver: goals met, bounds kept, smooth in the club, and a reason when it cannot be."""

import math
from dataclasses import replace

import numpy as np
import pytest
from bench.prove_posture import CLUBS, prove

from evenground.body.lengths import side_lengths
from evenground.body.segments import MODELS, centre_of_mass
from evenground.estimate import Estimate
from evenground.fit.address import (
    AddressClub,
    AddressOutOfReachError,
    HeldLoad,
    Wanted,
    club_for_posture,
    solve_address,
)
from evenground.fit.address_constants import LIMITS
from evenground.fit.clubs import lie_change_deg

MAN = side_lengths({"stature": 1756.0}, "men")
IRON = AddressClub(family="irons", length_mm=940.0, lie_deg=62.5)


def test_hands_and_balance_of_the_drawn_body_are_where_they_were_asked_for() -> None:
    found = solve_address(MAN, IRON, Wanted(mass_kg=80.0, balance_percent=55.0))
    points = {n: np.array(at) for n, at in found.landmarks.items()}
    points["fingertip"] = points["hands"]
    at = centre_of_mass(points, MODELS["de leva men"]).at
    assert 100.0 * at[0] / points["toe_tip"][0] == pytest.approx(55.0, abs=1e-6)
    assert points["hands"][1] == pytest.approx((940.0 - 101.6) * math.sin(math.radians(62.5)), abs=1e-6)


def test_no_other_address_on_the_same_goals_is_more_comfortable() -> None:
    from scipy.optimize import minimize

    from evenground.fit.address import _numbers
    from evenground.fit.address_search import comfort_of, plant_of

    wanted = Wanted(mass_kg=80.0)
    found = solve_address(MAN, IRON, wanted)
    plant, (a, m) = plant_of(_numbers(MAN), IRON, wanted), comfort_of("irons")
    goals = (0.5 * plant.foot_mm, IRON.hands_height_mm)
    other = minimize(  # type: ignore[call-overload]  # the stubs know no dict of constraints
        lambda q: float(np.sum((a @ q - m) ** 2)),
        np.radians([6.0, 12.0, 38.0, 18.0]),
        method="SLSQP",
        constraints=[
            {"type": "eq", "fun": lambda q: (plant.balance_mm(q) - goals[0]) / 100.0},
            {"type": "eq", "fun": lambda q: (plant.height_mm(q) - goals[1]) / 100.0},
        ],
        options={"ftol": 1e-12, "maxiter": 200},
    )
    assert found.strain == pytest.approx(float(other.fun), rel=1e-5)


def test_a_longer_club_straightens_the_player_a_little_at_a_time() -> None:
    trunks, arms = [], []
    for length in range(860, 1060, 10):
        found = solve_address(MAN, replace(IRON, length_mm=float(length)), Wanted(mass_kg=80.0))
        trunks.append(found.trunk_deg.value)
        arms.append(found.arm_hang_deg.value)
    assert np.all(np.diff(trunks) < 0.0)
    assert np.all(np.diff(arms) > 0.0)
    assert np.abs(np.diff(trunks)).max() < 1.5  # deg for 10 mm of club
    assert np.abs(np.diff(arms)).max() < 2.5


def test_a_sensitivity_is_what_solving_again_gives() -> None:
    wanted = Wanted(mass_kg=80.0)
    found = solve_address(MAN, IRON, wanted)
    longer = solve_address(MAN, replace(IRON, length_mm=950.0), wanted)
    said = next(s for s in found.sensitivities if "longer" in s.change)
    assert said.trunk_deg == pytest.approx(longer.trunk_deg.value - found.trunk_deg.value, abs=1e-6)
    assert said.ball_mm == pytest.approx(
        longer.ball_from_toe_mm.value - found.ball_from_toe_mm.value, abs=1e-6
    )


def test_a_mass_held_at_the_chest_is_balanced_by_leaning_back() -> None:
    plain = solve_address(MAN, IRON, Wanted(mass_kg=80.0))
    loaded = solve_address(MAN, IRON, Wanted(mass_kg=80.0, load=HeldLoad(mass_kg=4.0)))
    assert loaded.landmarks["hip"][0] < plain.landmarks["hip"][0] - 5.0


def test_predicted_sizes_cost_precision() -> None:
    measured = {
        "stature": 1756.0,
        "shoulder_height": 1441.0,
        "neck_height": 1517.0,
        "trochanter_height": 901.0,
        "tibial_height": 468.0,
        "ankle_height": 73.0,
        "upper_arm_length": 335.0,
        "arm_length": 603.0,
        "biacromial_breadth": 416.0,
        "foot_length": 271.0,
    }
    taken = solve_address(side_lengths(measured, "men"), IRON, Wanted(mass_kg=80.0))
    guessed = solve_address(MAN, IRON, Wanted(mass_kg=80.0))
    assert taken.predicted == ()
    assert "trochanter_height" in guessed.predicted
    assert taken.ball_from_toe_mm.se < guessed.ball_from_toe_mm.se


def test_a_club_nobody_can_hold_down_to_is_refused_with_the_reason() -> None:
    short = AddressClub(family="irons", length_mm=460.0, lie_deg=50.0)
    with pytest.raises(AddressOutOfReachError, match=r"the hands stay \d+ mm above"):
        solve_address(MAN, short, Wanted(mass_kg=80.0))


@pytest.mark.parametrize("club", CLUBS, ids=lambda c: f"{c.family}-{c.length_mm:.0f}")
def test_angles_stay_within_the_bounds(club: AddressClub) -> None:
    found = solve_address(MAN, club, Wanted(mass_kg=80.0))
    for name, angle in (
        ("trunk", found.trunk_deg),
        ("knee", found.knee_flex_deg),
        ("arm", found.arm_hang_deg),
    ):
        assert LIMITS[name].low_deg - 1e-6 <= angle.value <= LIMITS[name].high_deg + 1e-6


def test_the_reverse_gives_the_club_back() -> None:
    found = solve_address(MAN, IRON, Wanted(mass_kg=80.0))
    x, y = found.landmarks["hands"]
    hands = (Estimate(value=x, se=10.0, unit="mm"), Estimate(value=y, se=10.0, unit="mm"))
    ball = Estimate(value=found.ball_from_heel_mm.value, se=5.0, unit="mm")
    club = club_for_posture(hands, ball)
    assert club.length_mm.value == pytest.approx(940.0, abs=1e-6)
    assert club.lie_deg.value == pytest.approx(62.5, abs=1e-6)
    # Across the shaft the hands are off by 10 mm each way and the ball by 5 along the floor, 838 mm apart.
    across = math.hypot(10.0, 5.0 * math.sin(math.radians(62.5)))
    assert club.lie_deg.se == pytest.approx(math.degrees(across / 838.4), rel=1e-3)


def test_at_one_hand_height_half_an_inch_flattens_an_iron_by_the_worked_angle() -> None:
    # Check values 7.3, lie-1: 37 in, 62.5 deg, half an inch longer with the hands where they were: -1.433
    # deg. The hands of a club gripped at its end; the ball moves out with the flatter shaft.
    hands = (Estimate(value=0.0, se=0.0, unit="mm"), Estimate(value=833.61, se=0.0, unit="mm"))
    reach = math.sqrt((37.5 * 25.4) ** 2 - 833.61**2)
    club = club_for_posture(hands, Estimate(value=reach, se=0.0, unit="mm"), station_mm=0.0)
    assert club.lie_deg.value - 62.5 == pytest.approx(-1.433, abs=1e-3)
    assert lie_change_deg(37.0 * 25.4, 62.5, 12.7) == pytest.approx(-1.433, abs=1e-3)


def test_solver_holds_its_claims_on_bodies_of_the_survey() -> None:
    rows = prove(25, 20261125)
    assert all(row["held"] for row in rows), rows
