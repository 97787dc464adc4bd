"""The proof of trials at a small seeded share (each player is dear); `make prove` runs it whole."""

import numpy as np
import pytest
from bench.bench_stance import AHEAD, FIRST
from bench.prove_trials import (
    COVERS,
    after_nothing,
    noisy_bar,
    row_of_cover,
    row_of_nothing,
    row_of_saving,
)

COUNT = 60


@pytest.mark.parametrize("name", sorted(COVERS))
def test_ranges_hold_the_truth_within_what_chance_leaves(name: str) -> None:
    row = row_of_cover(name, COVERS[name](24 if "repeats" not in name else 400, 20261125), full=False)
    assert row["held"], row


def test_ranges_that_are_too_narrow_would_be_caught() -> None:
    rng = np.random.default_rng(3)
    held = [abs(z) < 1.4 for z in rng.standard_normal(400)]
    assert not row_of_cover("half the error", held, full=False)["held"]


def test_a_rest_shows_no_more_changes_than_chance() -> None:
    row = row_of_nothing("a rest", after_nothing(COUNT, 20261135, "rested"))
    assert row["held"], row


def test_changes_that_show_in_one_of_five_unmoved_players_would_be_caught() -> None:
    assert not row_of_nothing("a rest", [i % 5 == 0 for i in range(200)])["held"]


def test_a_noisy_bar_hears_cannot_tell_and_the_margin_stays() -> None:
    rows = noisy_bar(COUNT, 20261138)
    assert rows[1]["held"], rows[1]
    assert "margins used [2.0]" in rows[1]["seen"]
    assert rows[0]["held"], rows[0]


def test_a_way_that_spares_nothing_would_be_caught() -> None:
    same = np.tile(np.arange(12) >= 5, (20, 1)).astype(float)
    assert not row_of_saving({AHEAD: same, "ladder of 5": same})["held"]
    quick = np.tile(np.arange(12) >= 5 - FIRST, (20, 1)).astype(float)
    assert row_of_saving({AHEAD: quick, "ladder of 5": same})["held"]
