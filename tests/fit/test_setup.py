"""A family's row: the range around the chosen width, rounded inwards, with what it promises."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.estimate import Estimate
from evenground.findings import Range
from evenground.fit.setup import (
    HEEL_BREADTH_SE_MM,
    StanceFacts,
    family_setup,
    good_range_mm,
    shod_offset,
)
from evenground.fit.stance_types import (
    Answer,
    ConditionCurve,
    CurvePoint,
    FamilyAnswer,
    StanceFit,
    Stop,
    WidthWindow,
)
from evenground.visit import FAMILIES, Family, Phase

NOTHING = StanceFacts(
    shod_offset_mm=None,
    shoe_length_mm=None,
    as_arrived_mm=None,
    toe_out_lead_deg=None,
    toe_out_trail_deg=None,
    ball_inside_lead_heel_mm=None,
    ball_from_toe_line_mm=None,
)


def mm(value: float, se: float = 2.0) -> Estimate:
    return Estimate(value=value, se=se, unit="mm")


def curve(*points: tuple[float, float]) -> tuple[CurvePoint, ...]:
    return tuple(CurvePoint(width_mm=w, mean_deg=0.0, sd_deg=1.0, p_square=p) for w, p in points)


def fit(
    points: tuple[CurvePoint, ...],
    chosen_mm: float,
    answer: Answer = "square",
    *,
    window: tuple[float, float] = (100.0, 900.0),
    borrowed: Family | None = None,
    phase: Phase = "before",
    other_phase: tuple[CurvePoint, ...] = (),
) -> StanceFit:
    """A search that found the same for every family."""
    found = FamilyAnswer(
        answer=answer,
        width_mm=mm(chosen_mm, 8.0) if answer in ("square", "likely") else None,
        probability=0.93,
        carried_over=borrowed is not None,
        best_width_mm=chosen_mm,
        any_square=0.97,
        window_mm=WidthWindow(low_mm=window[0], high_mm=window[1]),
        borrowed_from=borrowed,
        own_trials=0 if borrowed else 5,
    )
    shown: dict[Phase, tuple[CurvePoint, ...]] = {phase: points}
    shown |= {"after" if phase == "before" else "before": other_phase} if other_phase else {}
    return StanceFit(
        families=dict.fromkeys(FAMILIES, found),
        square_bands_mm=(),
        drift_deg_per_trial=Estimate(value=0.0, se=0.1, unit="deg/trial"),
        next=None,
        stop=Stop(done=True, reason="Enough."),
        curve=points,
        noise_deg=Estimate(value=1.5, se=0.2, unit="deg"),
        phase=phase,
        margin_deg=2.0,
        stature_mm=1780.0,
        stature_assumed=False,
        conditions=tuple(
            ConditionCurve(families=FAMILIES, phase=p, trials=5, square_bands_mm=(), curve=c)
            for p, c in shown.items()
        ),
        change=(),
        flags=(),
    )


PLATEAU = curve((360, 0.5), (370, 0.91), (380, 0.95), (390, 0.97), (400, 0.95), (410, 0.91), (420, 0.6))


def heel_range(found: StanceFit, family: Family = "irons") -> Range:
    shown = family_setup(family, found, NOTHING).width_heel_range_mm
    assert shown is not None
    return shown


def test_range_is_the_unbroken_run_of_widths_that_keep_the_promise() -> None:
    points = curve((300, 0.95), (310, 0.5), (320, 0.92), (330, 0.95), (340, 0.9), (350, 0.89))
    assert good_range_mm(points, 331.0, 0.9) == (320, 340)


def test_range_of_a_width_that_does_not_keep_the_promise_is_that_width() -> None:
    assert good_range_mm(curve((300, 0.5), (310, 0.6)), 309.0, 0.9) == (309.0, 309.0)


def test_range_without_a_curve_is_the_chosen_width() -> None:
    assert good_range_mm((), 309.0, 0.9) == (309.0, 309.0)


chances = st.lists(st.floats(0, 1), min_size=1, max_size=40)


@given(chances, st.integers(0, 39), st.floats(0.05, 1))
def test_every_grid_width_in_the_range_keeps_the_promise(p: list[float], at: int, promise: float) -> None:
    points = curve(*((300.0 + 10 * i, c) for i, c in enumerate(p)))
    chosen = points[min(at, len(points) - 1)].width_mm
    low, high = good_range_mm(points, chosen, promise)
    inside = [c.p_square for c in points if low <= c.width_mm <= high]
    assert low <= chosen <= high
    assert min(inside) >= promise or low == high == chosen


@given(chances, st.floats(0.05, 0.9), st.floats(0.01, 0.1))
def test_a_stricter_promise_never_gives_a_wider_range(p: list[float], promise: float, more: float) -> None:
    points = curve(*((300.0 + 10 * i, c) for i, c in enumerate(p)))
    chosen = max(points, key=lambda c: c.p_square).width_mm
    low, high = good_range_mm(points, chosen, promise)
    strict_low, strict_high = good_range_mm(points, chosen, promise + more)
    assert low <= strict_low <= strict_high <= high


def test_square_shows_the_widths_that_are_nine_in_ten_and_says_so() -> None:
    shown = heel_range(fit(PLATEAU, 390.0))
    assert (shown.low, shown.high, shown.unit) == (370.0, 410.0, "mm")
    assert "each width in this range" in shown.means
    assert "nine in ten" in shown.means
    assert "2 deg" in shown.means


def test_likely_shows_the_widths_that_are_seven_in_ten_and_says_so() -> None:
    points = curve((370, 0.6), (380, 0.7), (390, 0.8), (400, 0.75), (410, 0.69))
    shown = heel_range(fit(points, 390.0, "likely"))
    assert (shown.low, shown.high) == (380.0, 400.0)
    assert "seven in ten" in shown.means


def test_range_is_rounded_inwards_to_half_a_centimetre() -> None:
    points = curve((368, 0.5), (372, 0.92), (390, 0.97), (408, 0.92), (412, 0.5))
    shown = heel_range(fit(points, 390.0))
    assert (shown.low, shown.high) == (375.0, 405.0)


def test_range_too_narrow_to_repeat_is_widened_and_promises_only_about_this_width() -> None:
    points = curve((380, 0.5), (390, 0.95), (400, 0.5))
    shown = heel_range(fit(points, 390.0))
    assert (shown.low, shown.high) == (380.0, 400.0)
    assert "about this width" in shown.means
    assert "each width" not in shown.means


def test_range_that_only_rounding_makes_too_narrow_promises_only_about_this_width() -> None:
    # 381 to 402 is 21 mm wide; inwards it is 385 to 400: too narrow to repeat, so it is widened.
    points = curve((380, 0.2), (381, 0.92), (391, 0.97), (402, 0.92), (403, 0.2))
    shown = heel_range(fit(points, 391.0))
    assert shown.high - shown.low >= 20.0
    assert "about this width" in shown.means


@given(st.floats(300, 500), st.floats(0, 60), st.floats(0, 60), st.floats(0, 90))
def test_range_that_promises_each_width_holds_no_width_outside_the_promise(
    chosen: float, below: float, above: float, offset: float
) -> None:
    points = curve((chosen - below - 0.01, 0.1), (chosen - below, 0.9), (chosen, 0.95), (chosen + above, 0.9))
    points += curve((chosen + above + 0.01, 0.1))
    facts = replace(NOTHING, shod_offset_mm=mm(offset))
    row = family_setup("irons", fit(points, chosen), facts)
    assert row.width_heel_range_mm is not None
    assert row.width_inside_mm is not None
    for shown, by in ((row.width_heel_range_mm, 0.0), (row.width_inside_mm, offset)):
        kept = chosen - below - by <= shown.low + 1e-6 and shown.high - 1e-6 <= chosen + above - by
        assert kept or "about this width" in shown.means
        assert shown.high - shown.low >= 20.0
        assert shown.low % 5.0 == 0.0
        assert shown.high % 5.0 == 0.0


def test_range_stays_inside_the_familys_window() -> None:
    shown = heel_range(fit(PLATEAU, 390.0, window=(380.0, 400.0)))
    assert (shown.low, shown.high) == (380.0, 400.0)


def test_range_is_read_from_the_curve_of_the_phase_that_was_used() -> None:
    after = curve((380, 0.95), (390, 0.97), (400, 0.95))
    found = fit(after, 390.0, phase="after", other_phase=PLATEAU)
    assert (heel_range(found).low, heel_range(found).high) == (380.0, 400.0)


@pytest.mark.parametrize("answer", ["none", "cannot tell"])
def test_family_without_a_square_width_gets_no_range(answer: Answer) -> None:
    row = family_setup(
        "irons",
        fit(PLATEAU, 390.0, answer),
        replace(NOTHING, as_arrived_mm=mm(420), shod_offset_mm=mm(70)),
    )
    assert row.answer == answer
    assert (row.width_heel_range_mm, row.width_inside_mm, row.width_shoe_lengths) == (None, None, None)
    assert row.was_inside_mm is not None
    assert row.was_inside_mm.value == 350.0


def test_hip_line_that_was_not_measured_leaves_a_row_of_what_was() -> None:
    facts = replace(NOTHING, toe_out_lead_deg=mm(20), notes=("by hand",))
    row = family_setup("putter", None, facts)
    assert (row.answer, row.probability, row.width_heel_centres_mm) == ("not measured", None, None)
    assert row.toe_out_lead_deg == mm(20)
    assert row.notes == ("by hand",)


def test_shoes_that_were_not_measured_leave_only_the_heel_centre_range() -> None:
    row = family_setup("irons", fit(PLATEAU, 390.0), replace(NOTHING, as_arrived_mm=mm(420)))
    assert row.width_heel_range_mm is not None
    assert (row.width_inside_mm, row.width_shoe_lengths, row.was_inside_mm) == (None, None, None)


def test_inside_range_is_narrower_by_the_offset_and_is_told_in_shoe_lengths() -> None:
    facts = replace(NOTHING, shod_offset_mm=mm(70), shoe_length_mm=300.0)
    row = family_setup("irons", fit(PLATEAU, 390.0), facts)
    assert row.width_inside_mm is not None
    assert (row.width_inside_mm.low, row.width_inside_mm.high) == (300.0, 340.0)
    assert row.width_shoe_lengths is not None
    assert (row.width_shoe_lengths.low, row.width_shoe_lengths.high) == (1.0, 340.0 / 300.0)


def test_family_that_borrows_a_curve_says_whose() -> None:
    assert family_setup("woods", fit(PLATEAU, 390.0, borrowed="irons"), NOTHING).carried_over_from == "irons"
    assert family_setup("irons", fit(PLATEAU, 390.0), NOTHING).carried_over_from is None


def test_offset_from_the_mat_is_the_difference_of_its_widths() -> None:
    found = shod_offset(mm(410, 2.0), mm(340, 3.0), 80.0)
    assert found is not None
    assert found.value == 70.0
    assert found.se == pytest.approx(math.sqrt(3.0**2 - 2.0**2))


def test_offset_from_the_mat_is_never_surer_than_a_tape() -> None:
    found = shod_offset(mm(410, 2.0), mm(340, 2.0), None)
    assert found is not None
    assert found.se == HEEL_BREADTH_SE_MM.value


def test_offset_without_a_mat_is_one_heel_breadth() -> None:
    assert shod_offset(None, None, 72.0) == mm(72.0, HEEL_BREADTH_SE_MM.value)
    assert shod_offset(mm(410), None, 72.0) == mm(72.0, HEEL_BREADTH_SE_MM.value)


def test_offset_without_mat_or_shoes_is_unknown() -> None:
    assert shod_offset(None, None, None) is None


@pytest.mark.parametrize("answer", ["square", "likely"])
def test_width_that_fresh_placements_contradicted_is_not_proposed(answer: Answer) -> None:
    facts = replace(NOTHING, not_confirmed="3 deg apart", notes=("by hand",))
    row = family_setup("irons", fit(PLATEAU, 390.0, answer), facts)
    assert row.answer == "cannot tell"
    assert (row.width_heel_centres_mm, row.width_heel_range_mm) == (None, None)
    assert row.notes == ("by hand", "3 deg apart")


def test_answer_that_proposes_nothing_stays_whatever_was_placed_afterwards() -> None:
    facts = replace(NOTHING, not_confirmed="3 deg apart")
    assert family_setup("irons", fit(PLATEAU, 390.0, "none"), facts).answer == "none"
