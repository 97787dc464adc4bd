"""Posture angles and their errors."""

import pickle

import numpy as np
import pytest

from evenground.measure.posture import NoPostureError, joint_sd_deg, landmark_sd_deg, posture_angles
from evenground.visit import PostureReading


def test_landmark_errors_give_the_published_angles() -> None:
    # sd = sqrt(2) e / l: 10 mm on 500 mm 1.62 deg, on 400 mm 2.03; a knee between 440 mm segments 3.2.
    assert landmark_sd_deg(10.0, 500.0) == pytest.approx(1.62, abs=0.005)
    assert landmark_sd_deg(10.0, 400.0) == pytest.approx(2.03, abs=0.005)
    assert joint_sd_deg(10.0, 440.0, 440.0) == pytest.approx(3.2, abs=0.05)


def test_a_joint_s_error_is_what_moving_three_landmarks_gives() -> None:
    rng = np.random.default_rng(20260501)
    hip, knee, ankle = np.array([0.0, 400.0]), np.array([0.0, 0.0]), np.array([0.0, -440.0])
    draws = [p + rng.normal(0, 3.0, (50_000, 2)) for p in (hip, knee, ankle)]
    thigh, shank = draws[0] - draws[1], draws[1] - draws[2]
    bend = np.degrees(np.arctan2(thigh[:, 0], thigh[:, 1]) - np.arctan2(shank[:, 0], shank[:, 1]))
    assert joint_sd_deg(3.0, 400.0, 440.0) == pytest.approx(bend.std(), rel=0.015)


def test_one_reading_carries_the_landmarks_error_and_says_so() -> None:
    angles = posture_angles([PostureReading(family="irons", trunk_deg=38.0, knee_flex_lead_deg=20.0)])
    assert angles.trunk_deg is not None
    assert angles.knee_flex_lead_deg is not None
    assert angles.knee_flex_lead_deg.se == pytest.approx(3.19, abs=0.01)
    assert angles.knee_flex_trail_deg is None
    assert "landmarks placed to 10 mm" in angles.notes[0]


def test_repeats_that_scatter_more_than_landmarks_show_their_own_spread() -> None:
    calm = posture_angles([PostureReading(family="irons", trunk_deg=d) for d in (38.0, 38.1, 37.9)])
    wild = posture_angles([PostureReading(family="irons", trunk_deg=d) for d in (30.0, 38.0, 46.0)])
    assert calm.trunk_deg is not None
    assert wild.trunk_deg is not None
    assert calm.trunk_deg.se == pytest.approx(1.62 / 3**0.5, abs=0.01)
    assert wild.trunk_deg.se == pytest.approx(8.0 / 3**0.5)
    assert wild.trunk_deg.dof == 2


def test_the_studio_s_own_error_is_used_where_it_is_known() -> None:
    readings = [PostureReading(family="putter", arm_hang_deg=d) for d in (3.0, 9.0)]
    angles = posture_angles(readings, known_sd_deg=2.0)
    assert angles.arm_hang_deg is not None
    assert angles.arm_hang_deg.se == pytest.approx(2.0 / 2**0.5)
    assert angles.notes == ()


def test_readings_without_an_angle_are_refused() -> None:
    with pytest.raises(NoPostureError, match="posture, irons: No angle was entered") as caught:
        posture_angles([PostureReading(family="irons")])
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)  # noqa: S301 - our own bytes
    with pytest.raises(NoPostureError):
        posture_angles([])
