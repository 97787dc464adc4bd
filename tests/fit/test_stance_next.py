"""The look ahead against brute force, the first widths, near-ties."""

import numpy as np
import pytest
from numpy.typing import NDArray

from evenground.fit.stance_answer import curve_at, width_windows
from evenground.fit.stance_layout import Layout, lay_out
from evenground.fit.stance_model import Fitted, Points, fit_trials
from evenground.fit.stance_next import Goal, first_widths, gains, pick_near_best
from evenground.fit.stance_types import StanceOptions
from evenground.visit import HipLineTrial

GRID = np.arange(220.0, 600.0, 20.0)
TRIALS = [
    HipLineTrial(trial=1, width_mm=300.0, hip_line_deg=-4.0),
    HipLineTrial(trial=2, width_mm=500.0, hip_line_deg=5.0),
    HipLineTrial(trial=3, width_mm=400.0, hip_line_deg=1.5),
]
WINDOWS = list(width_windows(1780.0, {}).values())


def setting() -> tuple[Layout, Points, NDArray[np.float64], Fitted]:
    layout, points, y = lay_out(TRIALS, options=StanceOptions(), centre_mm=409.0)
    return layout, points, y, fit_trials(layout.prior, points, y)


def brute_gain(width: float) -> float:
    """Refit everything for each of 81 values of the next reading, weighted by the mixed prediction."""
    layout, points, y, fitted = setting()
    target = layout.points("irons", "before", GRID)
    masks = Goal.of(curve_at(fitted, target, 2.0), WINDOWS).allowed
    candidate = layout.points("irons", "before", np.array([width]), late=2.0)
    view = fitted.project(candidate)
    mean = view.mean[:, 0]
    sd = np.sqrt(fitted.variance(view)[:, 0] + fitted.noise_sd**2)
    middle = fitted.weight @ mean
    spread = np.sqrt(fitted.weight @ (sd**2 + (mean - middle) ** 2))
    values = middle + spread * np.linspace(-4.5, 4.5, 81)
    density = np.array([fitted.weight @ (np.exp(-0.5 * ((v - mean) / sd) ** 2) / sd) for v in values])
    odds = density / density.sum()
    more = Points(
        width_mm=np.append(points.width_mm, width),
        late=np.append(points.late, 2.0),
        loads=np.vstack([points.loads, points.loads[:1]]),
    )
    after = [curve_at(fit_trials(layout.prior, more, np.append(y, v)), target, 2.0).p for v in values]
    now = curve_at(fitted, target, 2.0).p
    best = np.array([sum(p[m].max() for m in masks) for p in after])
    return float(odds @ best - sum(now[m].max() for m in masks))


@pytest.mark.parametrize("width", [260.0, 340.0, 380.0, 480.0, 580.0])
def test_gain_equals_refitting_for_every_value_of_the_next_reading(width: float) -> None:
    layout, _, _, fitted = setting()
    goal = Goal.of(curve_at(fitted, layout.points("irons", "before", GRID), 2.0), WINDOWS)
    fast = gains(fitted, layout.points("irons", "before", np.array([width]), late=2.0), [goal], 2.0)
    # 0.012: 11 values between 3 SDs and the sets below 0.5 % of the weight left out, of a sum that runs to 3
    assert fast[0] == pytest.approx(brute_gain(width), abs=0.012)


def test_no_reading_is_expected_to_make_the_best_worse() -> None:
    layout, _, _, fitted = setting()
    goal = Goal.of(curve_at(fitted, layout.points("irons", "before", GRID), 2.0), WINDOWS)
    assert gains(fitted, layout.points("irons", "before", GRID, late=2.0), [goal], 2.0).min() >= -1e-12


def test_first_widths_spread_over_the_windows_in_an_order_that_the_seed_settles() -> None:
    orders = {first_widths(1780.0, step_mm=10.0, rng=np.random.default_rng(s)) for s in range(40)}
    assert len(orders) == 6
    assert {tuple(sorted(o)) for o in orders} == {(280.0, 410.0, 540.0)}


def test_near_ties_are_settled_at_random_and_clear_winners_are_not() -> None:
    rng = np.random.default_rng(3)
    near = np.array([0.1, 0.0999, 0.02])
    assert {pick_near_best(near, rng) for _ in range(50)} == {0, 1}
    assert {pick_near_best(np.array([0.1, 0.02]), rng) for _ in range(20)} == {0}
