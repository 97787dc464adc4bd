"""The hour: minutes a check takes, what skipping it costs, when to rest; docs/protocol.md says the same."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from evenground.sourced import Sourced
from evenground.visit import CHECKS, Check

__all__ = [
    "HOUR",
    "HOUR_MINUTES",
    "REST_AFTER",
    "STANDS_AFTER",
    "Clock",
    "HourLine",
    "Progress",
    "State",
    "clock",
    "minutes_gone",
    "rest_due",
]

State = Literal["done", "partly", "next", "waiting", "skipped", "not asked"]
"""Where a check stands; `next` is the first that still waits, `not asked` one that this player drops."""

HOUR_MINUTES = Sourced(60.0, "min", "ours, docs/protocol.md: a full visit")
STANDS_AFTER = Sourced(120.0, "min", "ours: two visits' time without a reading, and the visit is over")
REST_AFTER = Sourced(4.0, "trials", "ours: a minute's rest after every fourth trial of a standing series")


@dataclass(frozen=True, slots=True, kw_only=True)
class HourLine:
    """One check of the hour. `price` is what the card says without it."""

    minutes: int
    price: str
    may_skip: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How far a check is: its state, a few words of count, and in a sentence when it is enough."""

    state: State
    count: str = ""
    enough: str = ""


HOUR: Mapping[Check, HourLine] = {
    "safety": HourLine(
        minutes=2,
        price="Without it the visit is measuring only: no turn, no held load, no hip routine.",
        may_skip=False,
    ),
    "as arrived": HourLine(
        minutes=5,
        price="Was -> now stays empty, ties between widths cannot be settled by habit, and the next visit "
        "has nothing to compare with.",
    ),
    "body": HourLine(minutes=4, price="Width windows use a middle stature (printed)."),
    "hands": HourLine(minutes=3, price="No grip is proposed: not measured."),
    "own clubs": HourLine(minutes=5, price="Grips are wanted but not built: measure the butt."),
    "ball": HourLine(
        minutes=2,
        price="The card shows no ball; widths measured with a wandering ball carry that error unseen.",
    ),
    "ground": HourLine(
        minutes=9,
        price="Inside-edge widths fall back on the tape across the heel; load and toe-out are not measured.",
    ),
    "hip line": HourLine(
        minutes=14,
        price="No stance width is proposed. With one family only, the others are carried over and say so.",
    ),
    "posture": HourLine(minutes=3, price="No angles on the card, cues only."),
    "turn": HourLine(
        minutes=4,
        price="Not measured; no claim is made about turn. Always skipped when measuring only.",
    ),
    "grip": HourLine(minutes=3, price="Grip by hand size only."),
    "aim": HourLine(minutes=6, price="No aim on the card."),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """The hour so far. `share` is how much of it is gone, at most 1; `says` compares it with the plan."""

    elapsed_min: int
    of_min: int
    share: float
    says: str


def clock(
    begun: datetime | None, now: datetime, states: Mapping[Check, State], *, last: datetime | None = None
) -> Clock:
    """The clock of a visit.

    Parameters
    ----------
    begun
        When the first reading of a check was taken; None before that.
    now
        The time to compare with.
    states
        Where each check stands; what is still open takes the minutes of the plan.
    last
        When the last reading of a check was taken; two hours later the clock stands at it.
    """
    whole = int(HOUR_MINUTES.value)
    if begun is None:
        return Clock(elapsed_min=0, of_min=whole, share=0.0, says="The hour starts with the first reading.")
    elapsed = minutes_gone(begun, now, last=last)
    left = sum(HOUR[c].minutes for c in CHECKS if states.get(c) in ("next", "waiting"))
    left += sum(HOUR[c].minutes // 2 for c in CHECKS if states.get(c) == "partly")
    share = min(1.0, elapsed / whole)
    says = _says(elapsed, left, whole) if _goes_on(now, last) else "The visit is over."
    return Clock(elapsed_min=elapsed, of_min=whole, share=share, says=says)


def minutes_gone(begun: datetime | None, now: datetime, *, last: datetime | None = None) -> int:
    """Whole minutes since the first reading, 0 before it; of a visit that is over, up to its last one."""
    if begun is None:
        return 0
    until = now if last is None or _goes_on(now, last) else last
    return max(0, int((until - begun).total_seconds() // 60))


def _goes_on(now: datetime, last: datetime | None) -> bool:
    return last is None or (now - last).total_seconds() < 60.0 * STANDS_AFTER.value


def _says(elapsed: int, left: int, whole: int) -> str:
    over = elapsed + left - whole
    if left == 0:
        return "Every check is done or skipped."
    if over <= 0:
        return f"{left} min of checks open"
    return f"{left} min of checks open, {over} more than are left"


def rest_due(trials_taken: int) -> bool:
    """Whether the player should sit down for a minute before the next trial of a series.

    Examples
    --------
    >>> [n for n in range(10) if rest_due(n)]
    [4, 8]
    """
    return trials_taken > 0 and trials_taken % int(REST_AFTER.value) == 0
