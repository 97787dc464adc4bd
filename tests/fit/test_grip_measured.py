"""Grips that are measured on a shaft: foam, flat ones, and two on one putter."""

from dataclasses import replace

import pytest
from scipy.special import ellipe

from evenground.fit.grip import entered_diameters
from evenground.fit.grip_build import fit_grip
from evenground.fit.grip_measured import check_two_grips, same_outline_mm
from evenground.fit.grip_types import GripBuild
from evenground.stock import MeasuredSection, Stock, StockGrip, Tape
from evenground.visit import OwnClub

TAPE = Tape(double_sided_mm=0.127, build_up_mm=0.127, layer_mass_g=1.5, most_layers=5)
PUTTER = OwnClub(mark="putter", family="putter")


def at(station: float, width: float, depth: float) -> MeasuredSection:
    return MeasuredSection(station_mm=station, width_mm=width, depth_mm=depth)


FLAT = StockGrip(
    mark="flat",
    length_mm=268,
    mass_g=70,
    shape="not round",
    measured=(at(20, 30, 26), at(250, 26, 22)),
)
TWO = StockGrip(
    mark="two",
    length_mm=520,
    mass_g=110,
    gap_mm=(180.0, 260.0),
    measured=(at(20, 26, 26), at(170, 25, 25), at(270, 25, 25), at(510, 24, 24)),
)


def best(grip: StockGrip, club: OwnClub = PUTTER) -> GripBuild:
    return fit_grip(entered_diameters(26.0, 24.0), Stock(tape=TAPE, grips=(grip,)), club).builds[0]


@pytest.mark.parametrize(("width", "depth"), [(24.0, 24.0), (30.0, 26.0), (36.0, 20.0), (40.0, 20.0)])
def test_an_oval_s_outline_is_the_ellipse_integral_s(width: float, depth: float) -> None:
    # SciPy's complete elliptic integral of the second kind gives the perimeter exactly: 2 width E(m).
    perimeter = 2.0 * width * ellipe(1.0 - (depth / width) ** 2)
    assert same_outline_mm(width, depth) == pytest.approx(perimeter / 3.141592653589793, rel=1e-6)
    assert same_outline_mm(depth, width) == same_outline_mm(width, depth)


def test_a_flat_putter_grip_counts_by_its_outline_and_needs_no_butt() -> None:
    build = best(FLAT)
    assert build.how == "as measured"
    assert build.layers is None
    assert build.built_mm is not None
    assert build.built_se_mm is not None
    part = (50.8 - 20) / 230
    assert build.built_mm.upper == pytest.approx(same_outline_mm(30 - 4 * part, 26 - 4 * part))
    assert build.built_se_mm.upper == pytest.approx(
        (0.2**2 + (0.02 * (build.built_mm.upper or 0)) ** 2) ** 0.5
    )
    assert build.conforming is None  # nobody can see its shape from two sizes
    assert any("grip shape: cannot certify" in note for note in build.notes)
    assert build.error_mm is not None


def test_the_same_grip_on_an_iron_does_not_conform() -> None:
    assert best(FLAT, replace(PUTTER, family="irons")).conforming is False


def test_a_measured_foam_grip_competes_with_the_others() -> None:
    foam = replace(
        FLAT, mark="foam", shape="round", material="foam", measured=(at(20, 26, 26), at(250, 24, 24))
    )
    build = best(foam, replace(PUTTER, family="irons"))
    assert build.how == "as measured"
    assert build.conforming is True
    assert build.built_mm is not None
    assert build.built_mm.upper == pytest.approx(26 - 2 * (50.8 - 20) / 230)


def test_a_measured_width_near_the_limit_cannot_be_certified_and_beyond_it_does_not_conform() -> None:
    near = replace(FLAT, measured=(at(20, 44.3, 30), at(250, 44.0, 30)))
    wide = replace(FLAT, measured=(at(20, 45.5, 30), at(250, 44.0, 30)))
    assert best(near).conforming is None
    assert best(wide).conforming is False


def test_a_measured_bulge_is_told_and_one_within_the_calliper_s_error_is_not_certified() -> None:
    bulge = replace(FLAT, measured=(at(20, 30, 26), at(100, 28, 24), at(250, 30, 26)))
    slight = replace(FLAT, measured=(at(20, 30, 26), at(100, 28, 24), at(250, 28.4, 24)))
    assert best(bulge).conforming is False
    assert any("bulge or waist" in note for note in best(bulge).notes)
    assert best(slight).conforming is None


def test_two_grips_on_a_putter_hold_a_hand_each() -> None:
    club = replace(PUTTER, upper_station_mm=60.0, lower_station_mm=400.0, grip_style="split")
    build = best(TWO, club)
    assert build.how == "as measured"
    assert build.conforming is True
    assert build.built_mm is not None
    assert build.built_mm.upper == pytest.approx(26 - 40 / 150)
    assert build.built_mm.lower == pytest.approx(25 - 130 / 240)
    assert "bare shaft between its two grips" in best(TWO, replace(club, lower_station_mm=200.0)).notes[0]
    assert best(TWO, replace(club, family="irons")).conforming is False


@pytest.mark.parametrize(
    ("gap", "said"),
    [
        ((180.0, 218.0), "38.0 mm apart, at least 38.1 mm"),
        ((126.9, 260.0), "the upper is 126.9 mm long, at least 127.0 mm"),
    ],
)
def test_two_grips_too_near_or_too_short_do_not_conform(gap: tuple[float, float], said: str) -> None:
    # The bodies' guide, earlier edition: 1.5 in apart, the upper at least 5 in.
    verdict = check_two_grips(replace(TWO, gap_mm=gap))
    assert verdict.answer == "does not conform"
    assert said in verdict.text
    assert check_two_grips(replace(TWO, gap_mm=(127.0, 165.1))).answer == "conforms"


def test_two_grips_of_which_one_is_not_round_do_not_conform() -> None:
    flat = replace(TWO, measured=(at(20, 28, 24), at(170, 25, 25), at(270, 25, 25), at(510, 24, 24)))
    assert "each has to be round" in check_two_grips(flat).text


def test_a_hand_beyond_what_was_measured_is_told() -> None:
    build = best(replace(FLAT, measured=(at(60, 30, 26), at(250, 26, 22))))
    assert build.how == "measure"
    assert "measured from 60 to 250 mm and a hand sits at 50.8 mm" in build.notes[0]
