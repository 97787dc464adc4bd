import pytest
from scipy.stats import binomtest

from evenground.fit.forecast import Forecast, NoForecastsError, score_forecasts


def forecasts(said: list[float], came: list[float]) -> list[Forecast]:
    return [Forecast(what="x", said=s, came=c) for s, c in zip(said, came, strict=True)]


def test_scores_by_hand() -> None:
    # (0.2^2 + 0.3^2) / 2; -(ln 0.8 + ln 0.7) / 2.
    found = score_forecasts(forecasts([0.8, 0.3], [1.0, 0.0]))
    assert found.brier == pytest.approx(0.065)
    assert found.log_score == pytest.approx(0.28991, abs=1e-5)
    assert found.skill == pytest.approx(1.0 - 0.065 / 0.25)


def test_the_range_of_a_bin_is_the_exact_one() -> None:
    found = score_forecasts(forecasts([0.7] * 20, [1.0] * 13 + [0.0] * 7), bins=1).bins[0]
    exact = binomtest(13, 20).proportion_ci(0.95, "exact")
    assert found.interval.low == pytest.approx(exact.low)
    assert found.interval.high == pytest.approx(exact.high)


def test_what_is_only_likely_is_averaged_over() -> None:
    # By hand: half of the time (0.8 - 1)^2, half of the time (0.8 - 0)^2.
    assert score_forecasts(forecasts([0.8], [0.5])).brier == pytest.approx(0.5 * 0.04 + 0.5 * 0.64)


def test_promising_nine_in_ten_and_keeping_half_promises_too_much() -> None:
    found = score_forecasts(forecasts([0.9] * 40, [1.0, 0.0] * 20))
    assert found.verdict == "promises too much"
    assert found.gap == pytest.approx(0.4)


def test_promising_half_and_keeping_nine_in_ten_promises_too_little() -> None:
    assert score_forecasts(forecasts([0.5] * 40, ([1.0] * 9 + [0.0]) * 4)).verdict == "promises too little"


def test_keeping_what_was_promised_holds_and_few_are_not_judged() -> None:
    assert score_forecasts(forecasts([0.9] * 40, ([1.0] * 9 + [0.0]) * 4)).verdict == "holds what it promises"
    assert "too few to judge" in score_forecasts(forecasts([0.9] * 5, [0.0] * 5)).verdict


def test_a_sure_claim_that_failed_costs_much_but_not_everything() -> None:
    assert score_forecasts(forecasts([1.0], [0.0])).log_score == pytest.approx(6.9078, abs=1e-3)


def test_nothing_claimed_is_refused() -> None:
    with pytest.raises(NoForecastsError, match="Measure players again"):
        score_forecasts([])
