"""The eye line's two facts, each with its error, and no verdict."""

import pytest

from evenground.measure.eyes import NoEyesError, eye_facts
from evenground.visit import EyeLine


def test_each_fact_is_the_mean_of_its_own_repeats() -> None:
    found = eye_facts(
        [EyeLine(offset_mm=-20, direction_deg=3), EyeLine(offset_mm=-26), EyeLine(direction_deg=1)]
    )
    assert found.offset_mm is not None
    assert found.direction_deg is not None
    assert (found.offset_mm.value, found.offset_mm.n) == (-23.0, 2)
    assert (found.direction_deg.value, found.direction_deg.n) == (2.0, 2)
    assert found.offset_mm.se == pytest.approx(10.0 / 2**0.5)
    assert "no norm" in found.notes[0]


def test_one_fact_alone_leaves_the_other_out() -> None:
    found = eye_facts([EyeLine(offset_mm=5)])
    assert found.direction_deg is None
    assert found.offset_mm is not None
    assert found.offset_mm.se == 10.0


def test_nothing_read_is_said() -> None:
    with pytest.raises(NoEyesError, match=r"eye line: Neither where the eyes are .*plumb line"):
        eye_facts([])
