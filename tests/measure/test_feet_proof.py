"""Hard feet against their known truth: a small seeded part of `bench/prove_feet.py`, which is dear."""

import numpy as np
import pytest
from bench.prove_feet import CASES, LADDERS, Tally, climb, grid


@pytest.fixture(scope="module")
def tallies() -> dict[str, Tally]:
    return grid(40, 20260731)


def test_every_kind_of_hard_feet_is_drawn(tallies: dict[str, Tally]) -> None:
    assert {name: len(tally.refused) for name, tally in tallies.items()} == dict.fromkeys(CASES, 4)


def test_median_errors_of_what_is_answered_are_within_the_limits(tallies: dict[str, Tally]) -> None:
    # 3 mm, 2 deg and 1 point, the issue's, at 5 % cell noise; four stances a kind
    assert [name for name, tally in tallies.items() if not tally.within] == []


def test_somebody_elses_foot_is_never_measured_as_the_players(tallies: dict[str, Tally]) -> None:
    assert all(tallies["somebody else's foot"].refused)


def test_intervals_of_hard_feet_hold_the_truth(tallies: dict[str, Tally]) -> None:
    # 0.93, less 2.33 binomial SD of some 70 intervals that are not all independent
    held = [h for tally in tallies.values() for part in tally.held.values() for h in part]
    assert len(held) > 60
    assert np.mean(held) > 0.93 - 2.33 * (0.95 * 0.05 / 70.0) ** 0.5


@pytest.mark.parametrize(
    "name", ["feet closer (mm between the balls)", "a heel raised (share of its pressure gone)"]
)
def test_refusals_come_before_errors(name: str) -> None:
    assert name in LADDERS
    steps = climb(name, 1, 20260731)
    assert all(tally.within for _, tally in steps)
    assert not steps[0][1].refused[0]
    assert steps[-1][1].refused[0]
