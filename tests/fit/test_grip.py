"""What a hand asks for, and what rubber does on a shaft."""

import pickle
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.estimate import Estimate
from evenground.fit.grip import (
    Hand,
    HandOutOfReachError,
    Held,
    NoHandError,
    StretchedGripError,
    entered_diameters,
    installed_mm,
    wanted_as_held,
    wanted_diameters,
)
from evenground.visit import GripStyle, StudioGripModel


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


ADULT = hand(193.3, 76.8, 0.0)
BIG = hand(203.3, 76.8, 0.0)


def sizes_of(held: Held) -> tuple[float | None, float | None]:
    wanted = wanted_as_held(ADULT, BIG, held)
    return tuple(None if e is None else round(e.value, 6) for e in (wanted.upper_mm, wanted.lower_mm))  # type: ignore[return-value]


@pytest.mark.parametrize(
    ("style", "wanted"),
    [
        ("usual", (22.86, 22.86 + 0.28 - 1.8)),
        ("split", (22.86, 22.86 + 0.28 - 1.8)),
        ("cross-handed", (22.86 + 0.28, 22.86 - 1.8)),  # the trail hand is the upper one
        ("lead hand only", (22.86, None)),
        ("trail hand only", (22.86 + 0.28, None)),  # alone it sits at the upper station: no taper off
    ],
)
def test_a_style_puts_each_hand_where_it_holds(
    style: GripStyle, wanted: tuple[float | None, float | None]
) -> None:
    assert sizes_of(Held(style=style)) == pytest.approx(wanted)


def test_a_glove_that_is_not_the_usual_one_moves_the_size_by_two_layers_of_leather() -> None:
    upper, lower = 22.86, 22.86 + 0.28 - 1.8
    assert sizes_of(Held(glove="lead")) == pytest.approx((upper, lower))
    assert sizes_of(Held(glove="none")) == pytest.approx(
        (upper + 1.0, lower)
    )  # a bare lead hand closes on less
    assert sizes_of(Held(glove="both")) == pytest.approx((upper, lower - 1.0))
    assert sizes_of(Held(glove="trail", style="cross-handed", glove_mm=0.4)) == pytest.approx(
        (upper + 0.28 - 0.8, upper - 1.8 + 0.8)
    )
    with pytest.raises(HandOutOfReachError, match="glove's leather of 9 mm"):
        wanted_as_held(ADULT, BIG, Held(glove="none", glove_mm=9.0))


def test_a_sore_hand_puts_comfort_first_and_widens_its_own_size_only() -> None:
    sore = wanted_diameters(replace(hand(190, 75), sore=True), hand(190, 75))
    plain = wanted_diameters(hand(190, 75), hand(190, 75))
    assert sore.comfort_first
    assert not plain.comfort_first
    assert "comfort outranks size" in sore.notes[0]
    assert "stop at pain" in sore.notes[0]
    assert sore.upper_mm is not None
    assert plain.upper_mm is not None
    assert sore.upper_mm.se**2 - plain.upper_mm.se**2 == pytest.approx(0.8**2)
    assert sore.lower_mm == plain.lower_mm
    assert value(sore.upper_mm) == value(plain.upper_mm)


def test_the_error_grows_the_further_a_hand_is_beyond_the_model_s_adults() -> None:
    errors = [wanted_diameters(hand(h, 0.4 * h), None, one_handed=True).upper_mm for h in (165, 150, 130)]
    ses = [e.se for e in errors if e is not None]
    assert ses == sorted(ses)
    # By hand: 35 mm below 165 at 0.028 + 0.070 * 76.8 / 193.3 a millimetre, half of it.
    beyond = 0.5 * 35 * (0.028 + 0.070 * 76.8 / 193.3)
    assert ses[2] == pytest.approx((0.4**2 + (0.028 + 0.070) ** 2 + beyond**2) ** 0.5)


def test_a_studio_s_own_model_takes_the_place_of_the_default() -> None:
    own = StudioGripModel(
        at_reference_mm=24.0,
        hand_slope=0.0,
        finger_slope=0.1,
        taper_mm=1.0,
        se_mm=0.7,
        hands=20,
        players=10,
    )
    wanted = wanted_diameters(hand(200, 80, 0.0), hand(190, 70, 0.0), model=own)
    assert value(wanted.upper_mm) == pytest.approx(24.32)
    assert value(wanted.lower_mm) == pytest.approx(24.0 - 0.68 - 1.0)
    assert wanted.upper_mm is not None
    assert wanted.upper_mm.se == 0.7
