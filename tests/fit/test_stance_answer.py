"""Windows, widths and answer words."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from evenground.fit.stance_answer import (
    answer_word,
    any_square_probability,
    choose_widths,
    inside,
    square_bands,
    squarest_spread,
    width_grid,
    width_windows,
)
from evenground.fit.stance_types import WidthWindow
from evenground.visit import FAMILIES, Family

GRID = np.arange(220.0, 300.0, 10.0)
OPEN: dict[Family, WidthWindow] = dict.fromkeys(FAMILIES, WidthWindow(low_mm=220.0, high_mm=290.0))


def test_windows_are_the_stated_shares_of_stature() -> None:
    windows = width_windows(2000.0, {})
    assert {f: (w.low_mm, w.high_mm) for f, w in windows.items()} == {
        "putter": pytest.approx((240.0, 520.0)),
        "irons": pytest.approx((300.0, 600.0)),
        "woods": pytest.approx((360.0, 680.0)),
    }


def test_a_window_stretches_to_hold_the_width_as_arrived() -> None:
    windows = width_windows(2000.0, {"putter": 600.0, "woods": 300.0, "irons": 400.0})
    assert windows["putter"].high_mm == 600.0
    assert windows["woods"].low_mm == 300.0
    assert windows["irons"] == width_windows(2000.0, {})["irons"]


@given(st.floats(400.0, 2400.0))
def test_every_window_is_at_least_120_mm_wide(stature_mm: float) -> None:
    for window in width_windows(stature_mm, {}).values():
        assert window.high_mm - window.low_mm >= 120.0 - 1e-9


def test_the_grid_has_whole_steps_inside_the_outermost_windows() -> None:
    grid = width_grid(width_windows(1780.0, {}), 10.0)
    assert (grid[0], grid[-1]) == (220.0, 600.0)
    assert set(np.diff(grid).tolist()) == {10.0}


def test_ties_within_two_points_go_to_the_width_nearest_as_arrived() -> None:
    p = np.array([0.1, 0.905, 0.92, 0.915, 0.3, 0.899, 0.1, 0.1])
    same: dict[Family, NDArray[np.float64]] = dict.fromkeys(FAMILIES, p)
    arrived: dict[Family, float] = dict.fromkeys(FAMILIES, 290.0)
    chosen = choose_widths(GRID, same, OPEN, arrived, keep_order=False)
    assert {GRID[i] for i in chosen.values()} == {250.0}
    assert {GRID[i] for i in choose_widths(GRID, same, OPEN, {}, keep_order=False).values()} == {240.0}


def test_windows_bound_the_choice_and_do_not_weigh_it() -> None:
    p = np.array([0.99, 0.2, 0.3, 0.4, 0.3, 0.2, 0.1, 0.99])
    windows = OPEN | {"irons": WidthWindow(low_mm=230.0, high_mm=270.0)}
    chosen = choose_widths(GRID, dict.fromkeys(FAMILIES, p), windows, {}, keep_order=True)
    assert GRID[chosen["irons"]] == 250.0


probabilities = st.lists(st.floats(0.0, 1.0), min_size=8, max_size=8)


@given(probabilities, probabilities, probabilities)
def test_ordered_widths_reach_the_best_sum_of_all_ordered_triples(
    putter: list[float], irons: list[float], woods: list[float]
) -> None:
    p: dict[Family, NDArray[np.float64]] = {
        "putter": np.array(putter),
        "irons": np.array(irons),
        "woods": np.array(woods),
    }
    chosen = choose_widths(GRID, p, OPEN, {}, keep_order=True)
    assert chosen["putter"] <= chosen["irons"] <= chosen["woods"]
    best = max(
        putter[i] + irons[j] + woods[k] for i, j, k in itertools.combinations_with_replacement(range(8), 3)
    )
    assert sum(p[f][chosen[f]] for f in FAMILIES) == pytest.approx(best, abs=1e-12)


def test_the_order_can_be_switched_off() -> None:
    p = {
        "putter": np.eye(8)[6],
        "irons": np.eye(8)[3],
        "woods": np.eye(8)[1],
    }
    chosen = choose_widths(GRID, p, OPEN, {}, keep_order=False)  # type: ignore[arg-type]
    assert [chosen[f] for f in FAMILIES] == [6, 3, 1]


@pytest.mark.parametrize(
    ("probability", "any_square", "word"),
    [
        (0.90, 1.0, "square"),
        (0.899, 1.0, "likely"),
        (0.70, 1.0, "likely"),
        (0.699, 1.0, "cannot tell"),
        (0.05, 0.11, "cannot tell"),
        (0.05, 0.10, "none"),
    ],
)
def test_answer_words_change_at_the_stated_chances(probability: float, any_square: float, word: str) -> None:
    assert answer_word(probability, any_square) == word


def test_any_square_counts_whole_curves() -> None:
    drawn = np.array([[5.0, 1.0, 5.0], [5.0, 5.0, 1.0], [5.0, 5.0, 5.0], [-1.5, 9.0, 9.0]])
    every = np.array([True, True, True])
    assert any_square_probability(drawn, every, 2.0) == 0.75
    assert any_square_probability(drawn, np.array([True, True, False]), 2.0) == 0.5


def test_the_spread_ignores_a_second_square_width_elsewhere() -> None:
    width = np.array([300.0, 310.0, 320.0, 330.0, 340.0])
    p = np.array([0.9, 0.8, 0.1, 0.8, 0.9])
    drawn = np.array([[0.1, 3.0, 5.0, 3.0, 0.0], [3.0, 0.1, 5.0, 3.0, 0.0]])
    spread = squarest_spread(width, drawn, np.full(5, True), p, 0, 10.0)
    # squarest at 300 and 310: root mean square 7.071 about 300, and a 10 mm step's 2.887
    assert spread == pytest.approx(np.hypot(7.0711, 2.8868), abs=1e-3)


def test_bands_are_runs_of_likely_widths() -> None:
    p = np.array([0.75, 0.85, 0.5, 0.7, 0.69, 0.1, 0.9, 0.95])
    assert np.array(square_bands(GRID, p)) == pytest.approx(
        np.array([[220.0, 230.0, 0.8], [250.0, 250.0, 0.7], [280.0, 290.0, 0.925]])
    )


def test_inside_includes_both_ends() -> None:
    held = inside(np.array([219.0, 220.0, 290.0, 291.0]), OPEN["irons"])
    assert held.tolist() == [False, True, True, False]
