"""Body sizes: warnings for slips, swaps and units, none for ordinary people, and what is predicted."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.body.ranges import BodyReport, check_body, expected_mm, plausible_mm
from evenground.body.sizes import SIZES
from evenground.body.survey import Reference, normal_of, survey_table
from evenground.visit import BodyCheck, BodySize, HandSize, Limb, LimbState

MAN = {
    "stature": 1756.0,
    "shoulder_height": 1441.0,
    "biacromial_breadth": 416.0,
    "hip_breadth": 346.0,
    "crotch_height": 846.0,
    "wrist_height": 848.0,
    "arm_length": 603.0,
    "foot_length": 271.0,
    "foot_breadth": 102.0,
}
"""The survey's mean man, to the millimetre."""


def body(mass_kg: float | None = None, **sizes: float) -> BodyCheck:
    return BodyCheck(
        sizes=tuple(BodySize(name=name, readings_mm=(mm,)) for name, mm in sizes.items()), mass_kg=mass_kg
    )


def check(reference: Reference | None = None, mass_kg: float | None = None, **sizes: float) -> BodyReport:
    return check_body(body(mass_kg, **sizes), reference=reference)


@pytest.mark.parametrize("reference", ["men", "women"])
def test_the_survey_s_mean_person_gets_no_warning(reference: Reference) -> None:
    table = survey_table(reference)
    sizes = {n: float(m) for n, m in zip(table.names, table.mean, strict=True) if n in SIZES}
    mass = float(table.mean[table.names.index("mass")])
    assert check(reference, mass, **sizes).warnings == ()
    assert check(None, mass, **sizes).warnings == ()


@given(st.sampled_from(["men", "women"]), st.floats(-2.0, 2.0))
def test_a_tall_or_short_person_in_proportion_gets_no_warning(reference: Reference, z: float) -> None:
    normal = normal_of("stature", reference)
    assert normal is not None
    stature = normal.mean_mm + z * normal.sd_mm
    sizes = {"stature": stature}
    for name in ("hand_breadth", "foot_length", "wrist_height", "biacromial_breadth"):
        expected = expected_mm(name, stature, reference)
        assert expected is not None
        sizes[name] = expected.value
    assert check(reference, **sizes).warnings == ()


def test_hips_wider_than_the_shoulders_are_no_mistake() -> None:
    # ANSUR II women: hips 353.8 (26.7), shoulders 365.3 (18.3): one in three has the wider hips.
    sizes = {"stature": 1628.0, "biacromial_breadth": 350.0, "hip_breadth": 390.0, "foot_length": 246.0}
    assert check("women", 78.0, **sizes).warnings == ()


@pytest.mark.parametrize(
    ("name", "typed", "said"),
    [
        ("stature", 178.0, "stature 178 mm looks like centimetres"),
        ("stature", 70.5, "looks like inches"),
        ("stature", 1.78, "looks like metres"),
        ("foot_length", 27.1, "foot length 27.1 mm looks like centimetres"),
        ("foot_length", 10.6, "looks like inches"),
        ("stature", 705.0, "looks like inches typed as centimetres"),
        (
            "stature",
            1150.0,
            "is outside 1372 to 2030 mm, where nearly all adults lie: measure again; a junior",
        ),
        ("crotch_height", 80.0, "looks like centimetres"),
        ("asis_breadth", 24.0, "looks like centimetres"),
    ],
)
def test_a_number_in_another_unit_is_named(name: str, typed: float, said: str) -> None:
    report = check(None, None, **{name: typed})
    assert [w.where for w in report.warnings] == [name]
    assert said in report.warnings[0].text
    assert report.sizes[0].size_mm.value == typed  # warned, never changed


def test_a_size_unlike_the_stature_is_named_with_what_would_not_surprise() -> None:
    # By hand, ANSUR II men at 1800 mm: wrist 870.3, SD about the line 21.5, with tapes of 5 and 6 mm
    # sqrt(21.5^2 + 6^2 + (0.52 * 5)^2) = 22.5; two sizes, limit 3.02 SD: 802 to 938 mm; the stature's own
    # error draws the middle in by 0.1 mm.
    for wrist, warned in ((803.0, 0), (937.0, 0), (801.0, 1), (939.0, 1)):
        assert len(check("men", stature=1800.0, wrist_height=wrist).warnings) == warned
    warning = check("men", stature=1800.0, wrist_height=780.0).warnings[0]
    assert (warning.code, warning.where) == ("unlike-the-others", "wrist_height")
    assert "4.0 SD too short for the stature (802 to 938 mm would not surprise)" in warning.text


def test_one_slip_does_not_make_its_neighbours_look_wrong() -> None:
    report = check("men", 85.0, **(MAN | {"arm_length": 500.0}))
    assert [w.where for w in report.warnings] == ["arm_length"]
    assert "too short for the other sizes" in report.warnings[0].text
    (arm,) = (s for s in report.sizes if s.name == "arm_length")
    assert arm.expected_mm is not None
    assert arm.expected_mm.interval().holds(603.0)


def test_swapped_sizes_are_named_as_a_pair() -> None:
    report = check("men", 85.0, **(MAN | {"arm_length": 846.0, "crotch_height": 603.0}))
    assert {(w.code, w.where) for w in report.warnings} == {
        ("swapped", "arm_length"),
        ("swapped", "crotch_height"),
    }
    assert "fit this body the other way round" in report.warnings[0].text


def test_a_mass_in_pounds_among_the_other_sizes_is_named() -> None:
    report = check("women", 149.0, stature=1628.0, hip_breadth=354.0, chest_circumference=947.0)
    assert [w.where for w in report.warnings] == ["mass"]
    assert "looks like pounds" in report.warnings[0].text


def test_without_a_named_reference_only_what_fits_neither_is_warned() -> None:
    assert check("women", stature=1700.0, biacromial_breadth=440.0).warnings != ()
    report = check(None, stature=1700.0, biacromial_breadth=440.0)
    assert (report.warnings, report.predicted) == ((), ())
    assert "No survey table is named" in report.notes[0]


def test_missing_sizes_are_predicted_with_their_spread() -> None:
    report = check("men", stature=1800.0)
    predicted = {p.name: p.size_mm for p in report.predicted}
    # ANSUR II line on stature (ant-1): wrist 870.3, SEE 21.5; the tape on the stature adds (0.52 * 5)^2 and
    # draws the mean in by 25 / (68.6^2 + 25) of 22.8 mm.
    assert predicted["wrist_height"].value == pytest.approx(870.3 - 22.8 * 25 / (68.6**2 + 25), abs=0.1)
    assert predicted["wrist_height"].se == pytest.approx(math.hypot(21.5, 0.52 * 5.0), abs=0.1)
    assert predicted["mass"].unit == "kg"
    assert "stature" not in predicted
    assert check("men").predicted == ()  # nothing entered, nothing made up


def test_more_known_sizes_make_a_prediction_surer() -> None:
    few = {p.name: p.size_mm.se for p in check("men", stature=1756.0).predicted}
    more = {p.name: p.size_mm.se for p in check("men", 85.0, **MAN).predicted}
    assert all(more[n] <= few[n] for n in more)
    assert more["trochanter_height"] < 0.8 * few["trochanter_height"]


def test_a_warned_size_predicts_nothing() -> None:
    right = {p.name: p.size_mm for p in check("men", 85.0, **MAN).predicted}
    wrong = {p.name: p.size_mm for p in check("men", 85.0, **(MAN | {"foot_length": 320.0})).predicted}
    assert wrong["ball_of_foot_length"].interval().holds(right["ball_of_foot_length"].value)


@pytest.mark.parametrize("age", [9, 16, 59, 74])
def test_outside_the_survey_s_ages_only_ranges_are_held(age: int) -> None:
    odd = body(stature=1756.0, wrist_height=700.0)
    report = check_body(odd, reference="men", age_years=age)
    assert report.warnings == ()
    assert report.predicted == ()
    assert report.sizes[0].expected_mm is None
    assert f"at {age} sizes are held against ranges only" in report.notes[0]
    assert check_body(odd, reference="men", age_years=30).warnings != ()


def test_a_junior_may_be_far_smaller_and_an_adult_not() -> None:
    child = body(stature=1180.0, foot_length=185.0)
    assert check_body(child, age_years=8).warnings == ()
    assert len(check_body(child, age_years=30).warnings) == 2
    assert "looks like centimetres" in check_body(body(stature=118.0), age_years=8).warnings[0].text
    low, high = plausible_mm("stature", junior=True) or (0.0, 0.0)
    assert (low, high) == pytest.approx((0.55 * 1628.5, 2030.4), abs=1.0)


def with_limbs(limbs: dict[Limb, LimbState], *sizes: BodySize) -> BodyReport:
    stature = BodySize(name="stature", readings_mm=(1756.0,))
    return check_body(BodyCheck(sizes=(stature, *sizes), mass_kg=85.0, limbs=limbs), reference="men")


def test_a_prosthetic_leg_is_held_against_nothing_and_said_so() -> None:
    report = with_limbs({"left leg": "prosthetic"}, BodySize(name="crotch_height", readings_mm=(700.0,)))
    assert report.warnings == ()
    assert report.notes == (
        "Held against nothing, because the left leg is prosthetic: stature, crotch height, mass.",
    )
    assert not {"shoulder_height", "wrist_height"} & {p.name for p in report.predicted}


def test_an_absent_arm_leaves_the_other_arm_s_size() -> None:
    right = BodySize(name="arm_length", side="right", readings_mm=(530.0,))
    report = with_limbs({"left arm": "absent"}, right)
    assert [w.code for w in report.warnings] == ["unlike-the-others"]
    assert "span" not in {p.name for p in report.predicted}
    gone = with_limbs({"right arm": "absent"}, right)
    assert [w.code for w in gone.warnings] == ["absent-limb"]
    assert "the right arm is entered as absent" in gone.warnings[0].text


def test_a_limb_not_to_be_tested_is_measured_like_any_other() -> None:
    assert with_limbs({"left leg": "not tested"}).notes == ()


def test_a_seated_player_s_heights_are_held_against_nothing() -> None:
    sizes = (
        BodySize(name="stature", readings_mm=(1300.0,)),
        BodySize(name="arm_length", readings_mm=(603.0,)),
    )
    report = check_body(BodyCheck(sizes=sizes, seated=True), reference="men")
    assert report.warnings == ()
    assert report.notes == ("Held against nothing, because the player is measured seated: stature.",)
    predicted = {p.name for p in report.predicted}
    assert "foot_length" in predicted
    assert not {"shoulder_height", "hip_breadth"} & predicted


def test_left_and_right_ten_percent_apart_are_named() -> None:
    sizes = (
        BodySize(name="foot_length", side="left", readings_mm=(265.0,)),
        BodySize(name="foot_length", side="right", readings_mm=(291.5,)),
    )
    (warning,) = check_body(BodyCheck(sizes=sizes)).warnings
    assert "left 265 mm and right 292 mm are 26 mm apart" in warning.text


def test_hands_are_held_against_the_other_sizes_and_each_other() -> None:
    def hand(side: str, mm: float) -> HandSize:
        return HandSize(side=side, length_mm=mm, palm_length_mm=0.6 * mm, se_mm=1.5)  # type: ignore[arg-type]

    small = (hand("left", 160.0), hand("right", 160.0))
    assert [w.where for w in check_body(body(85.0, **MAN), reference="men", hands=small).warnings] == [
        "hand_length",
        "palm_length",
    ]
    apart = (hand("left", 193.0), hand("right", 174.0))
    assert (
        {"hand_length", "palm_length"}
        >= {w.where for w in check_body(BodyCheck(), hands=apart).warnings if w.code == "sides-differ"}
        != set()
    )


def test_a_part_larger_than_its_whole_and_disagreeing_repeats_are_named() -> None:
    swapped = check(None, upper_arm_length=610.0, arm_length=600.0)
    assert "swapped" in [w.code for w in swapped.warnings]
    twice = BodyCheck(sizes=(BodySize(name="stature", readings_mm=(1750.0, 1790.0)),))
    (warning,) = check_body(twice).warnings
    assert warning.text == "stature: readings differ by 40 mm: measure once more."


def test_repeats_make_the_error_smaller() -> None:
    twice = BodyCheck(sizes=(BodySize(name="hand_breadth", readings_mm=(88.0, 89.0)),))
    size = check_body(twice).sizes[0].size_mm
    assert (size.value, size.n) == (88.5, 2)
    assert size.se == pytest.approx(1.5 / math.sqrt(2))


def test_a_mass_in_pounds_alone_is_named() -> None:
    assert "may be in pounds" in check(mass_kg=210.0).warnings[0].text
    assert check(mass_kg=81.5).warnings == ()


def test_a_shoe_size_sharpens_the_predicted_foot_and_contradicts_a_wrong_one() -> None:
    shod = BodyCheck(sizes=(BodySize(name="stature", readings_mm=(1756.0,)),), shoe_size="EU 45")
    with_shoe = {p.name: p.size_mm for p in check_body(shod, reference="men").predicted}
    without = {p.name: p.size_mm for p in check("men", stature=1756.0).predicted}
    assert without["foot_length"].value < with_shoe["foot_length"].value < 285.0
    # Precision weighting by hand: 9.15 mm about the line, 6.67 mm for the shoe.
    assert with_shoe["foot_length"].se == pytest.approx(9.15 * 6.67 / math.hypot(9.15, 6.67), abs=0.05)
    assert with_shoe["foot_breadth"].value > without["foot_breadth"].value
    wrong = BodyCheck(sizes=(BodySize(name="foot_length", readings_mm=(240.0,)),), shoe_size="EU 45")
    assert "EU 45 is made for a foot of about 285 mm" in check_body(wrong).warnings[0].text


def test_an_unknown_size_is_kept_without_a_warning() -> None:
    assert plausible_mm("ear_length") is None
    assert check(ear_length=60.0).warnings == ()


def test_nothing_entered_is_no_warning() -> None:
    assert check_body(BodyCheck()).sizes == ()


def test_every_size_has_a_range_and_an_error() -> None:
    for name, size in SIZES.items():
        assert plausible_mm(name) is not None
        assert size.tape.value > 0.0
        assert np.isfinite(plausible_mm(name) or ()).all()
