"""The hour of the app is the hour of docs/protocol.md."""

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

from evenground.fit.hour import HOUR, clock
from evenground.visit import CHECKS, Check

LINES = re.findall(
    r"^\| \d+ \| ([a-z ]+) \| (\d+) \| .* \| (.+) \|$", Path("docs/protocol.md").read_text("utf-8"), re.M
)
NOON = datetime(2026, 5, 9, 12, 0, tzinfo=UTC)


def plain(text: str) -> str:
    return text.replace("*", "").replace("Not skipped. ", "").strip()


def test_minutes_and_prices_are_those_of_the_protocol() -> None:
    told = {check: (int(minutes), plain(price)) for check, minutes, price in LINES}
    assert told == {check: (line.minutes, line.price) for check, line in HOUR.items()}


def test_the_minutes_fill_the_hour() -> None:
    assert sum(line.minutes for line in HOUR.values()) == 60


def test_the_clock_says_how_much_is_open() -> None:
    states: dict[Check, str] = dict.fromkeys(CHECKS, "waiting")
    shown = clock(NOON, NOON + timedelta(minutes=31), states)  # type: ignore[arg-type]
    assert (shown.elapsed_min, shown.says) == (31, "60 min of checks open, 31 more than are left")


def test_the_hour_starts_with_the_first_reading() -> None:
    assert clock(None, NOON, {}).elapsed_min == 0


def test_the_clock_of_a_visit_that_is_over_stands_at_its_last_reading() -> None:
    begun = datetime(2026, 5, 9, 10, 0, tzinfo=UTC)
    last = begun + timedelta(minutes=52)
    told = [
        clock(begun, last + timedelta(minutes=gone), {}, last=last).elapsed_min
        for gone in (0, 119, 120, 300_000)
    ]
    assert told == [52, 171, 52, 52]
