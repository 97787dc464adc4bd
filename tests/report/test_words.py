"""Ranges and chances as they are printed: never more than was found, never without a range."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.estimate import Estimate
from evenground.findings import Range
from evenground.report import words

SYSTEMS = ("metric", "inch quarters", "inch eighths")
INCH_MM = 25.4  # international inch, exact: Federal Register 24 FR 5348 (1959)
lows = st.floats(100.0, 600.0)
spans = st.floats(20.0, 120.0)


def read_mm(text: str) -> tuple[float, float]:
    """Both ends of a printed range in millimetres, read back independently of units.py."""
    ends = []
    for end in text.replace(" mm", "").replace(" in", "").split(" to "):
        whole, _, part = end.rpartition(" ") if "/" in end else (end, "", "")
        over, _, under = part.partition("/")
        ends.append(float(whole or 0) + (float(over) / float(under) if part else 0.0))
    unit = INCH_MM if text.endswith(" in") else 1.0
    return ends[0] * unit, ends[-1] * unit


@given(lows, spans, st.sampled_from(SYSTEMS))
def test_printed_width_never_reaches_past_what_was_promised(low: float, span: float, system: str) -> None:
    low, high = round(low / 5) * 5.0, round((low + span) / 5) * 5.0
    text = words.width_range(Range(low=low, high=high, unit="mm", means=""), system)  # type: ignore[arg-type]
    printed = read_mm(text)
    assert low - 1e-6 <= printed[0] <= printed[1] <= high + 1e-6


@given(st.floats(50.0, 600.0), st.floats(0.1, 20.0), st.sampled_from(SYSTEMS))
def test_printed_length_holds_the_whole_95_percent_range(value: float, se: float, system: str) -> None:
    length = Estimate(value=value, se=se, unit="mm")
    low, high = read_mm(words.length_range(length, system))  # type: ignore[arg-type]
    assert low <= length.interval().low + 1e-6
    assert high >= length.interval().high - 1e-6


@given(st.floats(-10.0, 40.0), st.floats(0.01, 5.0))
def test_an_angle_always_prints_two_ends(value: float, se: float) -> None:
    text = words.angle_range(Estimate(value=value, se=se, unit="deg"))
    low, high = (int(n.replace("\N{MINUS SIGN}", "-")) for n in text.removesuffix("°").split(" to "))
    assert low <= value - 1.95 * se
    assert high >= value + 1.95 * se
    assert low < high


@given(st.floats(0.0, 1.0))
def test_a_chance_in_words_is_never_larger_than_the_chance(p: float) -> None:
    sizes = {words_: least for least, words_ in words.CHANCES} | {"less than one in ten": 0.0}
    assert sizes[words.chance_words(p)] <= p + 1e-9


def test_a_closed_face_of_a_left_handed_player_looks_right() -> None:
    closed = Estimate(value=-0.6, se=0.1, unit="deg")
    assert words.side_range(closed, "right").endswith("left")
    assert words.side_range(closed, "left").endswith("right")


def test_an_error_is_rounded_up_and_never_to_nothing() -> None:
    tiny = Estimate(value=3.0, se=1e-6, unit="deg")
    assert words.estimate_text(tiny) == "3.0 ± 0.1°"


@pytest.mark.parametrize(
    ("value", "said"), [(2.0, "1° in to 5° out"), (-4.0, "1 to 7° in"), (9.0, "6 to 12°")]
)
def test_toe_out_says_in_or_out(value: float, said: str) -> None:
    assert words.toe_out_range(Estimate(value=value, se=1.5, unit="deg")) == said


def test_every_printed_figure_of_the_words_has_a_range_or_an_error() -> None:
    size = Estimate(value=22.9, se=0.4, unit="mm")
    for text in (words.diameter_text(size), words.estimate_text(size), words.sixty_fourths_range(0.4, 2.0)):
        assert re.search(r" ± | to ", text)
