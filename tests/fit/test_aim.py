"""Bias, spread and the chance inside: signs, known truth, and what is refused."""

import math
import pickle
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from bench.prove_aim import prove
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import t as student

from evenground.estimate import Estimate
from evenground.fit.aim import (
    AimFit,
    TooFewAimsError,
    bias_change,
    fit_aim,
    fit_aims,
)
from evenground.fit.aim_angle import AimOffsetError, aim_deg
from evenground.fit.putting import DistanceError, SpeedError, hole_window_deg
from evenground.floor import Handed
from evenground.visit import AimCheck, AimTrial

TWO_METRES = AimCheck(distance_m=2.0, trials=())


def aims(offsets: Sequence[float], condition: str = "as arrived", start: int = 1) -> list[AimTrial]:
    return [AimTrial(trial=i, offset_mm=o, condition=condition) for i, o in enumerate(offsets, start)]


def at_two_metres(offsets: Sequence[float], handed: Handed = "right", past_m: float = 0.43) -> AimFit:
    return fit_aim(aims(offsets), TWO_METRES, handed=handed, past_m=past_m)


def test_a_face_that_points_right_of_the_target_is_open_for_a_right_handed_player() -> None:
    assert aim_deg(10.0, 2.0, "right") > 0.0
    assert aim_deg(10.0, 2.0, "left") < 0.0
    assert at_two_metres([10, 12, 14]).bias_deg.value == pytest.approx(
        math.degrees(math.atan(0.006)), abs=1e-4
    )


@given(st.lists(st.floats(-60, 60), min_size=3, max_size=12))
def test_handedness_flips_the_bias_and_nothing_else(offsets: list[float]) -> None:
    right, left = at_two_metres(offsets), at_two_metres([-o for o in offsets], "left")
    assert left.bias_deg.value == pytest.approx(right.bias_deg.value, abs=1e-12)
    mirrored = at_two_metres([-o for o in offsets], "right")
    assert mirrored.bias_deg.value == pytest.approx(-right.bias_deg.value, abs=1e-12)
    assert mirrored.spread_deg.value == pytest.approx(right.spread_deg.value, abs=1e-12)
    assert mirrored.inside_probability.value == pytest.approx(right.inside_probability.value, abs=1e-9)


@given(st.lists(st.floats(-60, 60), min_size=3, max_size=12), st.randoms())
def test_the_order_of_aims_changes_nothing(offsets: list[float], random: object) -> None:
    mixed = list(offsets)
    random.shuffle(mixed)  # type: ignore[attr-defined]
    one, other = at_two_metres(offsets), at_two_metres(mixed)
    assert one.inside_probability.value == pytest.approx(other.inside_probability.value, abs=1e-9)


def test_the_chance_is_the_predictive_t_of_the_next_aim() -> None:
    fit = at_two_metres([10, -22, 31, 4, 17])
    n, s = 5, fit.spread_deg.value
    next_aim = student(df=n - 1, loc=fit.bias_deg.value, scale=s * math.sqrt(1 + 1 / n))
    expected = next_aim.cdf(fit.window_deg) - next_aim.cdf(-fit.window_deg)
    assert fit.inside_probability.value == pytest.approx(expected, abs=1e-12)


def test_the_grid_over_bias_and_spread_agrees_with_drawing_them() -> None:
    fit = at_two_metres([10, -22, 31, 4, 17])
    rng = np.random.default_rng(20260401)
    n, draws = 5, 200_000
    sigma = fit.spread_deg.value * np.sqrt((n - 1) / rng.chisquare(n - 1, draws))
    mu = fit.bias_deg.value + sigma / math.sqrt(n) * rng.standard_normal(draws)
    inside = np.array([0.5 * (1 + math.erf(z / math.sqrt(2))) for z in (fit.window_deg - mu) / sigma])
    inside -= np.array([0.5 * (1 + math.erf(z / math.sqrt(2))) for z in (-fit.window_deg - mu) / sigma])
    assert fit.inside_probability.value == pytest.approx(inside.mean(), abs=0.002)  # 4 SE of the draws
    assert fit.inside_probability.se == pytest.approx(inside.std(), abs=0.004)
    assert fit.inside_interval.low == pytest.approx(np.quantile(inside, 0.025), abs=0.01)
    assert fit.inside_interval.high == pytest.approx(np.quantile(inside, 0.975), abs=0.01)


def test_stated_errors_cover_the_truth_as_often_as_they_claim() -> None:
    rng = np.random.default_rng(20260402)
    runs, hits_bias, hits_inside = 500, 0, 0
    for _ in range(runs):
        mu, sigma = rng.uniform(-1, 1), rng.uniform(0.4, 1.2)
        angles = rng.normal(mu, sigma, 6)
        fit = at_two_metres([2000 * math.tan(math.radians(a)) for a in angles])
        window = fit.window_deg
        ends = [0.5 * (1 + math.erf((w - mu) / sigma / math.sqrt(2))) for w in (window, -window)]
        hits_bias += fit.bias_deg.interval().holds(mu)
        hits_inside += fit.inside_interval.holds(ends[0] - ends[1])
    # 95 % of 500 within four binomial SDs (3.9 points). The interval of the chance is equal-tailed Bayes with
    # the prior uniform in bias and log spread, close to but not exactly a repeated-sampling interval.
    assert 0.911 <= hits_bias / runs <= 0.989
    assert 0.911 <= hits_inside / runs <= 0.989


@given(st.floats(0.5, 2.0))
def test_a_steadier_player_in_the_middle_is_inside_more_often(factor: float) -> None:
    rough = at_two_metres([-40 * factor, 0, 40 * factor])
    fine = at_two_metres([-20 * factor, 0, 20 * factor])
    assert fine.inside_probability.value > rough.inside_probability.value
    assert fine.more_trials <= rough.more_trials


def test_aims_that_agree_beyond_reading_say_so_and_keep_a_spread() -> None:
    fit = at_two_metres([5.0, 5.0, 5.0])
    assert fit.spread_deg.value == pytest.approx(math.degrees(math.atan(0.0005)))
    assert "more closely than they can be read" in fit.notes[0]


def test_conditions_are_compared_and_too_few_aims_are_said() -> None:
    trials = [*aims([30, 22, 41, 35]), *aims([5, -4, 9], "line", 5), *aims([1], "eyes", 8)]
    whole, each, unusable = fit_aims(trials, TWO_METRES, handed="right")
    assert list(each) == ["as arrived", "line"]
    assert whole.bias_deg.n == 8
    assert whole.notes == ("The figures over all aims mix 3 conditions.",)
    assert unusable[0].startswith("aim, eyes: 1 aim cannot show")
    change = bias_change(each["line"], each["as arrived"])
    assert change.value == pytest.approx(each["line"].bias_deg.value - each["as arrived"].bias_deg.value)
    assert change.value + change.half_width() < 0.0


def test_too_few_aims_impossible_offsets_and_speeds_are_refused() -> None:
    with pytest.raises(TooFewAimsError, match="aim, as arrived: 2 aims cannot show a bias and a spread"):
        at_two_metres([1, 2])
    with pytest.raises(TooFewAimsError, match="0 aims"):
        at_two_metres([])
    with pytest.raises(AimOffsetError, match="trial 3: An offset of 2001 mm at 2 m is no aim"):
        at_two_metres([1, 2, 2001])
    with pytest.raises(AimOffsetError):
        at_two_metres([1, 2, math.nan])
    for distance in (1828.8, 0.0, -2.0, math.nan, math.inf):
        with pytest.raises(DistanceError, match=r"outside 0\.2 to 400 m"):
            fit_aim(aims([1, 2, 3]), AimCheck(distance_m=distance, trials=()), handed="right")
    for past, green in ((5.0, 3.0), (-0.1, 3.0), (math.nan, 3.0), (0.4, 10.0), (math.inf, 3.0)):
        with pytest.raises(SpeedError, match="is caught by no hole"):
            hole_window_deg(2.0, past_m=past, green_m=green)


@pytest.mark.parametrize(
    "error",
    [TooFewAimsError(1, "eyes"), AimOffsetError(1, 2.0, 3.0), DistanceError(0.0), SpeedError(5.0, 3.0)],
)
def test_errors_survive_the_way_back_from_a_worker(error: Exception) -> None:
    assert str(pickle.loads(pickle.dumps(error))) == str(error)  # noqa: S301 - our own bytes


def test_the_spread_s_own_error_is_the_sample_sd_s() -> None:
    # Relative SE of a sample SD of 5 normal values, from 200,000 simulated samples.
    rng = np.random.default_rng(20260403)
    sds = rng.standard_normal((200_000, 5)).std(axis=1, ddof=1)
    fit = at_two_metres([10, -22, 31, 4, 17])
    expected = Estimate(value=1.0, se=float(sds.std() / sds.mean()), unit="")
    assert fit.spread_deg.se / fit.spread_deg.value == pytest.approx(expected.se, rel=0.01)


def test_what_is_proved_at_full_count_holds_at_a_twentieth() -> None:
    rows = prove(100, 20261125)
    assert len(rows) == 8
    assert [row["claim"] for row in rows if not row["held"]] == []


def test_what_photos_of_the_face_share_widens_the_bias_and_not_the_spread() -> None:
    faces = (1.0, 1.4, 0.8, 1.2)
    plain = [AimTrial(trial=n, face_deg=a) for n, a in enumerate(faces, start=1)]
    photos = [replace(t, se_deg=0.05, shared_se_deg=0.3) for t in plain]
    one, other = (fit_aim(trials, TWO_METRES, handed="right") for trials in (plain, photos))
    assert other.bias_deg.se == pytest.approx(math.hypot(one.bias_deg.se, 0.3))
    assert other.spread_deg == one.spread_deg
