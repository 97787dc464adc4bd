"""The whole bag at address: every shaft from one ball at its lie, and where this player holds the cap."""

import math

from evenground.estimate import Estimate
from evenground.fit.bag import Bag, ClubReport
from evenground.floor import Handed
from evenground.report.drawing import (
    Drawing,
    Mark,
    Point,
    around,
    disc,
    kept_apart,
    label,
    line,
    mirrored,
    outline,
)
from evenground.sourced import Sourced

__all__ = ["bag_drawing"]

BALL_MM = Sourced(21.335, "mm", "half of 42.67 mm, Equipment Rules, part 4 (least diameter of a ball)")
GRIP_MM = 260.0
"""Length of the drawn grip, no measure of any."""
LINE_MM = 42.0
"""Height of one line of text."""
ASIDE_MM = 70.0
ARC = tuple(i / 8.0 for i in range(9))


def bag_drawing(bag: Bag, *, handed: Handed = "right") -> Drawing | None:
    """Clubs seen along the target line with their soles flat; None while no length and lie are known.

    A solid shaft is the club with its sole flat. Where the cap's height was measured in the player's own
    address, a dashed shaft shows the club as held, and its hatched end the 95 % range of that lie.
    """
    clubs = [c for c in bag.clubs if c.length_mm is not None and c.lie_deg is not None]
    if not clubs:
        return None
    marks: list[Mark] = [disc((0.0, BALL_MM.value), BALL_MM.value, style="hollow")]
    caps = [_end(c.length_mm, c.lie_deg) for c in clubs]
    for club, cap in zip(clubs, caps, strict=True):
        marks += _held(club)
        below = 1.0 - GRIP_MM / math.hypot(*cap)
        marks += [
            line((0.0, 0.0), cap, style="ink"),
            line((below * cap[0], below * cap[1]), cap, style="bold"),
            disc(cap, 6.0, style="ink"),
        ]
    marks += _labels(clubs, caps)
    farthest = min(x for x, _ in caps)
    marks.append(line((farthest - ASIDE_MM, 0.0), (60.0, 0.0), style="hair"))
    plain = around(marks, pad_mm=10.0)
    return plain if handed == "right" else mirrored(plain)


def _end(length: Estimate | None, lie: Estimate | None) -> Point:
    """The cap of a club whose sole is at the origin; the player stands to the left."""
    if length is None or lie is None:
        return 0.0, 0.0
    return _at(length.value, lie.value)


def _at(length_mm: float, lie_deg: float) -> Point:
    lie = math.radians(lie_deg)
    return -length_mm * math.cos(lie), length_mm * math.sin(lie)


def _held(club: ClubReport) -> list[Mark]:
    held, length = club.held_lie_deg, club.length_mm
    if held is None or length is None:
        return []
    low, high = held.value - held.half_width(), held.value + held.half_width()
    outer = [_at(length.value, low + t * (high - low)) for t in ARC]
    inner = [_at(length.value - 45.0, high - t * (high - low)) for t in ARC]
    return [
        outline([*outer, *inner], style="hatch"),
        line((0.0, 0.0), _at(length.value, held.value), style="dash"),
    ]


def _labels(clubs: list[ClubReport], caps: list[Point]) -> list[Mark]:
    """Mark and lie of each club above each other on the player's side, a hairline to each cap."""
    column = min(x for x, _ in caps) - ASIDE_MM
    heights = kept_apart([y for _, y in caps], LINE_MM)
    marks = []
    for club, cap, high in zip(clubs, caps, heights, strict=True):
        lie = "" if club.lie_deg is None else f", {club.lie_deg.value:.1f}°"
        marks.append(line(cap, (column + 24.0, high), (column, high), style="hair"))
        marks.append(label((column, high), f"{club.mark}{lie}", "left"))
    return marks
