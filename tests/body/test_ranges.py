"""Body sizes: warnings for slips, swaps and units, and none for ordinary people."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.body.ranges import BodyReport, check_body, expected_mm, plausible_mm
from evenground.body.survey import SIZES, Reference
from evenground.visit import BodyCheck, BodySize


def check(reference: Reference | None = None, mass_kg: float | None = None, **sizes: float) -> BodyReport:
    body = BodyCheck(
        sizes=tuple(BodySize(name=name, readings_mm=(mm,)) for name, mm in sizes.items()), mass_kg=mass_kg
    )
    return check_body(body, reference=reference)


@pytest.mark.parametrize("reference", ["men", "women"])
def test_the_survey_s_mean_person_gets_no_warning(reference: Reference) -> None:
    sizes = {name: tables[reference].mean_mm for name, tables in SIZES.items()}
    assert check(reference, **sizes).warnings == ()
    assert check(None, **sizes).warnings == ()


@given(st.sampled_from(["men", "women"]), st.floats(-2.0, 2.0))
def test_a_tall_or_short_person_in_proportion_gets_no_warning(reference: Reference, z: float) -> None:
    stature = SIZES["stature"][reference].mean_mm + z * SIZES["stature"][reference].sd_mm
    sizes = {"stature": stature}
    for name in ("hand_length", "foot_length", "wrist_height", "biacromial_breadth"):
        expected = expected_mm(name, stature, reference)
        assert expected is not None
        sizes[name] = expected.value
    assert check(reference, **sizes).warnings == ()


@pytest.mark.parametrize(
    ("name", "typed", "said"),
    [
        ("stature", 178.0, "stature 178 mm looks like centimetres"),
        ("stature", 70.5, "looks like inches"),
        ("stature", 1.78, "looks like metres"),
        ("foot_length", 27.1, "foot length 27.1 mm looks like centimetres"),
        ("foot_length", 10.6, "looks like inches"),
        ("hand_length", 7.6, "looks like inches"),
        (
            "stature",
            1150.0,
            "is outside 1372 to 2031 mm, where nearly all adults lie: measure again; a junior",
        ),
        ("crotch_height", 80.0, "looks like centimetres"),
    ],
)
def test_a_number_in_another_unit_is_named(name: str, typed: float, said: str) -> None:
    report = check(None, None, **{name: typed})
    assert [w.where for w in report.warnings] == [name]
    assert said in report.warnings[0].text
    assert report.sizes[0].size_mm.value == typed  # warned, never changed


def test_a_size_unlike_the_stature_is_named_with_what_would_not_surprise() -> None:
    # ANSUR II regression: 1800 mm man, wrist height 870.3 mm, gate of three SEE 806 to 935 mm.
    for wrist, warned in ((807.0, 0), (934.0, 0), (805.0, 1), (936.0, 1)):
        assert len(check("men", stature=1800.0, wrist_height=wrist).warnings) == warned
    warning = check("men", stature=1800.0, wrist_height=780.0).warnings[0]
    assert warning.code == "unlike-stature"
    assert (
        "4.2 standard errors short for a stature of 1800 mm (806 to 935 mm would not surprise)"
        in warning.text
    )


def test_without_a_named_reference_only_what_fits_neither_is_warned() -> None:
    assert check("women", stature=1700.0, biacromial_breadth=440.0).warnings != ()
    assert check(None, stature=1700.0, biacromial_breadth=440.0).warnings == ()


def test_swapped_sizes_and_disagreeing_repeats_are_named() -> None:
    swapped = check("men", hand_length=117.0 + 60, palm_length=190.0)
    assert "swapped" in [w.code for w in swapped.warnings]
    body = BodyCheck(sizes=(BodySize(name="stature", readings_mm=(1750.0, 1790.0)),))
    (warning,) = check_body(body).warnings
    assert warning.text == "stature: readings differ by 40 mm: measure once more."


def test_repeats_make_the_error_smaller() -> None:
    body = BodyCheck(sizes=(BodySize(name="hand_length", readings_mm=(193.0, 194.0)),))
    size = check_body(body).sizes[0].size_mm
    assert (size.value, size.n) == (193.5, 2)
    assert size.se == pytest.approx(1.5 / math.sqrt(2))


def test_a_mass_in_pounds_is_named() -> None:
    assert "may be in pounds" in check(mass_kg=210.0).warnings[0].text
    assert check(mass_kg=81.5).warnings == ()


def test_an_unknown_size_is_kept_without_a_warning() -> None:
    assert plausible_mm("ear_length") is None
    assert check(ear_length=60.0).warnings == ()


def test_nothing_entered_is_no_warning() -> None:
    assert check_body(BodyCheck()).sizes == ()
