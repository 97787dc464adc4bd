"""`routine.toml` and `cues.toml`: the hip routine, the cues and the home checks, ours or a studio's own."""

import re
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from typing import Annotated, Literal, Self

from pydantic import Field, field_validator, model_validator

from evenground.capture.fields import Count, Typed, YesNo, read_toml
from evenground.capture.toml_text import entries, table, value
from evenground.library import CueLibrary, CueText, HomeCheckText, Move, Routine, Serves, Who

__all__ = [
    "CuesFile",
    "CuesTable",
    "RoutineFile",
    "RoutineTable",
    "cues_from",
    "cues_lines",
    "cues_toml",
    "routine_from",
    "routine_lines",
    "routine_toml",
    "usual_cues",
    "usual_cues_text",
    "usual_routine",
    "usual_routine_text",
]

LEAST_S, MOST_S = 30, 600
"""A routine that is shorter does nothing, a longer one is training and not a check; ours."""
LEAST_CUES = 3
PLACES = {"club", "family", "edges"}
"""What a home check of the stance width may leave to be filled in."""

Words = Annotated[str, Field(min_length=1, max_length=240)]
Name = Annotated[str, Field(min_length=1, max_length=60)]
Saying = Annotated[str, Field(min_length=1, max_length=90)]
Caution = Annotated[str, Field(min_length=1, max_length=300)]


class MoveTable(Typed):
    """One ``[[moves]]`` entry."""

    name: Name
    seconds: Annotated[Count, Field(ge=5, le=120)]
    how: Words
    easier: Words
    seated: Words
    stop: Words
    repeats: Annotated[Count, Field(ge=1, le=30)] | None = None
    each_side: YesNo = False
    caution: Annotated[str, Field(max_length=240)] = ""


class RoutineTable(Typed):
    """A routine; the ``[routine]`` table of `studio.toml`."""

    name: Name
    cautions: tuple[Caution, ...] = ()
    moves: Annotated[tuple[MoveTable, ...], Field(min_length=1, max_length=20)]

    @model_validator(mode="after")
    def _short(self) -> Self:
        seconds = routine_from(self).seconds
        if not LEAST_S <= seconds <= MOST_S:
            msg = f"The moves take {seconds} seconds together; a routine takes {LEAST_S} to {MOST_S}"
            raise ValueError(msg)
        _refuse_twice("move", [m.name for m in self.moves])
        return self


class RoutineFile(RoutineTable):
    """The whole of `routine.toml`."""

    format: Literal[1]


class CueTable(Typed):
    """One ``[[cues]]`` entry."""

    key: Name
    serves: Serves
    say: Saying
    who: Who = "anybody"
    two_arms: YesNo = False

    @field_validator("say")
    @classmethod
    def _without_figures(cls, say: str) -> str:
        if any(c.isdigit() for c in say):
            msg = "A cue carries no figure: a player feels it, the card holds the figures"
            raise ValueError(msg)
        return say


class HomeCheckTable(Typed):
    """One ``[[home_checks]]`` entry."""

    key: Name
    serves: Serves
    do: Words
    come_back: Words
    who: Who = "anybody"

    @model_validator(mode="after")
    def _places_are_known(self) -> Self:
        found = re.findall(r"\{([^{}]*)\}", f"{self.do} {self.come_back}")
        known = PLACES if self.serves == "stance width" else set()
        strange = [name for name in found if name not in known]
        if strange or (self.do + self.come_back).count("{") != len(found):
            allowed = ", ".join(f"{{{n}}}" for n in sorted(known)) or "none"
            msg = f"A place in braces is not known here (allowed: {allowed})"
            raise ValueError(msg)
        return self


class CuesTable(Typed):
    """Cues and home checks; the ``[settings.cues]`` table of `studio.toml`."""

    cues: Annotated[tuple[CueTable, ...], Field(min_length=LEAST_CUES, max_length=200)]
    home_checks: Annotated[tuple[HomeCheckTable, ...], Field(min_length=1, max_length=100)]

    @model_validator(mode="after")
    def _serve_everybody(self) -> Self:
        _refuse_twice("cue", [c.key for c in self.cues])
        _refuse_twice("home check", [h.key for h in self.home_checks])
        for who in ("standing", "not standing"):
            fit = [c for c in self.cues if c.who in ("anybody", who) and not c.two_arms]
            said = [c.serves for c in fit]
            if said.count("anything") + ("weight" in said) < LEAST_CUES:
                msg = (
                    f"A player who is {who} and of whom nothing was found needs three cues that serve "
                    "anything or weight, for one arm too"
                )
                raise ValueError(msg)
            wanted = "own width" if who == "standing" else "ball"
            if not any(
                h.serves in (wanted, "anything") and h.who in ("anybody", who) for h in self.home_checks
            ):
                msg = f"A player who is {who} needs a home check that serves {wanted} or anything"
                raise ValueError(msg)
        return self


class CuesFile(CuesTable):
    """The whole of `cues.toml`."""

    format: Literal[1]


def _refuse_twice(what: str, names: Sequence[str]) -> None:
    twice = next((n for n in names if names.count(n) > 1), None)
    if twice is not None:
        msg = f"The {what} {twice} stands there twice; each may stand once"
        raise ValueError(msg)


def routine_from(given: RoutineTable) -> Routine:
    """The routine that a checked table describes."""
    return Routine(
        name=given.name, moves=tuple(Move(**dict(m)) for m in given.moves), cautions=given.cautions
    )


def cues_from(given: CuesTable) -> CueLibrary:
    """The library that a checked table describes."""
    return CueLibrary(
        cues=tuple(CueText(**dict(c)) for c in given.cues),
        home_checks=tuple(HomeCheckText(**dict(h)) for h in given.home_checks),
    )


def _ours(name: str) -> str:
    return files("evenground.capture").joinpath(name).read_text("utf-8")


def usual_routine_text() -> str:
    """Our own `routine.toml`."""
    return _ours("routine.toml")


def usual_cues_text() -> str:
    """Our own `cues.toml`."""
    return _ours("cues.toml")


@cache
def usual_routine() -> Routine:
    """The routine where a studio has none of its own."""
    return routine_from(read_toml(usual_routine_text().encode(), RoutineFile, file="routine.toml"))


@cache
def usual_cues() -> CueLibrary:
    """The cues and home checks where a studio has none of its own."""
    return cues_from(read_toml(usual_cues_text().encode(), CuesFile, file="cues.toml"))


def routine_lines(routine: Routine) -> list[str]:
    """A studio's own routine as lines of `studio.toml`."""
    head = {"name": routine.name, "cautions": routine.cautions}
    return [*table("routine", head), *entries("routine.moves", routine.moves)]


def routine_toml(routine: Routine) -> str:
    """A routine as the text of `routine.toml`."""
    head = ["format = 1", f"name = {value(routine.name)}", f"cautions = {value(routine.cautions)}"]
    return "\n".join([*head, *entries("moves", routine.moves)]) + "\n"


def cues_lines(library: CueLibrary) -> list[str]:
    """A studio's own cues and home checks as lines of `studio.toml`."""
    return [
        *entries("settings.cues.cues", library.cues),
        *entries("settings.cues.home_checks", library.home_checks),
    ]


def cues_toml(library: CueLibrary) -> str:
    """Cues and home checks as the text of `cues.toml`."""
    lines = [*entries("cues", library.cues), *entries("home_checks", library.home_checks)]
    return "\n".join(["format = 1", *lines]) + "\n"
