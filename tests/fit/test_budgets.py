import math

import pytest

from evenground.fit.budgets import Contribution, FindingBudget, NoErrorError, explain_budget


def explained(*parts: Contribution) -> FindingBudget:
    return explain_budget("irons.width", "stance width", 400.0, parts, unit="mm")


FEET = Contribution(name="setting the feet", se=3.0, dof=2, repeats=3, means="placements")
TAPE = Contribution(name="the tape", se=4.0, means="a better tape")
CAMERA = Contribution(name="the camera", se=0.5, means="a better camera")


def test_sources_add_in_squares_and_stand_largest_first() -> None:
    found = explained(FEET, TAPE)
    assert found.budget.se == pytest.approx(5.0)
    assert [s.name for s in found.budget.sources] == ["the tape", "setting the feet"]
    assert found.shares == pytest.approx((0.64, 0.36))
    # Welch and Satterthwaite by hand: 25^2 / (9^2 / 2).
    assert found.budget.dof == pytest.approx(25.0**2 / (81.0 / 2.0))


def test_three_more_repeats_shrink_their_own_source_only() -> None:
    helps = {h.action: h for h in explained(FEET, TAPE).helps}
    assert helps["3 more placements"].se_after == pytest.approx(math.hypot(4.0, 3.0 * math.sqrt(3 / 6)))
    assert helps["a better tape"].se_after == pytest.approx(3.0)
    assert helps["a better tape"].saves == pytest.approx(0.4)


def test_what_helps_most_comes_first_and_what_does_not_is_said() -> None:
    found = explained(FEET, CAMERA)
    assert found.helps[0].action == "3 more placements"
    assert found.advice.endswith("a better camera would not help")


def test_one_source_without_repeats_asks_for_another_way_of_measuring() -> None:
    assert explained(TAPE).advice == "all of it is the tape; only a better tape would help"


def test_an_error_of_nothing_is_refused() -> None:
    with pytest.raises(NoErrorError, match="no error to explain"):
        explained(Contribution(name="the tape", se=0.0, means="a better tape"))
