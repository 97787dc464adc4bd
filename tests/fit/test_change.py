import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenground.estimate import Estimate
from evenground.fit.change import Figure, LineChange, compare_figures, repeats_to_tell


def figure(value: float, se: float, dof: float = math.inf, **under: str) -> Figure:
    return Figure(value=Estimate(value=value, se=se, dof=dof, unit="deg"), under=under)


def line(before: Figure, after: Figure, matters: float = 5.0, visit_sd: float = 0.0) -> LineChange:
    return compare_figures("x", "X", before, after, matters=matters, visit_sd=visit_sd)


def test_a_difference_beyond_its_error_is_a_change() -> None:
    found = line(figure(10.0, 1.0), figure(14.0, 1.0))
    assert found.word == "changed"
    assert found.change is not None
    assert found.change.value == pytest.approx(4.0)  # later less earlier
    assert found.change.half_width() == pytest.approx(1.959964 * math.sqrt(2.0), abs=1e-4)
    assert "less than the 5 deg that matter" in found.reason


def test_two_steady_figures_that_agree_show_no_real_change() -> None:
    assert line(figure(10.0, 1.0), figure(11.0, 1.0)).word == "no real change"


def test_noise_that_hides_what_matters_cannot_tell() -> None:
    # SEM 3 deg and eight trials, four a visit, square within 2 deg.
    found = line(figure(0.0, 3.0 / 2.0), figure(1.0, 3.0 / 2.0), matters=2.0)
    assert found.word == "cannot tell"
    assert found.reason == "changes under 4.2 deg do not show"


@pytest.mark.parametrize("sem", [3.0, 6.0, 12.0])
def test_a_noisier_studio_never_hears_no_real_change_by_a_wider_margin(sem: float) -> None:
    found = line(figure(0.0, sem / 2.0), figure(0.0, sem / 2.0), matters=2.0)
    assert (found.word, found.matters) == ("cannot tell", 2.0)


def test_few_repeats_need_a_larger_difference() -> None:
    # Student's t for 4 degrees of freedom, 2.776 times the error of the difference, 1.414: 3.93.
    assert line(figure(0.0, 1.0), figure(3.5, 1.0)).word == "changed"
    assert line(figure(0.0, 1.0, dof=2), figure(3.5, 1.0, dof=2)).word == "cannot tell"


def test_another_observer_adds_an_error_that_repeats_do_not_shrink() -> None:
    assert line(figure(0.0, 0.1), figure(4.0, 0.1)).word == "changed"
    assert line(figure(0.0, 0.1), figure(4.0, 0.1), visit_sd=2.0).word == "cannot tell"


def test_other_conditions_are_not_comparable_and_say_which() -> None:
    found = line(figure(0.0, 1.0, shoes="flat"), figure(9.0, 1.0, shoes="spiked"))
    assert (found.word, found.change) == ("not comparable", None)
    assert found.reason == "other shoes: flat before, spiked now"


def test_a_condition_that_was_not_written_down_stops_nothing() -> None:
    unknown = Figure(value=figure(9.0, 1.0).value, under={"shoes": None})
    assert line(figure(0.0, 1.0, shoes="flat"), unknown).word == "changed"


def test_what_was_not_measured_is_not_comparable_with_its_reason() -> None:
    found = line(figure(0.0, 1.0), Figure(value=None, reason="skipped: no time"))
    assert (found.word, found.reason) == ("not comparable", "not measured now: skipped: no time")


@settings(max_examples=40)
@given(st.floats(-20, 20), st.floats(-20, 20), st.floats(0.1, 5.0), st.floats(0.1, 5.0))
def test_the_other_way_round_gives_the_same_word_and_the_other_sign(
    one: float, other: float, se: float, other_se: float
) -> None:
    there, back = (
        line(figure(one, se), figure(other, other_se)),
        line(figure(other, other_se), figure(one, se)),
    )
    assert there.word == back.word
    assert there.change is not None
    assert back.change is not None
    assert there.change.value == pytest.approx(-back.change.value)


def test_enough_more_readings_would_make_a_change_that_matters_show() -> None:
    found = line(figure(0.0, 1.5), figure(1.0, 1.5), matters=2.0)
    times = repeats_to_tell(found)
    assert times == 5  # (4.158 / 2)^2 = 4.32
    assert line(figure(0.0, 1.5 / times**0.5), figure(2.1, 1.5 / times**0.5), matters=2.0).word == "changed"
    assert repeats_to_tell(line(figure(0.0, 0.1), figure(4.0, 0.1))) is None
