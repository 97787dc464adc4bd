"""Tables of `visit.toml` for the hip routine, the held load, practice between visits, and swapped cues."""

from collections.abc import Mapping
from datetime import date
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from evenground.capture.fields import Count, Short, Typed
from evenground.library import RoutineVersion
from evenground.visit import AimPractice, CueChoice, HeldLoadPair, RoutineRun

__all__ = ["CueChoiceTable", "HeldLoadTable", "PracticeTable", "RoutineRunTable", "extras_from"]

Ahead = Annotated[float, Field(gt=-300, lt=600)]


class RoutineRunTable(Typed):
    """One ``[[routine]]`` entry: the hip routine done, or ended early without a reason."""

    run: Annotated[Count, Field(ge=1, le=50)]
    outcome: Literal["done", "ended early"]
    version: RoutineVersion = "usual"
    routine: Annotated[str, Field(max_length=60)] = ""
    seconds: Annotated[float, Field(ge=0, le=7200)] | None = None
    clock: Annotated[str, Field(pattern=r"^([01]\d|2[0-3]):[0-5]\d$")] | None = None


class HeldLoadTable(Typed):
    """One ``[[held_load]]`` entry: a pair of placements, without and with the mass."""

    pair: Annotated[Count, Field(ge=1, le=50)]
    load_kg: Annotated[float, Field(gt=0, le=10)]
    load_ahead_mm: Annotated[float, Field(gt=-200, lt=1000)]
    load_ahead_se_mm: Annotated[float, Field(gt=0, lt=200)] | None = None
    without_mm: Ahead | None = None
    with_mm: Ahead | None = None
    without_recording: Short | None = None
    with_recording: Short | None = None

    @model_validator(mode="after")
    def _both_placements(self) -> Self:
        for name in ("without", "with"):
            typed, seen = getattr(self, f"{name}_mm"), getattr(self, f"{name}_recording")
            if (typed is None) == (seen is None):
                count = "neither is" if typed is None else "both are"
                msg = f"One of {name}_mm and {name}_recording says where the weight was; {count} given"
                raise ValueError(msg)
        return self


class PracticeTable(Typed):
    """One ``[[practice]]`` entry: a line of the practice sheet."""

    entry: Annotated[Count, Field(ge=1, le=500)]
    day: date
    distance_m: Annotated[float, Field(ge=0.2, le=10)]
    gate_mm: Annotated[float, Field(gt=42.67, le=400)]
    rolled: Annotated[Count, Field(ge=1, le=1000)]
    passed: Annotated[Count, Field(ge=0, le=1000)]

    @model_validator(mode="after")
    def _no_more_than_were_rolled(self) -> Self:
        if self.passed > self.rolled:
            msg = f"{self.passed} balls passed of {self.rolled} rolled"
            raise ValueError(msg)
        return self


class CueChoiceTable(Typed):
    """The ``[cue_choice]`` table: cues and the home check that the teacher swapped in."""

    cues: Annotated[tuple[Short, ...], Field(max_length=3)] = ()
    home_check: Short | None = None


def extras_from(file: Any) -> Mapping[str, Any]:
    """The visit's fields that these tables fill in, from a checked `visit.toml`."""
    return {
        "routine": tuple(RoutineRun(**dict(t)) for t in file.routine),
        "held_load": tuple(HeldLoadPair(**dict(t)) for t in file.held_load),
        "practice": tuple(AimPractice(**dict(t)) for t in file.practice),
        "cue_choice": None if file.cue_choice is None else CueChoice(**dict(file.cue_choice)),
    }
