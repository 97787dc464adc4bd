"""Two ways of aiming: the change with its word, by hand, mirrored, and how often noise makes one."""

import math
from collections.abc import Sequence

import numpy as np
import pytest
from scipy.stats import f as fisher

from evenground.fit.aim import AimFit, fit_aim
from evenground.fit.aim_compare import AimChange, compare_aims
from evenground.floor import Handed
from evenground.visit import AimCheck, AimTrial

CHECK = AimCheck(distance_m=2.0, trials=())


def fit(degrees: Sequence[float], handed: Handed = "right") -> AimFit:
    trials = [AimTrial(trial=i, face_deg=d) for i, d in enumerate(degrees, 1)]
    return fit_aim(trials, CHECK, handed=handed)


def change(was: Sequence[float], now: Sequence[float]) -> AimChange:
    return compare_aims(("as arrived", fit(was)), ("line", fit(now)))


def test_a_clear_change_is_now_less_was() -> None:
    found = change([1.4, 1.6, 1.5, 1.3, 1.7], [0.1, -0.1, 0.2, 0.0, 0.05])
    assert (found.was, found.now, found.word, found.more_trials) == ("as arrived", "line", "changed", None)
    assert found.bias_deg.value == pytest.approx(0.05 - 1.5)
    assert found.inside_change.low > 0.5


def test_like_with_like_is_no_real_change() -> None:
    rng = np.random.default_rng(20261127)
    was, now = (rng.normal(0.0, 0.2, 40) for _ in range(2))
    found = change(was.tolist(), now.tolist())
    assert found.word == "no real change"
    assert found.inside_change.holds(0.0)


def test_few_aims_cannot_tell_and_say_how_many_more() -> None:
    found = change([0.5, -1.0, 1.5], [0.1, 1.0, -1.2])
    assert found.word == "cannot tell"
    assert found.more_trials is not None
    assert found.more_trials > 10


def test_the_ratio_of_spreads_is_fishers() -> None:
    was, now = [0.0, 1.0, 2.0, 3.0, 1.5], [0.0, 0.4, 0.9, 0.2]
    found = change(was, now).spread_ratio
    seen = np.var(now, ddof=1) / np.var(was, ddof=1)
    # A 95 % range by scipy's F distribution: (s1^2 / s2^2) / F.
    assert found.low == pytest.approx(math.sqrt(seen / fisher.ppf(0.975, 3, 4)))
    assert found.high == pytest.approx(math.sqrt(seen / fisher.ppf(0.025, 3, 4)))


def test_mirrored_aims_mirror_the_bias_and_leave_the_rest() -> None:
    was, now = [0.5, -0.2, 0.9, 0.4], [0.1, 0.3, -0.2, 0.4]
    one, other = change(was, now), change([-d for d in was], [-d for d in now])
    assert one.bias_deg.value == pytest.approx(-other.bias_deg.value)
    assert one.word == other.word
    assert one.inside_change.low == pytest.approx(other.inside_change.low, abs=1e-9)


def test_the_change_of_the_chance_agrees_with_drawing_it() -> None:
    one, other = fit([0.8, 0.2, 1.1, 0.5, 0.9]), fit([0.1, 0.3, -0.3, 0.2])
    rng = np.random.default_rng(20261128)

    def drawn(aims: AimFit, count: int = 100_000) -> np.ndarray:
        n = aims.bias_deg.n
        sigma = aims.spread_deg.value * np.sqrt((n - 1) / rng.chisquare(n - 1, count))
        mu = aims.bias_deg.value + sigma / math.sqrt(n) * rng.standard_normal(count)
        ends = [(w - mu) / sigma / math.sqrt(2.0) for w in (aims.window_deg, -aims.window_deg)]
        erf = np.vectorize(math.erf)
        return np.asarray(0.5 * (erf(ends[0]) - erf(ends[1])))

    apart = drawn(other) - drawn(one)
    found = compare_aims(("a", one), ("b", other)).inside_change
    assert found.low == pytest.approx(np.quantile(apart, 0.025), abs=0.01)
    assert found.high == pytest.approx(np.quantile(apart, 0.975), abs=0.01)
