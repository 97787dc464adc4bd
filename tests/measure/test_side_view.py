"""An address from the side: the worked golfer, known poses through a camera, what is missing said."""

import math

import numpy as np
import pytest

from evenground.estimate import Estimate
from evenground.measure.balance import balance_agreement
from evenground.measure.side_view import (
    FeetMissingError,
    NoScaleError,
    SidePhoto,
    measure_side,
    seen_at_yaw_deg,
    upright,
)
from evenground.simulate.figure import pose_figure
from tests.outside.test_segments import golfer

ANGLES = ("trunk_deg", "thigh_deg", "shank_deg", "knee_flex_deg", "arm_hang_deg")


def worked(**changes: object) -> SidePhoto:
    points = {name: 1000.0 * at for name, at in golfer().items()}
    return SidePhoto(points=points, unit="mm", **changes)  # type: ignore[arg-type]


def test_angles_of_the_worked_golfer() -> None:
    # Check values 3.4 (bsp-6): shank 3.90, thigh 19.87 backward, knee 23.773, trunk 38.830, hip 58.702 deg.
    found = measure_side(worked())
    seen = (found.shank_deg, found.thigh_deg, found.knee_flex_deg, found.trunk_deg, found.hip_flexion_deg)
    assert [e.value for e in seen if e is not None] == pytest.approx(
        [3.900, 19.872, 23.773, 38.830, 58.702], abs=1e-3
    )


def test_balance_of_the_worked_golfer_names_its_table_and_admits_what_tables_cost() -> None:
    found = measure_side(worked())
    assert found.model == "de leva men"
    assert found.centre_of_mass_percent is not None
    assert found.centre_of_mass_percent.value == pytest.approx(43.01, abs=0.01)  # check values 3.4 c
    assert found.centre_of_mass_percent.half_width() > 5.0  # a photo's is no better than 5 % of the foot


def test_without_head_points_the_coarser_table_stands_in_and_is_named() -> None:
    photo = worked()
    points = {n: at for n, at in photo.points.items() if n != "vertex"}
    found = measure_side(SidePhoto(points=points, unit="mm"))
    assert found.model == "winter"
    assert found.centre_of_mass_percent is not None
    assert found.centre_of_mass_percent.value == pytest.approx(47.11, abs=0.01)  # check values 3.4 a
    assert any("Winter" in note for note in found.notes)


@pytest.mark.parametrize("faces_left", [False, True])
@pytest.mark.parametrize("roll_deg", [-9.0, 0.0, 9.0])
def test_a_known_pose_comes_back_through_the_camera(faces_left: bool, roll_deg: float) -> None:
    posed = pose_figure(
        np.random.default_rng(5), landmark_sd_mm=1e-9, roll_deg=roll_deg, faces_left=faces_left
    )
    found = measure_side(posed.photo)
    for name in ANGLES:
        # 0.3 deg: the plumb line itself is marked to 2 mm at each end of 1.8 m
        assert getattr(found, name).value == pytest.approx(getattr(posed, name), abs=0.3)
    assert found.hands_height_mm is not None
    assert found.hands_height_mm.value == pytest.approx(posed.hands_height_mm, rel=0.01)


def test_a_roll_without_a_plumb_line_adds_one_for_one_and_is_said() -> None:
    rng = np.random.default_rng(5)
    posed = pose_figure(rng, landmark_sd_mm=1e-9, roll_deg=4.0, plumb=False)
    found = measure_side(posed.photo)
    assert found.trunk_deg is not None
    assert abs(found.trunk_deg.value - posed.trunk_deg) == pytest.approx(4.0, abs=0.01)
    assert found.trunk_deg.se == pytest.approx(1.5, abs=1e-6)
    assert any("plumb" in note for note in found.notes)


def test_errors_of_a_segment_are_root_two_e_over_l() -> None:
    # Check values 11.4: landmarks to 10 mm on a 500 mm trunk: 1.62 deg.
    points = {
        "heel": np.array([0.0, 0.0]),
        "toe_tip": np.array([260.0, 0.0]),
        "hip": np.array([0.0, 900.0]),
        "shoulder": np.array([300.0, 1300.0]),
    }
    found = measure_side(SidePhoto(points=points, unit="mm"))
    assert found.trunk_deg is not None
    assert found.trunk_deg.se == pytest.approx(1.62, abs=0.01)
    assert found.knee_flex_deg is None
    assert any("knee" in note for note in found.notes)


@pytest.mark.parametrize(("yaw_deg", "seen_deg"), [(10.0, 39.569), (20.0, 38.256)])
def test_a_camera_off_the_side_sees_less_lean(yaw_deg: float, seen_deg: float) -> None:
    assert seen_at_yaw_deg(40.0, yaw_deg) == pytest.approx(seen_deg, abs=1e-3)  # check values cam-3


def test_intervals_hold_the_truth_of_posed_figures() -> None:
    rng = np.random.default_rng(20261125)
    held = dict.fromkeys(ANGLES, 0)
    count = 200
    for _ in range(count):
        posed = pose_figure(rng)
        found = measure_side(posed.photo)
        for name in ANGLES:
            held[name] += getattr(found, name).interval().holds(getattr(posed, name))
    room = 4.0 * math.sqrt(0.05 * 0.95 / count)
    assert all(abs(n / count - 0.95) <= 0.02 + room for n in held.values()), held


def test_the_mat_is_the_referee() -> None:
    photo = Estimate(value=43.0, se=4.0, unit="% of foot")
    near = balance_agreement(photo, Estimate(value=50.0, se=2.0, unit="% of foot"))
    far = balance_agreement(photo, Estimate(value=60.0, se=2.0, unit="% of foot"))
    assert near.agree
    assert not far.agree
    assert "nearer the heel than the mat" in far.text
    assert "trust the mat" in far.text


def test_an_absent_arm_carries_no_mass() -> None:
    whole = measure_side(worked())
    one = measure_side(worked(), limbs={"right arm": "absent"})
    assert whole.centre_of_mass_percent is not None
    assert one.centre_of_mass_percent is not None
    # The arms hang ahead of the balance, so without one of them it lies nearer the heel.
    assert one.centre_of_mass_percent.value < whole.centre_of_mass_percent.value - 1.0


def test_pixels_without_a_scale_and_a_figure_without_feet_are_refused() -> None:
    points = {"heel": np.array([0.0, 0.0]), "toe_tip": np.array([100.0, 0.0])}
    with pytest.raises(NoScaleError, match="how large a pixel is"):
        upright(SidePhoto(points=points, unit="px"))
    with pytest.raises(FeetMissingError, match="toe tip not marked"):
        upright(SidePhoto(points={"heel": points["heel"]}, unit="mm"))
