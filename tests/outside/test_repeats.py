"""Standard error of measurement, smallest real change and the t interval against published values."""

import pytest

from evenground.estimate import from_repeats
from evenground.measure.repeats import sem_from_icc, smallest_real_change

# Weir 2005, J Strength Cond Res 19:231-240 (formulas; abstract read); the figures worked from them to four
# digits (project check value sem-1).


def test_sem_and_smallest_real_change_of_the_worked_example() -> None:
    sem = sem_from_icc(5.0, 0.90)
    assert sem == pytest.approx(1.5811, abs=1e-3)
    assert smallest_real_change(sem) == pytest.approx(4.3827, abs=1e-3)
    assert smallest_real_change(sem, level=0.90) == pytest.approx(3.6783, abs=1e-3)
    assert smallest_real_change(sem, repeats=3) == pytest.approx(2.5303, abs=1e-3)


# Student's t, 97.5 % points 4.3027, 2.7764 and 2.2622 for 2, 4 and 9 degrees of freedom, any table (project
# check value ci-1): half-widths for a spread of 2 deg.


def spread_of_two(n: int) -> list[float]:
    step = 2.0 * ((n - 1) / (n * (n + 1) / 12.0 * (n - 1))) ** 0.5
    return [step * i for i in range(n)]


@pytest.mark.parametrize(("n", "half"), [(3, 4.968), (5, 2.483), (10, 1.431)])
def test_half_width_of_repeats_with_a_spread_of_two_degrees(n: int, half: float) -> None:
    assert from_repeats(spread_of_two(n), unit="deg").half_width() == pytest.approx(half, abs=1e-3)
