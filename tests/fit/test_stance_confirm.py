"""Fresh placements against the curve."""

import pickle
from collections import Counter

import numpy as np
import pytest

from evenground.errors import FitError
from evenground.fit.stance import fit_stance
from evenground.fit.stance_confirm import (
    NothingToConfirmError,
    TooFewConfirmingTrialsError,
    confirm_width,
    confirmation_order,
)
from evenground.fit.stance_types import StanceFit, StanceOptions
from evenground.visit import HipLineTrial

ROWS = [(300.0, -4.1), (500.0, 5.2), (400.0, 0.3), (380.0, -0.4), (390.0, 0.1), (410.0, 0.6), (300.0, -3.8)]
SEARCH = [HipLineTrial(trial=i + 1, width_mm=w, hip_line_deg=a) for i, (w, a) in enumerate(ROWS)]


def fitted(trials: list[HipLineTrial], noise_deg: float = 1.0) -> StanceFit:
    return fit_stance(
        trials,
        options=StanceOptions(noise_deg=noise_deg, drift_sd_deg=0.05),
        stature_mm=1780.0,
        as_arrived_mm={},
        rng=np.random.default_rng(1),
    )


def fresh(width_mm: float, *angles_deg: float) -> list[HipLineTrial]:
    return [
        HipLineTrial(trial=8 + 2 * i, width_mm=width_mm, hip_line_deg=a, confirms=True)
        for i, a in enumerate(angles_deg)
    ]


def as_arrived(*angles_deg: float) -> list[HipLineTrial]:
    return [
        HipLineTrial(trial=9 + 2 * i, width_mm=330.0, hip_line_deg=a, confirms=True)
        for i, a in enumerate(angles_deg)
    ]


def test_placements_that_agree_and_are_square_confirm_the_width() -> None:
    fit = fitted(SEARCH)
    width = fit.families["irons"].best_width_mm
    found = confirm_width(
        fit, [*SEARCH, *fresh(width, 0.2, -0.5, 0.6), *as_arrived(-3.0, -2.5, -3.2)], "irons"
    )
    assert found.verdict == "confirmed"
    assert found.observed_deg.value == pytest.approx(0.1)
    assert found.observed_deg.n == 3
    assert found.as_arrived_deg is not None
    assert found.as_arrived_deg.value == pytest.approx(-2.9)
    assert found.p_square > 0.9


def test_placements_far_from_the_prediction_do_not_confirm_it() -> None:
    fit = fitted(SEARCH)
    width = fit.families["irons"].best_width_mm
    found = confirm_width(fit, [*SEARCH, *fresh(width, 5.0, 4.5, 5.5)], "irons")
    assert found.verdict == "not confirmed"
    assert "do not agree" in found.reason
    assert found.apart_deg.value == pytest.approx(5.0 - found.predicted_deg.value)
    assert found.apart_deg.se == pytest.approx(np.hypot(found.predicted_deg.se, found.observed_deg.se))


def test_placements_that_agree_but_leave_doubt_of_square_do_not_confirm() -> None:
    rows = [(300.0, -4.0), (500.0, 5.0), (400.0, 0.3)]
    few = [HipLineTrial(trial=i + 1, width_mm=w, hip_line_deg=a) for i, (w, a) in enumerate(rows)]
    fit = fitted(few, noise_deg=2.0)
    answer = fit.families["irons"]
    assert answer.answer == "likely"
    found = confirm_width(fit, [*few, *fresh(answer.best_width_mm, 2.5, 3.0, 2.0)], "irons")
    assert abs(found.apart_deg.value) < 1.96 * found.apart_deg.se
    assert found.verdict == "not confirmed"
    assert "too much doubt" in found.reason


def test_fewer_than_three_placements_are_refused() -> None:
    fit = fitted(SEARCH)
    width = fit.families["irons"].best_width_mm
    with pytest.raises(TooFewConfirmingTrialsError, match="2 of 3"):
        confirm_width(fit, [*SEARCH, *fresh(width, 0.0, 0.1)], "irons")


def test_nothing_can_be_confirmed_without_a_width() -> None:
    fit = fitted([HipLineTrial(trial=t.trial, width_mm=t.width_mm, hip_line_deg=10.0) for t in SEARCH])
    with pytest.raises(NothingToConfirmError, match="no width to confirm"):
        confirm_width(fit, SEARCH, "irons")


def test_the_order_has_three_of_each_in_mirrored_pairs_and_either_goes_first() -> None:
    orders = {confirmation_order(np.random.default_rng(s)) for s in range(20)}
    assert len(orders) == 2
    for order in orders:
        assert Counter(order) == {"chosen": 3, "as arrived": 3}
        assert order[0] == order[3] != order[1] == order[2]


def simulated_verdicts(count: int, seed: int) -> float:
    """Share confirmed when placements come from the very curve and noise of the fit."""
    fit = fitted(SEARCH)
    answer = fit.families["irons"]
    point = next(p for p in fit.curve if p.width_mm == answer.best_width_mm)
    rng = np.random.default_rng(seed)
    agreed = 0
    for _ in range(count):
        truth = point.mean_deg + point.sd_deg * rng.standard_normal()
        drift = fit.drift_deg_per_trial.value + fit.drift_deg_per_trial.se * rng.standard_normal()
        noise = fit.noise_deg.value * rng.standard_normal(3)
        angles = [truth + drift * (8 + 2 * i - 4.0) + float(e) for i, e in enumerate(noise)]
        found = confirm_width(fit, [*SEARCH, *fresh(answer.best_width_mm, *angles)], "irons")
        agreed += abs(found.apart_deg.value) <= 1.96 * found.apart_deg.se
    return agreed / count


def test_prediction_and_placements_agree_in_95_percent_when_the_curve_is_right() -> None:
    assert simulated_verdicts(1000, 20250302) == pytest.approx(0.95, abs=0.025)  # 3.6 binomial SDs


@pytest.mark.parametrize(
    "error",
    [NothingToConfirmError("irons", "none"), TooFewConfirmingTrialsError("irons", 390.0, 2)],
    ids=lambda e: e.code,
)
def test_errors_survive_pickling(error: FitError) -> None:
    assert str(pickle.loads(pickle.dumps(error))) == str(error)  # noqa: S301
