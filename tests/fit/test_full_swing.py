"""Full-swing aim in metres: signs for either hand, the error at the target, two points of the bag."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.fit.full_swing import TwoTargetsError, full_swing_aim, right_deg
from evenground.visit import AimCheck, FullSwingAim

CHECK = AimCheck(distance_m=2.0, trials=())


def aims(club: str, target_m: float, *degrees: float) -> list[FullSwingAim]:
    return [FullSwingAim(trial=i, club=club, target_m=target_m, face_deg=d) for i, d in enumerate(degrees, 1)]


def test_an_open_face_looks_right_of_the_target_for_a_right_handed_player() -> None:
    assert (right_deg(1.0, "right"), right_deg(1.0, "left")) == (1.0, -1.0)
    for handed, sign in (("right", 1.0), ("left", -1.0)):
        found = full_swing_aim(aims("7 iron", 137.16, 1.0, 1.0), CHECK, handed=handed)  # type: ignore[arg-type]
        miss = found.clubs[0].miss_m
        assert miss is not None
        assert miss.value == pytest.approx(sign * 2.394, abs=1e-3)  # check value aim-1: 1 deg at 150 yd


def test_an_offset_right_of_the_target_is_right_for_either_hand() -> None:
    offsets = [FullSwingAim(trial=i, club="driver", target_m=200.0, offset_mm=20.0) for i in (1, 2)]
    for handed in ("right", "left"):
        found = full_swing_aim(offsets, CHECK, handed=handed)
        assert found.clubs[0].miss_m is not None
        assert found.clubs[0].miss_m.value == pytest.approx(2.0)  # 20 mm in 2 m is 2 m in 200 m


def test_the_board_may_stand_elsewhere_than_the_hole() -> None:
    offsets = [FullSwingAim(trial=i, club="driver", target_m=200.0, offset_mm=20.0) for i in (1, 2)]
    near = AimCheck(distance_m=5.0, trials=(), read_at_m=1.0)
    assert full_swing_aim(offsets, near, handed="right").clubs[0].once_m == pytest.approx(4.0)


@given(st.floats(-10, 10), st.floats(0.1, 2.0))
def test_the_error_in_metres_is_the_errors_angle_at_the_target(bias: float, apart: float) -> None:
    found = full_swing_aim(aims("7 iron", 150.0, bias - apart, bias + apart), CHECK, handed="right")
    miss = found.clubs[0].miss_m
    assert miss is not None
    ends = [150.0 * math.tan(math.radians(bias + s * 1e-4)) for s in (-1, 1)]
    assert miss.se == pytest.approx((ends[1] - ends[0]) / 2e-4 * apart, rel=1e-6)


def test_two_clubs_are_compared_the_farther_less_the_nearer() -> None:
    found = full_swing_aim(
        [*aims("driver", 220.0, 2.0, 2.2, 2.1), *aims("7 iron", 140.0, 0.5, 0.7, 0.6)], CHECK, handed="right"
    )
    assert found.apart_deg is not None
    assert found.apart_deg.value == pytest.approx(1.5)
    assert found.notes == ()


def test_one_aim_has_no_error_and_one_club_no_comparison() -> None:
    found = full_swing_aim(aims("7 iron", 140.0, 1.0), CHECK, handed="right")
    assert found.clubs[0].miss_m is None
    assert found.clubs[0].notes == ("7 iron: one aim has no error; aim twice more.",)
    assert "a second tells" in found.notes[0]


def test_one_club_with_two_targets_is_refused() -> None:
    mixed = [*aims("7 iron", 140.0, 1.0), *aims("7 iron", 150.0, 1.0)]
    with pytest.raises(
        TwoTargetsError, match="full-swing aim, 7 iron: Its targets are at 140 m and at 150 m"
    ):
        full_swing_aim(mixed, CHECK, handed="right")
