"""Typed lengths, masses and angles: what is read, what is refused and why, and the way back."""

import pickle
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.units import (
    ImplausibleSizeError,
    UnreadableAngleError,
    UnreadableLengthError,
    UnreadableMassError,
    inch_64ths,
    parse_angle_deg,
    parse_length_mm,
    parse_mass_kg,
    show_64ths,
    show_height,
    show_length,
    show_mass,
    show_range,
)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("5' 11\"", 1803.4),
        ("5'11\"", 1803.4),
        ("5\u2032 11\u2033", 1803.4),
        ("5\u2019 11\u201d", 1803.4),
        ("5' 11''", 1803.4),
        ("5 ft 11 in", 1803.4),
        ("5 feet 11 1/2 inches", 1816.1),
        ("30 1/2 in", 774.7),
        ("30½ in", 774.7),
        ('30-1/2"', 774.7),
        ("½ in", 12.7),
        ("58/64 in", 23.01875),
        ("0.900 in", 22.86),
        ("0,900 in", 22.86),
        ("1,80 m", 1800.0),
        ("1.80 m", 1800.0),
        ("1 m 80 cm", 1800.0),
        ("178 cm", 1780.0),
        ("1780 mm", 1780.0),
        ("1780mm", 1780.0),
        ("150 yd", 137160.0),
    ],
)
def test_a_length_is_read_as_a_person_means_it(text: str, mm: float) -> None:
    assert parse_length_mm(text) == mm  # exact: the fraction is only rounded at the end


@pytest.mark.parametrize(
    ("text", "kg"),
    # 1 lb = 0.45359237 kg exactly (international yard and pound agreement, 1959); 14 lb a stone, 16 oz a lb.
    [
        ("12 st 4 lb", 172 * 0.45359237),
        ("81.5 kg", 81.5),
        ("180 lb", 81.6466266),
        ("12 lb 4 oz", 12.25 * 0.45359237),
    ],
)
def test_a_mass_is_read_as_a_person_means_it(text: str, kg: float) -> None:
    assert parse_mass_kg(text) == pytest.approx(kg, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "deg"),
    [
        ("3.5°", 3.5),
        ("3,5 deg", 3.5),
        ("1 1/2 deg", 1.5),
        ("-2 degrees", -2.0),
        ("\u22122°", -2.0),
        ("+4º", 4.0),
    ],
)
def test_an_angle_is_read_with_its_sign(text: str, deg: float) -> None:
    assert parse_angle_deg(text) == deg


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("5 ft 11", "the 11 at the end has no unit"),
        ("5'11", "the 11 at the end has no unit"),
        ("1 m 80", "the 80 at the end has no unit"),
        ("1,800 mm", "the comma could mark thousands or a decimal"),
        ("1,800.5 mm", "more than one decimal sign"),
        ("180", "it has no unit"),
        ("5 ft 30 cm", "two systems"),
        ("5 in 3 ft", "ft cannot follow in"),
        ("5 ft 14 in", "14 in are one ft or more"),
        ("5.5 ft 3 in", "not a whole number"),
        ("61/2 in", "61/2 is not less than one"),
        ("30 1/0 in", "zero below the line"),
        ("1/2/3 in", "not a number with a unit"),
        ("9**9**7", "not a number with a unit"),
        ("5² mm", "not a number with a unit"),
        ("٣ mm", "not a number with a unit"),
        ("1e3 mm", "e is not a unit of length"),
        ("nan mm", "not a number with a unit"),
        ("inf mm", "not a number with a unit"),
        ("-5 mm", "a sign has no place here"),
        ("12 kg", "kg is not a unit of length"),
        ("", "it is empty"),
        ("9" * 41, "longer than 40 characters"),
        ("1234567890 mm", "more than 9 digits"),
    ],
)
def test_a_length_that_cannot_be_read_says_why_and_quotes_it(text: str, reason: str) -> None:
    with pytest.raises(UnreadableLengthError) as caught:
        parse_length_mm(text, field="body.stature")
    said = str(caught.value)
    assert reason in said
    assert said.startswith(f'body.stature: "{text[:40]}')
    assert "5 ft 11 in" in said  # the forms that are read
    assert "\n" not in said


def test_a_mass_and_an_angle_have_messages_of_their_own() -> None:
    with pytest.raises(UnreadableMassError, match="12 st 4 lb or 12 lb 4 oz"):
        parse_mass_kg("12 st 4")
    with pytest.raises(UnreadableMassError, match="14 lb are one st or more"):
        parse_mass_kg("12 st 14 lb")
    with pytest.raises(UnreadableAngleError, match="5 % is not a number with a unit"):
        parse_angle_deg("5 %")


def test_a_line_break_or_control_character_never_reaches_the_message() -> None:
    with pytest.raises(UnreadableLengthError) as caught:
        parse_length_mm("5\n11\x1b[31m")
    assert str(caught.value).isprintable()


def test_a_bare_number_takes_the_field_s_own_unit() -> None:
    assert parse_length_mm("30½", default_unit="in") == 774.7
    with pytest.raises(UnreadableLengthError, match="at the end has no unit"):
        parse_length_mm("5 ft 11", default_unit="in")
    with pytest.raises(UnreadableLengthError, match="thousands or a decimal"):
        parse_length_mm("1,800", default_unit="mm")
    with pytest.raises(ValueError, match="kg is not a unit of length"):
        parse_length_mm("3", default_unit="kg")


def test_a_size_outside_its_field_says_what_was_read_and_what_is_possible() -> None:
    with pytest.raises(ImplausibleSizeError) as caught:
        parse_length_mm("71 mm", field="stature", low_mm=600.0, high_mm=2500.0)
    assert str(caught.value) == (
        'stature: "71 mm" is 71 mm, and 600 to 2500 mm is possible here. Check the number and its unit.'
    )
    assert parse_length_mm("600 mm", low_mm=600.0) == 600.0
    with pytest.raises(ImplausibleSizeError, match="at most 300 kg"):
        parse_mass_kg("400 kg", high_kg=300.0)


@pytest.mark.parametrize(
    "error",
    [
        UnreadableLengthError("5 ft 11", "stature", "no unit"),
        UnreadableMassError("x", "", "y"),
        UnreadableAngleError("x", "a", "y"),
        ImplausibleSizeError("71 mm", "stature", "71 mm", "600 mm to 2500 mm"),
    ],
)
def test_errors_survive_the_way_back_from_a_worker(error: Exception) -> None:
    assert str(pickle.loads(pickle.dumps(error))) == str(error)  # noqa: S301 - our own bytes


@given(st.integers(0, 8 * 200))
def test_inches_in_inches_out(eighths: int) -> None:
    mm = float(Fraction(eighths, 8) * Fraction(254, 10))
    assert parse_length_mm(show_length(mm, "inch eighths")) == mm


@given(st.integers(0, 4 * 12 * 8))
def test_feet_and_inches_in_feet_and_inches_out(quarters: int) -> None:
    mm = float(Fraction(quarters, 4) * Fraction(254, 10))
    assert parse_length_mm(show_height(mm, "inch quarters")) == mm


@given(st.integers(0, 400))
def test_stones_in_stones_out(pounds: int) -> None:
    kg = float(pounds * Fraction(45359237, 100_000_000))
    assert parse_mass_kg(show_mass(kg, "st lb")) == pytest.approx(kg, rel=1e-15)


@given(st.floats(0.0, 3000.0))
def test_a_shown_length_is_within_half_a_step(mm: float) -> None:
    assert abs(parse_length_mm(show_length(mm)) - mm) <= 0.5
    assert abs(parse_length_mm(show_length(mm, "inch quarters")) - mm) <= 25.4 / 8 + 1e-9


@given(
    st.floats(0.0, 2000.0), st.floats(0.0, 50.0), st.sampled_from(["metric", "inch quarters", "inch eighths"])
)
def test_a_shown_range_never_claims_more_than_was_measured(low: float, span: float, system: str) -> None:
    shown = show_range(low, low + span, system, step_mm=5.0)  # type: ignore[arg-type]
    *_, unit = shown.split()
    ends = [parse_length_mm(f"{end} {unit}") for end in shown.removesuffix(unit).strip().split(" to ")]
    assert ends[0] <= low + 1e-6
    assert ends[-1] >= low + span - 1e-6


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_with_a_sentence(text: str) -> None:
    try:
        assert parse_length_mm(text, signed=True) == pytest.approx(0.0, abs=1e14)
    except UnreadableLengthError as exc:
        assert str(exc).isprintable()  # noqa: PT017 - both outcomes are right


def test_a_64th_is_what_it_says() -> None:
    assert inch_64ths(0.396875) == pytest.approx(1.0, abs=1e-15)  # check values grip-1: 1/64 in = 0.396875 mm
    assert show_64ths(22.86) == "57.6/64 in"
    assert show_64ths(-0.396875, signed=True) == "-1.0/64 in"


def test_negative_lengths_show_their_sign_once() -> None:
    assert show_length(-12.7, "inch quarters") == "-1/2 in"
    assert show_length(-3.2, "metric", decimals=1) == "-3.2 mm"
