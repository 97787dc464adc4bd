"""Aim and putting against values from outside, named by their row in the project's table of check values."""

import math

import pytest
from scipy.stats import norm

from evenground.fit.aim import fit_aim
from evenground.fit.aim_angle import aim_deg, miss_mm
from evenground.fit.putting import (
    capture_half_width_mm,
    deceleration_m_s2,
    free_fall_speed_m_s,
    hole_window_deg,
    launch_deg,
    speed_at_hole_m_s,
)
from evenground.visit import AimCheck, AimTrial

FOOT_M = 0.3048


def test_putt_1_a_dying_ball_from_six_feet() -> None:
    # Plain geometry: atan(54 mm / 6 ft), the whole hole of 108 mm.
    assert hole_window_deg(6 * FOOT_M, past_m=0.0) == pytest.approx(1.691, abs=1e-3)


def test_putt_2_a_rolling_ball_has_a_smaller_hole() -> None:
    # Holmes 1991 / Penner 2002 (offset law second-hand): R sqrt(1 - v/1.63) at 0.687 m/s.
    assert capture_half_width_mm(0.687) == pytest.approx(41.1, abs=0.1)
    assert hole_window_deg(6 * FOOT_M, past_m=0.43) == pytest.approx(1.287, abs=0.003)


@pytest.mark.parametrize(
    ("speed", "half_mm"),
    [(0.0, 54.0), (0.25, 49.7), (0.5, 45.0), (1.0, 33.6), (1.2, 27.7), (1.4, 20.3), (1.63, 0)],
)
def test_the_hole_shrinks_as_published(speed: float, half_mm: float) -> None:
    assert capture_half_width_mm(speed) == pytest.approx(half_mm, abs=0.06)  # printed to one decimal


def test_putt_3_free_fall_over_the_middle() -> None:
    # Falling one ball radius (21.335 mm) within the chord less a radius; below the published 1.63.
    assert free_fall_speed_m_s() == pytest.approx(1.314, abs=1e-3)
    assert free_fall_speed_m_s() < 1.63


def test_putt_4_a_green_that_reads_ten_feet() -> None:
    # Ramp release 6.00 ft/s = 1.83 m/s: a = 1.83^2 / (2 x 3.048); v = sqrt(2 a 0.43).
    assert deceleration_m_s2(10 * FOOT_M) == pytest.approx(0.5494, abs=1e-3)
    assert speed_at_hole_m_s(0.43, 10 * FOOT_M) == pytest.approx(0.6873, abs=1e-3)
    assert speed_at_hole_m_s(1.0, 10 * FOOT_M) == pytest.approx(1.048, abs=0.002)


def test_putt_5_start_line_from_face_and_path() -> None:
    # Karlsen & Nilsson 2010 (second-hand): 83 % face, 17 % path.
    assert launch_deg(1.0, 2.0, 0.83) == pytest.approx(1.17, abs=1e-9)
    assert launch_deg(1.0, -2.0, 0.83) == pytest.approx(0.49, abs=1e-9)


@pytest.mark.parametrize(
    ("feet", "dying", "past", "firm"),
    [
        (3, 3.38, 2.57, 1.74),
        (5, 2.03, 1.54, 1.04),
        (8, 1.27, 0.97, 0.65),
        (10, 1.01, 0.77, 0.52),
        (15, 0.68, 0.52, 0.35),
        (20, 0.51, 0.39, 0.26),
    ],
)
def test_windows_over_distance(feet: float, dying: float, past: float, firm: float) -> None:
    # Geometry on the capture law, printed to 0.01 deg; firm is 1.2 m/s at the hole.
    firm_past = 1.2**2 / (2 * deceleration_m_s2(3.048))
    for past_m, printed in ((0.0, dying), (0.43, past), (firm_past, firm)):
        assert hole_window_deg(feet * FOOT_M, past_m=past_m) == pytest.approx(printed, abs=0.006)


def test_aim_1_one_degree_at_150_yards() -> None:
    # 150 yd = 137.16 m: tan(1 deg) of it.
    assert miss_mm(1.0, 137.16) == pytest.approx(2394, abs=1.0)
    assert aim_deg(2394.1, 137.16, "right") == pytest.approx(1.0, abs=1e-4)


@pytest.mark.parametrize(("spread", "chance"), [(1.0, 0.909), (0.69, 0.986), (1.11, 0.872)])
def test_a_well_known_spread_gives_the_normal_s_chance(spread: float, chance: float) -> None:
    # P(|N(0, s)| < 1.69 deg), printed to three decimals; many aims at the normal's own quantiles know s well.
    n = 4000
    angles = [spread * norm.ppf((i + 0.5) / n) for i in range(n)]
    trials = [
        AimTrial(trial=i + 1, offset_mm=1828.8 * math.tan(math.radians(a))) for i, a in enumerate(angles)
    ]
    fit = fit_aim(trials, AimCheck(distance_m=1.8288, trials=()), handed="right", past_m=0.0)
    assert fit.inside_probability.value == pytest.approx(chance, abs=0.002)
