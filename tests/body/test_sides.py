"""Left and right of one size: what is called different, and when one more reading is asked for."""

import pytest

from evenground.body.ranges import check_body
from evenground.body.sides import MOST_READINGS
from evenground.visit import BodyCheck, BodySize


def feet(left: tuple[float, ...], right: tuple[float, ...], name: str = "foot_breadth") -> BodyCheck:
    return BodyCheck(
        sizes=(
            BodySize(name=name, side="left", readings_mm=left),
            BodySize(name=name, side="right", readings_mm=right),
        )
    )


def said(body: BodyCheck) -> tuple[set[str], set[str]]:
    report = check_body(body, reference="women")
    return {w.code for w in report.warnings}, {a.code for a in report.asks}


@pytest.mark.parametrize(
    ("right", "warned", "asked"),
    [
        (93.0, set(), set()),
        (97.0, set(), {"sides-unsure"}),  # a slip of 9 mm is 2.0 SDs of the difference away
        (104.0, {"sides-differ"}, set()),
    ],
)
def test_one_reading_a_side_warns_asks_or_is_enough(right: float, warned: set[str], asked: set[str]) -> None:
    assert said(feet((93.0,), (right,))) == (warned, asked)
    assert said(feet((right,), (93.0,))) == (warned, asked)  # whichever side is the larger


def test_a_second_reading_settles_what_the_first_left_open() -> None:
    assert said(feet((93.0, 92.0), (97.0, 94.0))) == (set(), set())
    assert said(feet((93.0, 92.0), (101.0, 101.0))) == ({"sides-differ"}, set())


def test_no_more_than_five_readings_are_asked_for() -> None:
    one, other = (70.0,), (74.0,)
    asked = [said(feet(one * n, other * n, "heel_breadth"))[1] for n in range(1, MOST_READINGS + 1)]
    assert asked[:-1] == [{"sides-unsure"}] * (MOST_READINGS - 1)
    assert asked[-1] == set()


def test_a_long_size_whose_tenth_is_far_beyond_the_tape_is_never_asked_again() -> None:
    assert said(feet((265.0,), (268.0,), "foot_length")) == (set(), set())


def test_a_prosthetic_foot_is_not_compared_with_the_other() -> None:
    body = feet((265.0,), (292.0,), "foot_length")
    gone = BodyCheck(sizes=body.sizes, limbs={"right foot": "prosthetic"})
    assert said(body)[0] == {"sides-differ"}
    assert said(gone) == ({"absent-limb"}, set())


def test_asking_says_what_could_hide_and_what_to_do() -> None:
    (ask,) = check_body(feet((93.0,), (97.0,)), reference="women").asks
    assert ask.sentence == (
        "Foot breadth: left 93 mm and right 97 mm are alike within their errors, but a slip of 9 mm could "
        "hide there: take one more reading of each."
    )
