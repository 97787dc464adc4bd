"""How much a measurement varies."""

import pickle

import pytest

from evenground.measure.repeats import ReliabilityOutOfRangeError, sem_from_icc, smallest_real_change


def test_a_perfectly_reliable_measurement_has_no_error() -> None:
    assert sem_from_icc(5.0, 1.0) == 0.0


def test_averaging_four_repeats_halves_the_smallest_real_change() -> None:
    assert smallest_real_change(2.0, repeats=4) == pytest.approx(smallest_real_change(2.0) / 2.0)


@pytest.mark.parametrize(("sd", "icc"), [(-1.0, 0.9), (5.0, 1.1), (5.0, -0.1), (float("nan"), 0.9)])
def test_impossible_reliability_is_refused(sd: float, icc: float) -> None:
    with pytest.raises(ReliabilityOutOfRangeError, match="not possible"):
        sem_from_icc(sd, icc)


@pytest.mark.parametrize(("sem", "level", "repeats"), [(-1.0, 0.95, 1), (1.0, 1.0, 1), (1.0, 0.95, 0)])
def test_impossible_change_is_refused(sem: float, level: float, repeats: int) -> None:
    with pytest.raises(ReliabilityOutOfRangeError, match="not possible"):
        smallest_real_change(sem, level=level, repeats=repeats)


def test_the_error_survives_pickling() -> None:
    error = ReliabilityOutOfRangeError("icc", 1.2, "a number from 0 to 1")
    assert str(pickle.loads(pickle.dumps(error))) == str(error)  # noqa: S301
