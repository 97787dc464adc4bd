import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2

from evenground.measure.repeats import ReliabilityOutOfRangeError
from evenground.measure.spread import readings_for_spread, repeats_for_change, spread_of


@pytest.mark.parametrize("dof", [1, 2, 9, 30, 400])
def test_the_range_of_an_sd_is_that_of_chi_square(dof: int) -> None:
    found = spread_of(3.0, dof, unit="deg").interval
    assert found.low == pytest.approx(3.0 * math.sqrt(dof / float(chi2.ppf(0.975, dof))))
    assert found.high == pytest.approx(3.0 * math.sqrt(dof / float(chi2.ppf(0.025, dof))))


def test_enough_readings_are_enough_and_one_fewer_is_not() -> None:
    enough = readings_for_spread(0.25)
    ends = [spread_of(1.0, dof, unit="").interval for dof in (enough, enough - 1)]
    assert ends[0].high <= 1.25
    assert ends[0].low >= 0.75
    assert ends[1].high > 1.25


@given(st.floats(0.1, 10.0), st.floats(0.1, 10.0))
def test_repeats_grow_with_the_square_of_noise_over_change(sd: float, change: float) -> None:
    exact = 2.0 * ((1.959964 + 0.841621) * sd / change) ** 2
    assert repeats_for_change(sd, change) == pytest.approx(max(1, math.ceil(exact)), abs=1)


def test_repeats_for_a_change_of_nothing_are_refused() -> None:
    with pytest.raises(ReliabilityOutOfRangeError, match="a number over 0"):
        repeats_for_change(2.0, 0.0)
    with pytest.raises(ReliabilityOutOfRangeError, match="power"):
        repeats_for_change(2.0, 1.0, power=1.0)
    with pytest.raises(ReliabilityOutOfRangeError, match="within"):
        readings_for_spread(0.0)
