"""A mass at the chest: predicted by the lever, tested by pairs, and limited by who holds it."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.errors import EvengroundError
from evenground.estimate import Estimate
from evenground.fit.held_load import (
    LoadPair,
    UnlikeLoadsError,
    fit_held_load,
    load_limit,
    load_moment_nm,
    predicted_shift_mm,
)

BODY_KG = 80.0


def pairs(*shifts: float, load_kg: float = 4.0, ahead_mm: float = 320.0) -> list[LoadPair]:
    return [
        LoadPair(load_kg=load_kg, load_ahead_mm=ahead_mm, without_mm=90.0, with_mm=90.0 + s) for s in shifts
    ]


# Golfer of 80 kg, centre of mass 72.202 mm ahead of the ankle (Winter's segments on the worked pose); plates
# of 10 and 20 lb at 0.45 m: +20.27 and +38.48 mm; both at 0.60 m ask 26.70 and 53.40 N m of the shoulders.
# Recomputed from the published segment table; the house's reference table, rows bsp-7 and safe-1.
@pytest.mark.parametrize(("load_kg", "shift", "moment"), [(4.536, 20.27, 26.70), (9.072, 38.48, 53.40)])
def test_the_plates_of_the_worked_example_move_the_balance_as_printed(
    load_kg: float, shift: float, moment: float
) -> None:
    without = Estimate(value=72.202, se=0.0, n=1, unit="mm")
    ahead = Estimate(value=450.0, se=0.0, n=1, unit="mm")
    assert predicted_shift_mm(BODY_KG, without, load_kg, ahead).value == pytest.approx(shift, abs=0.01)
    assert load_moment_nm(load_kg, 0.60) == pytest.approx(moment, abs=0.01)


def test_the_predictions_error_is_that_of_many_draws() -> None:
    rng = np.random.default_rng(20260509)
    n = 200_000
    without, ahead = rng.normal(90.0, 4.0, n), rng.normal(320.0, 15.0, n)
    body = rng.normal(BODY_KG, 0.5, n)
    spread = float(np.std(4.0 * (ahead - without) / (body + 4.0)))
    told = predicted_shift_mm(
        BODY_KG,
        Estimate(value=90.0, se=4.0, n=1, unit="mm"),
        4.0,
        Estimate(value=320.0, se=15.0, n=1, unit="mm"),
    )
    assert told.se == pytest.approx(spread, rel=0.01)  # 200,000 draws know a spread to 0.2 %


def test_a_rigid_body_agrees_one_that_leans_back_does_not_and_a_coarse_test_cannot_tell() -> None:
    rigid = 4.0 * 230.0 / 84.0
    assert fit_held_load(pairs(rigid + 0.3, rigid - 0.3, rigid), BODY_KG).word == "agrees"
    leaned = fit_held_load(pairs(2.0, 2.5, 1.5, 2.2), BODY_KG)
    assert leaned.word == "does not agree"
    assert leaned.body_moved_mm is not None
    assert leaned.body_moved_mm.value == pytest.approx((2.05 - rigid) * 84.0 / 80.0)
    coarse = fit_held_load(pairs(rigid + 9.0, rigid - 9.0, rigid), BODY_KG)
    assert coarse.word == "cannot tell"
    assert coarse.more_pairs is not None
    assert coarse.more_pairs > 3


def test_a_load_too_small_for_its_error_never_agrees() -> None:
    fit = fit_held_load(pairs(1.0 * 230.0 / 81.0, load_kg=1.0), BODY_KG)
    assert fit.word == "cannot tell"
    assert fit.notes == ("2 more pairs would tell this player's own spread",)


@given(st.floats(-5, 40), st.floats(0.2, 6.0))
def test_a_shift_mirrored_about_the_heels_is_mirrored(shift: float, load_kg: float) -> None:
    one = fit_held_load(pairs(shift, shift + 1.0, shift - 1.0, load_kg=load_kg), BODY_KG)
    flipped = [
        replace(p, load_ahead_mm=-p.load_ahead_mm, without_mm=-p.without_mm, with_mm=-p.with_mm)
        for p in pairs(shift, shift + 1.0, shift - 1.0, load_kg=load_kg)
    ]
    other = fit_held_load(flipped, BODY_KG)
    assert other.apart_mm.value == pytest.approx(-one.apart_mm.value, abs=1e-9)
    assert other.word == one.word


def test_two_masses_are_not_averaged() -> None:
    with pytest.raises(UnlikeLoadsError, match="from 1 to 2 kg"):
        fit_held_load([*pairs(2.0, load_kg=1.0), *pairs(4.0, load_kg=2.0)], BODY_KG)
    with pytest.raises(EvengroundError, match="no pair"):
        fit_held_load([], BODY_KG)


@pytest.mark.parametrize("years", [None, 3, 15, 17, 18])
def test_a_minor_and_who_may_be_one_hold_a_kilogram_at_most(years: int | None) -> None:
    assert load_limit(120.0, years).most_kg == 1.0


def test_nobody_holds_more_than_nine_kilograms_or_a_tenth_of_the_body() -> None:
    assert load_limit(150.0, 40).most_kg == 9.0
    assert load_limit(55.0, 40).most_kg == pytest.approx(5.5)
    assert load_limit(None, 40).most_kg == 1.0
    assert math.isfinite(load_limit(90.0, 19).most_kg)
