"""A repeated check: its order, what is short, two readings that differ, drift."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.fit.series import Series, Taken, apart_of, drift_of, due_next, series_order

SIDES = Series(conditions=("lead", "trail"), each=3, sd=2.0)


def rng(seed: int = 5) -> np.random.Generator:
    return np.random.default_rng(seed)


def readings(*pairs: tuple[str, float | None]) -> list[Taken]:
    return [Taken(condition=c, value=v) for c, v in pairs]


@given(st.integers(0, 2**32 - 1), st.integers(2, 6), st.integers(2, 5))
def test_every_condition_comes_as_often_as_asked_and_the_first_comes_last(
    seed: int, many: int, each: int
) -> None:
    names = tuple("abcdef"[:many])
    order = series_order(Series(conditions=names, each=each), rng(seed))
    assert sorted(order) == sorted(names * each)
    assert order[0] == order[-1]
    rounds = [set(order[i : i + many]) for i in range(0, len(order), many)]
    assert all(r == set(names) for r in rounds)


def test_the_order_is_left_to_chance_and_is_the_same_on_every_screen() -> None:
    orders = {series_order(SIDES, rng(s)) for s in range(20)}
    assert {o[0] for o in orders} == {"lead", "trail"}
    assert series_order(SIDES, rng()) == series_order(SIDES, rng())


def test_what_may_not_be_shuffled_stands_as_given() -> None:
    fixed = Series(conditions=("own", "fitted"), each=2, shuffled=False)
    assert series_order(fixed, rng()) == ("own", "own", "fitted", "fitted")


def test_two_readings_that_differ_are_repeated_first_and_the_reason_says_by_how_much() -> None:
    # 1.96 sqrt(2) 2.0 deg = 5.54 deg: Weir 2005, eq. for the minimal difference.
    due = due_next(SIDES, readings(("trail", 50.0), ("lead", 44.0), ("trail", 55.7)), rng())
    assert due is not None
    assert due.condition == "trail"
    assert due.apart is not None
    assert due.apart.says() == "the two readings differ by 5.7 deg"
    assert due.apart.allowed == pytest.approx(5.544, abs=0.001)


def test_two_readings_within_the_error_are_not_repeated_for_it() -> None:
    assert apart_of(SIDES, readings(("trail", 50.0), ("trail", 55.4))) is None
    assert apart_of(Series(conditions=("a",), each=3), readings(("a", 1.0), ("a", 90.0))) is None


def test_a_third_reading_settles_it() -> None:
    assert apart_of(SIDES, readings(("trail", 50.0), ("trail", 60.0), ("trail", 51.0))) is None


def test_readings_out_of_order_count_where_they_belong() -> None:
    due = due_next(SIDES, readings(("lead", 44.0), ("lead", 45.0), ("lead", 44.0), ("lead", 43.0)), rng())
    assert due is not None
    assert (due.condition, due.place, due.of) == ("trail", 4, 6)


def test_a_whole_series_has_nothing_due() -> None:
    whole = readings(*[(c, 44.0) for c in ("lead", "trail") * 3])
    assert due_next(SIDES, whole, rng()) is None


def test_drift_is_seen_on_the_repeated_reference_with_its_error() -> None:
    drift = drift_of(SIDES, readings(("lead", 40.0), ("trail", 50.0), ("lead", 47.0)))
    assert drift is not None
    assert (drift.condition, drift.change.value) == ("lead", 7.0)
    assert drift.change.se == pytest.approx(2.0 * 2.0**0.5)
    assert drift.shows
    small = drift_of(SIDES, readings(("lead", 40.0), ("trail", 50.0), ("lead", 45.0)))
    assert small is not None
    assert not small.shows


def test_two_readings_in_a_row_say_nothing_of_drift() -> None:
    assert drift_of(SIDES, readings(("lead", 40.0), ("lead", 47.0))) is None
