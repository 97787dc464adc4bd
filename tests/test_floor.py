"""One test per sign of the floor frame, and what its mirror does."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.floor import (
    Handed,
    body_open_deg,
    face_open_deg,
    lead_side,
    line_deg,
    trail_side,
    turned,
)

angles = st.floats(-180, 180)
points = st.tuples(st.floats(-1000, 1000), st.floats(-1000, 1000))
hands = st.sampled_from(["right", "left"])


def test_right_handed_player_leads_with_the_left_side() -> None:
    assert (lead_side("right"), trail_side("right")) == ("left", "right")


def test_left_handed_player_leads_with_the_right_side() -> None:
    assert (lead_side("left"), trail_side("left")) == ("right", "left")


def test_right_handed_body_turned_toward_its_target_is_open() -> None:
    # The target lies at -x and y is ahead: turning counter-clockwise brings the chest from +y toward -x.
    chest = turned(0.0, 1.0, 10.0)
    assert chest[0] < 0.0
    assert body_open_deg(10.0, "right") > 0.0


def test_left_handed_body_turned_toward_its_target_is_open() -> None:
    chest = turned(0.0, 1.0, -10.0)  # the target lies at +x
    assert chest[0] > 0.0
    assert body_open_deg(-10.0, "left") > 0.0


def test_right_handed_face_that_looks_away_from_the_player_is_open() -> None:
    # The face looks along -x at the target; clockwise turns that look toward +y, away from the player's feet.
    look = turned(-1.0, 0.0, -10.0)
    assert look[1] > 0.0
    assert face_open_deg(-10.0, "right") > 0.0


def test_left_handed_face_that_looks_away_from_the_player_is_open() -> None:
    look = turned(1.0, 0.0, 10.0)  # along +x at the target
    assert look[1] > 0.0
    assert face_open_deg(10.0, "left") > 0.0


def test_body_and_face_open_in_opposite_directions() -> None:
    assert body_open_deg(5.0, "right") == -face_open_deg(5.0, "right")
    assert body_open_deg(5.0, "left") == -face_open_deg(5.0, "left")


@given(angles, hands)
def test_mirror_image_of_a_line_is_as_open_for_the_mirrored_player(angle_deg: float, handed: Handed) -> None:
    other: Handed = "left" if handed == "right" else "right"
    assert body_open_deg(angle_deg, handed) == body_open_deg(-angle_deg, other)
    assert face_open_deg(angle_deg, handed) == face_open_deg(-angle_deg, other)


@given(angles, hands)
def test_open_gives_the_turn_back(angle_deg: float, handed: Handed) -> None:
    assert body_open_deg(body_open_deg(angle_deg, handed), handed) == angle_deg
    assert face_open_deg(face_open_deg(angle_deg, handed), handed) == angle_deg


@pytest.mark.parametrize(
    ("to", "expected_deg"), [((1, 0), 0), ((0, 1), 90), ((-1, 0), 180), ((0, -1), -90), ((1, -1), -45)]
)
def test_line_counts_counter_clockwise_from_x(to: tuple[float, float], expected_deg: float) -> None:
    assert line_deg((0.0, 0.0), to) == pytest.approx(expected_deg)


@given(points, angles)
def test_turning_keeps_the_distance_and_adds_to_the_direction(
    point: tuple[float, float], by_deg: float
) -> None:
    x, y = turned(*point, by_deg)
    assert math.hypot(x, y) == pytest.approx(math.hypot(*point), abs=1e-9)
    back = turned(x, y, -by_deg)
    assert back == pytest.approx(point, abs=1e-9)


@given(st.floats(1, 1000), angles, st.floats(-179, 179))
def test_line_of_a_turned_point_is_turned_as_far(length: float, at_deg: float, by_deg: float) -> None:
    start = turned(length, 0.0, at_deg)
    moved = line_deg((0.0, 0.0), turned(*start, by_deg)) - line_deg((0.0, 0.0), start)
    assert math.remainder(moved - by_deg, 360.0) == pytest.approx(0.0, abs=1e-6)
