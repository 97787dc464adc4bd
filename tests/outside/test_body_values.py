"""Body sizes against the public survey (ANSUR II, Gordon et al. 2014): row ant-1 of the check values."""

import pytest

from evenground.body.ranges import expected_mm


@pytest.mark.parametrize(
    ("name", "mm"),
    [("wrist_height", 870.3), ("hand_length", 197.6), ("foot_length", 277.2), ("biacromial_breadth", 422.1)],
)
def test_ant_1_what_a_stature_of_1800_expects(name: str, mm: float) -> None:
    expected = expected_mm(name, 1800.0, "men")
    assert expected is not None
    assert expected.value == pytest.approx(mm, abs=0.2)
