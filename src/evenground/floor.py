"""The floor frame and its signs: handedness, lead and trail, open and closed. Nobody else flips a sign.

Seen from above, right-handed axes, millimetres and degrees::

              y  straight ahead of the player, toward the ball
              ^
              |        ball
              |         o
         L    |    R             x runs along the target line, to the player's right.
        ( )   |   ( )            Origin midway between the heel centres.
        ( )   |   ( )            A right-handed player's target is at -x, a left-handed one's at +x.
    ----( )---+---( )-----> x    Turning counter-clockwise seen from above is a positive angle here.
              heel line

A body line (hips, shoulders, load) is *open* when it is turned toward the target: counter-clockwise for a
right-handed player. A club face is *open* when it looks past the target's far side, away from the player:
clockwise for a right-handed player. Both mirror for a left-handed one. What is stored is + open.
"""

import math
from typing import Literal

__all__ = [
    "Handed",
    "Side",
    "body_open_deg",
    "face_open_deg",
    "lead_side",
    "line_deg",
    "other_side",
    "signed",
    "trail_side",
    "turned",
]

Handed = Literal["right", "left"]
"""Which way round somebody plays golf; not the hand they write with."""

Side = Literal["left", "right"]
"""A side of the player's body."""


def lead_side(handed: Handed) -> Side:
    """The side nearer the target: left for a right-handed golfer."""
    return "left" if handed == "right" else "right"


def trail_side(handed: Handed) -> Side:
    """The side away from the target."""
    return "right" if handed == "right" else "left"


def other_side(side: Side) -> Side:
    """The other side of the body."""
    return "left" if side == "right" else "right"


def body_open_deg(anticlockwise_deg: float, handed: Handed) -> float:
    """How far open a body line is, from its turn seen from above (its own inverse: open gives the turn back).

    Parameters
    ----------
    anticlockwise_deg
        Turn of the line against the target line or the heel line, counter-clockwise from above positive.
    handed
        The player's golfing hand.

    Returns
    -------
    open_deg
        + open (toward the target), - closed.

    Examples
    --------
    >>> body_open_deg(4.0, "right"), body_open_deg(4.0, "left")
    (4.0, -4.0)
    """
    return anticlockwise_deg if handed == "right" else -anticlockwise_deg


def face_open_deg(anticlockwise_deg: float, handed: Handed) -> float:
    """How far open a club face is, from its turn seen from above (its own inverse).

    A face that looks to the right of the target as seen from behind the ball is turned clockwise from above.

    Examples
    --------
    >>> face_open_deg(-1.5, "right"), face_open_deg(-1.5, "left")
    (1.5, -1.5)
    """
    return -anticlockwise_deg if handed == "right" else anticlockwise_deg


def signed(size: float, word: str) -> float:
    """A size given with its side as it is stored: open and right are +, closed and left are -.

    Examples
    --------
    >>> signed(1.5, "open"), signed(1.5, "closed"), signed(20.0, "left")
    (1.5, -1.5, -20.0)
    """
    sides = {"open": size, "closed": -size, "right": size, "left": -size}
    return sides[word]


def line_deg(from_mm: tuple[float, float], to_mm: tuple[float, float]) -> float:
    """Direction of a line in the floor frame, counter-clockwise from x, in (-180, 180].

    Examples
    --------
    >>> line_deg((0.0, 0.0), (100.0, 100.0))
    45.0
    """
    return math.degrees(math.atan2(to_mm[1] - from_mm[1], to_mm[0] - from_mm[0]))


def turned(x_mm: float, y_mm: float, anticlockwise_deg: float) -> tuple[float, float]:
    """A point turned about the origin, counter-clockwise seen from above.

    Examples
    --------
    >>> turned(100.0, 0.0, 90.0)
    (0.0, 100.0)
    """
    c, s = math.cos(math.radians(anticlockwise_deg)), math.sin(math.radians(anticlockwise_deg))
    return c * x_mm - s * y_mm, s * x_mm + c * y_mm
