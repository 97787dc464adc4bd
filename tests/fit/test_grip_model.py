"""A studio's own model of wanted diameters."""

import math
import pickle

import numpy as np
import pytest
import statsmodels.api as sm  # type: ignore[import-untyped]  # it has no types

from evenground.estimate import Estimate
from evenground.fit.grip import Hand, wanted_diameters
from evenground.fit.grip_model import ConfirmedFit, GripModelFit, TooFewFitsError, fit_grip_model

TRUE = {"level": 23.6, "hand": 0.010, "finger": 0.110, "taper": 1.1}


def players(count: int, noise: float, seed: int, *, hands: int = 2) -> list[ConfirmedFit]:
    """Players whose kept grips follow a model of this studio's own."""
    rng = np.random.default_rng(seed)
    found = []
    for i in range(count):
        length = rng.normal(188, 10)
        finger = 0.397 * length + rng.normal(0, 3)
        for hand in ("upper", "lower")[:hands]:
            size = TRUE["level"] + TRUE["hand"] * (length - 193.3) + TRUE["finger"] * (finger - 76.8)
            size -= TRUE["taper"] if hand == "lower" else 0.0
            found.append(
                ConfirmedFit(
                    player=f"player {i}",
                    hand="upper" if hand == "upper" else "lower",
                    length_mm=length,
                    finger_mm=finger,
                    diameter_mm=size + rng.normal(0, noise),
                )
            )
    return found


def test_many_players_give_the_studio_s_numbers_back() -> None:
    fit = fit_grip_model(players(400, 0.3, 1))
    model = fit.model
    assert model.at_reference_mm == pytest.approx(TRUE["level"], abs=0.05)
    assert model.taper_mm == pytest.approx(TRUE["taper"], abs=0.07)
    assert model.hand_slope == pytest.approx(TRUE["hand"], abs=0.01)
    assert model.finger_slope == pytest.approx(TRUE["finger"], abs=0.015)
    assert fit.left_out_mm == pytest.approx(0.3, rel=0.1)
    assert fit.better
    assert "use your own" in fit.notes[0]
    assert (model.hands, model.players) == (800, 400)


def refit(fits: list[ConfirmedFit], variance: float) -> "np.ndarray[tuple[int], np.dtype[np.float64]]":
    """statsmodels' WLS with the prior as rows: slopes within their own size, taper within 0.6 mm."""
    rows = [[1.0, f.length_mm - 193.3, f.finger_mm - 76.8, -1.0 if f.hand == "lower" else 0.0] for f in fits]
    sizes = [f.diameter_mm for f in fits]
    prior = [22.86, 0.028, 0.070, 1.8]
    ses = [100.0, 0.028, 0.070, 0.6]
    weights = [1 / variance] * len(fits) + [1 / se**2 for se in ses]
    return np.asarray(sm.WLS([*sizes, *prior], [*rows, *np.eye(4)], weights=weights).fit().params)


def noise_of(fits: list[ConfirmedFit], fit: GripModelFit) -> float:
    """The noise at which the fit stands still, from its own residuals, by bisection on the reference fit."""
    numbers = [fit.model.at_reference_mm, fit.model.hand_slope, fit.model.finger_slope, fit.model.taper_mm]
    low, high = 1e-4, 4.0
    for _ in range(60):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if refit(fits, middle)[3] < numbers[3] else (low, middle)
    return math.sqrt(low * high)


def test_the_numbers_are_those_of_weighted_least_squares_with_the_default_as_a_prior() -> None:
    fits = players(10, 0.4, 2)
    fit = fit_grip_model(fits)
    variance = noise_of(fits, fit)
    assert math.sqrt(variance) == pytest.approx(0.4, rel=0.5)
    again = refit(fits, variance)
    assert again[0] == pytest.approx(fit.model.at_reference_mm, abs=1e-5)
    assert again[1:3] == pytest.approx([fit.model.hand_slope, fit.model.finger_slope], abs=1e-6)


def test_left_out_errors_are_those_of_fits_without_each_player() -> None:
    fits = players(10, 0.4, 2)
    fit = fit_grip_model(fits)
    variance = noise_of(fits, fit)
    missed = []
    for name in {f.player for f in fits}:
        numbers = refit([f for f in fits if f.player != name], variance)
        for f in (f for f in fits if f.player == name):
            row = [1.0, f.length_mm - 193.3, f.finger_mm - 76.8, -1.0 if f.hand == "lower" else 0.0]
            missed.append(f.diameter_mm - float(np.dot(row, numbers)))
    assert fit.left_out_mm == pytest.approx(float(np.sqrt(np.mean(np.square(missed)))), rel=1e-4)


@pytest.mark.parametrize(("count", "hands"), [(7, 2), (11, 1), (0, 2)])
def test_too_few_are_refused(count: int, hands: int) -> None:
    with pytest.raises(TooFewFitsError, match="at least 12 hands of 8 players are needed") as caught:
        fit_grip_model(players(count, 0.4, 3, hands=hands))
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)  # noqa: S301 - our own bytes


def test_players_who_follow_the_default_gain_nothing_and_are_told_to_keep_it() -> None:
    rng = np.random.default_rng(5)
    fits = [
        ConfirmedFit(
            player=f.player,
            hand=f.hand,
            length_mm=f.length_mm,
            finger_mm=f.finger_mm,
            diameter_mm=22.86
            + 0.028 * (f.length_mm - 193.3)
            + 0.070 * (f.finger_mm - 76.8)
            - (1.8 if f.hand == "lower" else 0.0)
            + rng.normal(0, 0.5),
        )
        for f in players(10, 0.0, 6)
    ]
    fit = fit_grip_model(fits)
    assert fit.left_out_mm > 0.9 * fit.default_mm
    assert ("keep the default" in fit.notes[0]) == (not fit.better)


def test_the_wanted_interval_holds_a_new_player_s_size() -> None:
    held = 0
    for seed in range(300):
        *known, new = players(13, 0.6, 100 + seed, hands=1)
        model = fit_grip_model(known).model
        sizes = [Estimate(value=v, se=0.0, unit="mm") for v in (new.length_mm, new.finger_mm)]
        hand = Hand(length_mm=sizes[0], finger_mm=sizes[1])
        wanted = wanted_diameters(hand, None, one_handed=True, model=model).upper_mm
        assert wanted is not None
        held += wanted.interval().holds(new.diameter_mm)
    # Binomial SD of 300 at 0.95 is 0.0126: 0.93 to 0.97 with three of them to either side.
    assert 0.93 - 0.038 <= held / 300 <= 1.0
