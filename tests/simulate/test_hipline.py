"""Invented players with a known hip line."""

import numpy as np
import pytest

from evenground.fit.stance_types import StanceOptions
from evenground.simulate.hipline import (
    SHAPES,
    player_from_prior,
    player_from_shape,
    player_never_square,
    run_series,
    zero_crossings,
)
from evenground.visit import FAMILIES


@pytest.mark.parametrize("crossings", [0, 1, 2, 3])
def test_a_player_crosses_zero_as_often_as_asked(crossings: int) -> None:
    for seed in range(10):
        player = player_from_shape(np.random.default_rng(seed), crossings=crossings)
        assert zero_crossings(player.curve_deg) == crossings
        assert player.shape in SHAPES


def test_a_player_never_square_stays_outside_the_margin_in_every_window() -> None:
    for seed in range(50):
        player = player_never_square(np.random.default_rng(seed))
        assert np.abs(player.curve_deg).min() > 2.0
        assert not any(player.square_somewhere(f, 2.0) for f in FAMILIES)


def test_readings_scatter_about_the_truth_with_the_players_noise() -> None:
    player = player_from_shape(np.random.default_rng(3), noise_deg=2.0)
    rng = np.random.default_rng(20250302)
    readings = np.array([player.read(5, 400.0, rng).hip_line_deg for _ in range(4000)])
    assert readings.mean() == pytest.approx(player.truth_deg(400.0, 5.0), abs=0.13)  # 4 SDs of the mean
    assert readings.std() == pytest.approx(2.0, abs=0.09)  # 4 SDs of the SD


def test_prior_curves_spread_as_the_prior_says() -> None:
    rng = np.random.default_rng(20250302)
    middle = [player_from_prior(rng).truth_deg(0.23 * 1725.0) for _ in range(400)]
    # constant 5 deg and bends of 2, 4 or 7 deg: sqrt(25 + (4 + 16 + 49) / 3) = 6.93; slope adds a little
    assert np.std(middle) == pytest.approx(7.0, abs=0.8)


def test_a_series_ends_within_the_budget_and_closes_on_its_first_width() -> None:
    for seed in range(4):
        rng = np.random.default_rng(seed)
        outcome = run_series(player_from_shape(rng), options=StanceOptions(), rng=rng)
        assert outcome.fit.stop.done
        assert 4 <= len(outcome.trials) <= 8
        first = outcome.trials[0].width_mm
        assert any(abs(t.width_mm - first) <= 6.0 for t in outcome.trials[3:])
