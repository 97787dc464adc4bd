"""Tries are counted by a clock that the test holds."""

import pytest

from evenground.studio.throttle import Throttle, TooManyTriesError


class Clock:
    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


def test_tries_come_back_one_by_one_as_the_window_passes() -> None:
    clock = Clock()
    throttle = Throttle(2, 60.0, clock)
    throttle.count("a")
    clock.now = 30.0
    throttle.count("a")
    with pytest.raises(TooManyTriesError, match="Wait 30 seconds"):
        throttle.count("a")
    clock.now = 60.0
    throttle.count("a")
    with pytest.raises(TooManyTriesError):
        throttle.count("a")


def test_keys_do_not_share_their_tries() -> None:
    throttle = Throttle(1, 60.0, Clock())
    throttle.count("a")
    throttle.count("b")
    with pytest.raises(TooManyTriesError):
        throttle.count("a")


def test_a_try_given_back_may_be_used_again() -> None:
    throttle = Throttle(1, 60.0, Clock())
    throttle.count("a")
    throttle.give_back("a")
    throttle.count("a")
    with pytest.raises(TooManyTriesError):
        throttle.count("a")


def test_many_names_do_not_fill_the_memory() -> None:
    throttle = Throttle(1, 60.0, Clock())
    for i in range(12_000):
        throttle.count(str(i))
    assert len(throttle._tries) == 10_000
