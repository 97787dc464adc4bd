"""What a studio has its players do and feel: a short hip routine, cues, home checks; plain frozen shapes."""

from dataclasses import dataclass
from typing import Literal, get_args

__all__ = [
    "SERVES",
    "CueLibrary",
    "CueText",
    "HomeCheckText",
    "Move",
    "Routine",
    "RoutineVersion",
    "Serves",
    "Who",
]

RoutineVersion = Literal["usual", "easier", "seated"]
"""How each move is done: as it is written, in its easier form, or sitting."""

Serves = Literal[
    "wider",
    "narrower",
    "stance width",
    "toe-out",
    "weight",
    "posture",
    "grip",
    "aim",
    "ball",
    "own width",
    "anything",
]
"""The finding that a cue or a home check serves; *wider* and *narrower* say which way the stance moves."""

SERVES: tuple[Serves, ...] = get_args(Serves)

Who = Literal["anybody", "standing", "not standing"]
"""Whom a text may be said to: to anybody, only to who stands on two feet, or only to who does not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One movement of the routine: how long (each side, where there are two), how, and what to stop at."""

    name: str
    seconds: int
    how: str
    easier: str
    seated: str
    stop: str
    repeats: int | None = None
    each_side: bool = False
    caution: str = ""

    @property
    def whole_seconds(self) -> int:
        """How long it takes with both its sides."""
        return self.seconds * (2 if self.each_side else 1)

    def done(self, version: RoutineVersion) -> str:
        """How it is done in one version."""
        return {"usual": self.how, "easier": self.easier, "seated": self.seated}[version]


@dataclass(frozen=True, slots=True, kw_only=True)
class Routine:
    """A short routine: its moves in order, and what holds for all of them."""

    name: str
    moves: tuple[Move, ...]
    cautions: tuple[str, ...] = ()

    @property
    def seconds(self) -> int:
        """How long the whole of it takes, without pauses."""
        return sum(move.whole_seconds for move in self.moves)


@dataclass(frozen=True, slots=True, kw_only=True)
class CueText:
    """One thing to feel. `two_arms` keeps it from a player who uses one."""

    key: str
    serves: Serves
    say: str
    who: Who = "anybody"
    two_arms: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HomeCheckText:
    """One check to do at home, and what drift means *come back*.

    Where it serves the stance width, `{club}`, `{family}` and `{edges}` stand for the player's own.
    """

    key: str
    serves: Serves
    do: str
    come_back: str
    who: Who = "anybody"


@dataclass(frozen=True, slots=True, kw_only=True)
class CueLibrary:
    """Cues and home checks in the order in which they are drawn."""

    cues: tuple[CueText, ...]
    home_checks: tuple[HomeCheckText, ...]
