"""A seeded share of `make prove` for instruments: of the mats, which are dear, 6; of the rest a tenth."""

import numpy as np
import pytest
from bench.prove_instrument import FAULTS, mats, one_floor, one_recording, quiet_people, told

# Bands: the limit of `make prove` less 3 binomial SD at the count used here; a claim of 0.95 over 200 may
# show 0.95 - 3 sqrt(0.95 0.05 / 200) = 0.904.


@pytest.fixture(scope="module")
def shares() -> dict[str, float]:
    return mats(6, 20260509)


def test_intervals_of_load_hold_the_truth_on_a_mat_with_a_gain_map(shares: dict[str, float]) -> None:
    assert shares["load"] >= 4 / 6  # fewer than 4 of 6 at 95 %: 2 in 1000


def test_every_bad_cell_is_found_and_no_good_one(shares: dict[str, float]) -> None:
    assert shares["found"] == 1.0
    assert shares["no more"] >= 5 / 6


@pytest.mark.parametrize("fault", FAULTS)
def test_a_planted_fault_is_told_and_nothing_else(fault: str) -> None:
    assert told(fault, 200, 20260509) >= 0.904


def test_weights_that_agree_are_left_alone() -> None:
    assert quiet_people(200, 20260509) <= 0.07 + 3.0 * (0.07 * 0.93 / 200) ** 0.5


def test_a_weight_that_lies_still_sways_under_three_floors() -> None:
    assert all(one_floor(np.random.default_rng(seed)) for seed in range(2))


def test_a_step_is_noticed_and_a_quiet_recording_left_alone() -> None:
    found = [one_recording(np.random.default_rng(seed)) for seed in range(4)]
    assert all(all(one.values()) for one in found)
