"""What a hand asks for, and what rubber does on a shaft."""

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.estimate import Estimate
from evenground.fit.grip import (
    Hand,
    HandOutOfReachError,
    NoHandError,
    StretchedGripError,
    entered_diameters,
    installed_mm,
    wanted_diameters,
)


def hand(length: float, finger: float, se: float = 1.0) -> Hand:
    return Hand(
        length_mm=Estimate(value=length, se=se, unit="mm"), finger_mm=Estimate(value=finger, se=se, unit="mm")
    )


def value(estimate: Estimate | None) -> float:
    assert estimate is not None
    return estimate.value


def test_each_hand_counts_by_its_own_measures() -> None:
    wanted = wanted_diameters(hand(203.3, 76.8), hand(193.3, 86.8))
    assert value(wanted.upper_mm) == pytest.approx(22.86 + 0.28)
    assert value(wanted.lower_mm) == pytest.approx(22.86 + 0.70 - 1.8)


@given(st.floats(165, 210), st.floats(60, 95), st.floats(0, 5))
def test_the_error_is_never_below_one_step(length: float, finger: float, se: float) -> None:
    wanted = wanted_diameters(hand(length, finger, se), hand(length, finger, se))
    for size in (wanted.upper_mm, wanted.lower_mm):
        assert size is not None
        assert size.se >= 0.4
    assert wanted.notes == ()


def test_a_worse_measured_hand_has_a_larger_error() -> None:
    fine, rough = (wanted_diameters(hand(190, 75, se), None, one_handed=True) for se in (0.5, 6.0))
    assert fine.upper_mm is not None
    assert rough.upper_mm is not None
    assert rough.upper_mm.se > fine.upper_mm.se + 0.2


def test_a_hand_that_was_not_measured_is_lent_the_other_and_said_so() -> None:
    lent = wanted_diameters(hand(190, 75), None)
    assert value(lent.lower_mm) == pytest.approx(value(lent.upper_mm) - 1.8)
    assert lent.notes == ("The lower hand was not measured: the other hand's size stands in for it.",)
    assert wanted_diameters(hand(190, 75), None, one_handed=True).lower_mm is None


def test_a_junior_s_hand_is_marked_as_extrapolated() -> None:
    assert "extrapolated" in wanted_diameters(hand(150, 60), hand(150, 60)).notes[0]


@pytest.mark.parametrize(
    ("length", "finger", "said"),
    [
        (7.6, 76.8, "The upper hand's length of 7.6 mm is outside 100 to 260 mm; it may be in inches."),
        (19.3, 76.8, "it may be in centimetres"),
        (193.3, 7.68, "The upper hand's middle finger of 7.68 mm"),
        (500.0, 76.8, "is outside 100 to 260 mm. Measure again"),
        (float("nan"), 76.8, "finite"),
    ],
)
def test_sizes_that_no_hand_has_are_refused(length: float, finger: float, said: str) -> None:
    with pytest.raises((HandOutOfReachError, ValueError), match="(?i)" + said.replace(".", r"\.")):
        wanted_diameters(hand(length, finger), hand(190, 75))


def test_no_hand_and_impossible_diameters_are_refused() -> None:
    with pytest.raises(NoHandError, match="No hand was measured"):
        wanted_diameters(None, None)
    with pytest.raises(NoHandError):
        entered_diameters(None, None)
    with pytest.raises(HandOutOfReachError, match=r"0\.9 mm is outside 12 to 60 mm; it may be in inches"):
        entered_diameters(0.9, 22.0)
    with pytest.raises(HandOutOfReachError):
        entered_diameters(float("nan"), 22.0)


sizes = st.tuples(st.floats(18, 40), st.floats(13, 17), st.floats(12, 17), st.floats(0, 1.5))


@given(sizes, st.floats(0.9, 1.2))
def test_rubber_keeps_its_volume(size: tuple[float, float, float, float], stretch: float) -> None:
    outside, core, shaft, tape = size
    built = installed_mm(outside, core, shaft, tape_mm=tape, stretch=stretch)
    before = outside**2 - core**2
    after = (built**2 - (shaft + 2 * tape) ** 2) * stretch
    assert after == pytest.approx(before, rel=1e-9)


@given(sizes)
def test_a_thicker_shaft_more_tape_and_less_stretch_make_a_thicker_grip(
    size: tuple[float, float, float, float],
) -> None:
    outside, core, shaft, tape = size
    plain = installed_mm(outside, core, shaft, tape_mm=tape)
    assert installed_mm(outside, core, shaft + 0.1, tape_mm=tape) > plain
    assert installed_mm(outside, core, shaft, tape_mm=tape + 0.1) > plain
    assert installed_mm(outside, core, shaft, tape_mm=tape, stretch=1.05) < plain


@given(sizes)
def test_the_outside_grows_less_than_what_is_inside(size: tuple[float, float, float, float]) -> None:
    outside, core, shaft, tape = size
    grown = installed_mm(outside, core, shaft + 0.5, tape_mm=tape) - installed_mm(
        outside, core, shaft, tape_mm=tape
    )
    assert 0.0 < grown < 0.5


def test_a_bore_wider_than_the_grip_is_refused() -> None:
    with pytest.raises(StretchedGripError, match="14 mm outside and 15 mm bore"):
        installed_mm(14.0, 15.0, 15.0)
    with pytest.raises(StretchedGripError):
        installed_mm(22.86, 14.73, 15.0, stretch=0.0)


@pytest.mark.parametrize(
    "error",
    [
        HandOutOfReachError("upper hand's length", 7.6, 100.0, 260.0),
        NoHandError(),
        StretchedGripError(1.0, 2.0, 3.0, 1.0),
    ],
)
def test_errors_survive_the_way_back_from_a_worker(error: Exception) -> None:
    assert str(pickle.loads(pickle.dumps(error))) == str(error)  # noqa: S301 - our own bytes
