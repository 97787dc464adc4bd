"""Clubs at address against the worked numbers of the check values, section 7.3 (exact geometry)."""

import pytest

from evenground.estimate import Estimate
from evenground.fit.club_address import cap_height_mm, held_lie_deg, reach_mm
from evenground.fit.clubs import check_lean

INCH = 25.4


def known(value: float, unit: str = "mm") -> Estimate:
    return Estimate(value=value, se=0.0, unit=unit)


def test_a_37_inch_club_at_62_and_a_half_degrees() -> None:
    # h = 32.82 in (833.6 mm), horizontal reach 17.08 in.
    length, lie = known(37.0 * INCH), known(62.5, "deg")
    assert cap_height_mm(length, lie).value == pytest.approx(833.6, abs=0.05)
    assert reach_mm(length, lie).value / INCH == pytest.approx(17.08, abs=0.005)


@pytest.mark.parametrize(
    ("inches", "lie_deg", "longer", "flatter"),
    [
        (37.0, 62.5, 0.5, 1.43),
        (37.0, 62.5, 1.0, 2.77),
        (45.0, 58.0, 0.5, 0.99),
        (45.0, 58.0, 1.0, 1.94),
        (38.0, 61.0, 0.5, 1.32),
        (36.0, 63.5, 0.5, 1.53),
        (34.0, 71.0, 0.5, 2.28),
        (34.0, 71.0, 1.0, 4.29),
    ],
)
def test_a_longer_club_at_the_same_cap_height_is_held_flatter(
    inches: float, lie_deg: float, longer: float, flatter: float
) -> None:
    cap = cap_height_mm(known(inches * INCH), known(lie_deg, "deg"))
    held = held_lie_deg(known((inches + longer) * INCH), cap)
    assert lie_deg - held.value == pytest.approx(flatter, abs=0.01)


@pytest.mark.parametrize(
    ("lean_deg", "answer"),
    [(20.0, "conforms"), (20.01, "does not conform"), (-10.0, "conforms"), (-10.01, "does not conform")],
)
def test_the_shaft_s_lean_has_two_limits(lean_deg: float, answer: str) -> None:
    # Equipment Rules 2-1d, from the bodies' pages: 20 deg forwards, 10 deg backwards.
    assert check_lean(lean_deg).answer == answer
