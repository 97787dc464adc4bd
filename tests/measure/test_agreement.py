import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.measure.agreement import TooFewPairsError, agreement, within_persons

ONE = [[10.0], [12.0], [15.0], [11.0], [18.0], [14.0]]
OTHER = [[9.0], [12.5], [13.0], [11.5], [16.0], [13.0]]


def test_bias_and_limits_by_hand() -> None:
    # Differences 1, -0.5, 2, -0.5, 2, 1: mean 0.8333, squares about it 6.3333 over 5.
    found = agreement(ONE, OTHER, unit="deg")
    assert found.bias.value == pytest.approx(5.0 / 6.0)
    assert found.sd == pytest.approx((6.3333333 / 5.0) ** 0.5, abs=1e-6)
    assert found.upper - found.bias.value == pytest.approx(1.959964 * found.sd, abs=1e-5)


def test_the_other_way_round_flips_the_bias_and_the_limits() -> None:
    plain, turned = agreement(ONE, OTHER, unit="deg"), agreement(OTHER, ONE, unit="deg")
    assert turned.bias.value == pytest.approx(-plain.bias.value)
    assert turned.lower == pytest.approx(-plain.upper)
    assert turned.upper == pytest.approx(-plain.lower)
    assert turned.lower_range.low == pytest.approx(-plain.upper_range.high)


@given(st.floats(-30.0, 30.0))
def test_a_constant_added_to_one_method_moves_the_bias_by_as_much(shift: float) -> None:
    moved = agreement([[v + shift for v in r] for r in ONE], OTHER, unit="deg")
    assert moved.bias.value == pytest.approx(5.0 / 6.0 + shift)
    assert moved.sd == pytest.approx(agreement(ONE, OTHER, unit="deg").sd)


def test_a_difference_that_grows_with_size_is_said() -> None:
    small = [[float(v)] for v in range(10, 22)]
    grown = [[1.2 * v[0] + 0.05 * (-1) ** i] for i, v in enumerate(small)]
    assert any("grows or shrinks" in note for note in agreement(grown, small, unit="deg").notes)


def test_two_pairs_are_refused() -> None:
    with pytest.raises(TooFewPairsError, match="at least 3"):
        agreement(ONE[:2], OTHER[:2], unit="deg")


def test_correlation_within_persons_ignores_what_differs_between_them() -> None:
    x = [1.0, 2.0, 3.0, 101.0, 102.0, 103.0]
    y = [3.0, 2.0, 1.0, 303.0, 302.0, 301.0]
    found = within_persons(x, y, ["a"] * 3 + ["b"] * 3)
    assert found.r == pytest.approx(-1.0)
    assert found.dof == 3


def test_correlation_of_single_pairs_is_refused() -> None:
    with pytest.raises(TooFewPairsError):
        within_persons([1.0, 2.0, 3.0], [2.0, 1.0, 3.0], ["a", "b", "c"])
