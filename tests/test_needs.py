"""Checks that drop out because the player does not use what they need."""

from datetime import date
from typing import Any

import pytest

from evenground.needs import not_asked
from evenground.visit import CHECKS, BodyCheck, Player, Visit


def visit(**body: Any) -> Visit:
    return Visit(
        visit="v",
        day=date(2026, 5, 9),
        player=Player(name="Wren Halloway", handed="left"),
        screening="cleared",
        body=BodyCheck(**body),
    )


def test_a_player_who_stands_on_two_feet_with_two_hands_is_asked_everything() -> None:
    assert [c for c in CHECKS if not_asked(visit(), c)] == []


def test_a_seated_player_is_asked_nothing_about_a_stance() -> None:
    dropped = [c for c in CHECKS if not_asked(visit(seated=True), c)]
    assert dropped == ["as arrived", "ball", "ground", "hip line", "posture", "grip"]
    assert not_asked(visit(seated=True), "ground") == "the player is seated"


def test_a_one_armed_player_keeps_every_check() -> None:
    assert [c for c in CHECKS if not_asked(visit(limbs={"left arm": "absent"}), c)] == []


def test_no_hand_to_measure_drops_the_hands_only() -> None:
    limbs = {"left arm": "absent", "right hand": "not tested"}
    assert [c for c in CHECKS if not_asked(visit(limbs=limbs), c)] == ["hands"]


@pytest.mark.parametrize(("state", "dropped"), [("absent", True), ("prosthetic", False)])
def test_a_prosthesis_stands_and_a_missing_leg_does_not(state: str, dropped: bool) -> None:
    assert bool(not_asked(visit(limbs={"left leg": state}), "hip line")) is dropped


def test_turn_needs_a_screening_that_cleared_the_player() -> None:
    plain = Visit(visit="v", day=date(2026, 5, 9), player=Player(name="W", handed="right"))
    assert not_asked(plain, "turn") == "the screening did not clear the player to turn"
