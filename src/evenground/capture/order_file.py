"""An order to the workshop as a TOML file: what was ordered, the tape it was counted with, and each step."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import Field, Strict, model_validator

from evenground.capture.fields import Count, Typed, checked, load_toml
from evenground.capture.toml_text import entry, table, value
from evenground.fit.grip_measured import same_outline_mm
from evenground.fit.grip_types import HandLaw, Layers, UnderHands
from evenground.fit.workshop import OrderLine, Standing, Step, StepName, stand
from evenground.stock import Tape
from evenground.visit import Family

__all__ = [
    "OrderFile",
    "OrderLineTable",
    "StepTable",
    "line_table",
    "load_order",
    "order_text",
    "size_back_mm",
    "step_lines",
    "step_table",
    "with_step",
]

Words = Annotated[str, Field(min_length=1, max_length=120)]
Reading = Annotated[float, Field(gt=5, lt=100)]


_LETTERS = re.compile(r"[a-z\"]+$", re.IGNORECASE)


def size_back_mm(text: str, read: Callable[[str], float]) -> float:
    """A size that came back, as typed: one diameter, or width x depth of a grip that is not round.

    Parameters
    ----------
    text
        ``23.4``, ``0.92 in``, ``29.6 x 23.6``, ``30 × 24 mm``: a unit behind both counts for both.
    read
        Reads one length in millimetres; its errors pass through.

    Returns
    -------
    size_mm
        The diameter, or that of the round grip with the same outline.

    Examples
    --------
    >>> size_back_mm("23.4", float), size_back_mm("30 x 24", float)
    (23.4, 27.083)
    """
    parts = [part.strip() for part in re.split(r"[x×]", text, flags=re.IGNORECASE)]
    if len(parts) != len(("width", "depth")) or not all(parts):
        return read(text)
    width, depth = parts
    unit = _LETTERS.search(depth)
    if unit is not None and _LETTERS.search(width) is None:
        width += f" {unit[0]}"
    return same_outline_mm(read(width), read(depth))


class OrderLineTable(Typed):
    """One ``[[clubs]]`` entry: the build as it was ordered, and what is under each hand besides the tape."""

    mark: Words
    family: Family
    grip: Words
    tolerance_mm: Annotated[float, Field(gt=0, le=5)]
    note: Annotated[str, Field(max_length=400)] = ""
    upper_layers: Annotated[Count, Field(ge=1, le=20)] | None = None
    lower_layers: Annotated[Count, Field(ge=1, le=20)] | None = None
    upper_ordered_mm: Annotated[float, Field(gt=12, lt=60)] | None = None
    lower_ordered_mm: Annotated[float, Field(gt=12, lt=60)] | None = None
    upper_ordered_se_mm: Annotated[float, Field(gt=0, lt=5)] | None = None
    lower_ordered_se_mm: Annotated[float, Field(gt=0, lt=5)] | None = None
    upper_station_mm: Annotated[float, Field(ge=0, lt=1000)] | None = None
    lower_station_mm: Annotated[float, Field(ge=0, lt=1000)] | None = None
    upper_rubber_mm2: Annotated[float, Field(gt=0, lt=4000)] | None = None
    lower_rubber_mm2: Annotated[float, Field(gt=0, lt=4000)] | None = None
    upper_shaft_mm: Annotated[float, Field(gt=5, lt=40)] | None = None
    lower_shaft_mm: Annotated[float, Field(gt=5, lt=40)] | None = None
    upper_other_se_mm: Annotated[float, Field(gt=0, lt=5)] | None = None
    lower_other_se_mm: Annotated[float, Field(gt=0, lt=5)] | None = None

    @model_validator(mode="after")
    def _a_hand_at_least(self) -> Self:
        if self.upper_ordered_mm is None and self.lower_ordered_mm is None:
            msg = f"{self.mark} has no size ordered under either hand"
            raise ValueError(msg)
        if (self.upper_layers is None) != (self.lower_layers is None):
            msg = f"{self.mark} needs layers under both hands, or under neither"
            raise ValueError(msg)
        return self

    def to_line(self) -> OrderLine:
        """Give the plain shape."""
        layers = None
        if self.upper_layers is not None and self.lower_layers is not None:
            layers = Layers(upper=self.upper_layers, lower=self.lower_layers)
        return OrderLine(
            mark=self.mark,
            family=self.family,
            grip=self.grip,
            layers=layers,
            ordered_mm=UnderHands(upper=self.upper_ordered_mm, lower=self.lower_ordered_mm),
            ordered_se_mm=UnderHands(upper=self.upper_ordered_se_mm, lower=self.lower_ordered_se_mm),
            upper=self._law("upper"),
            lower=self._law("lower"),
            tolerance_mm=self.tolerance_mm,
            note=self.note,
        )

    def _law(self, hand: str) -> HandLaw | None:
        names = ("layers", "station_mm", "rubber_mm2", "shaft_mm", "other_se_mm")
        found = {name: getattr(self, f"{hand}_{name}") for name in names}
        return None if None in found.values() else HandLaw(**found)


def line_table(line: OrderLine) -> dict[str, Any]:
    """A line as its table says it; nothing that is missing."""
    plain: dict[str, Any] = {
        "mark": line.mark,
        "family": line.family,
        "grip": line.grip,
        "tolerance_mm": line.tolerance_mm,
        "note": line.note or None,
    }
    for hand in ("upper", "lower"):
        law: HandLaw | None = getattr(line, hand)
        plain |= {
            f"{hand}_layers": None if line.layers is None else getattr(line.layers, hand),
            f"{hand}_ordered_mm": getattr(line.ordered_mm, hand),
            f"{hand}_ordered_se_mm": getattr(line.ordered_se_mm, hand),
            f"{hand}_station_mm": None if law is None else law.station_mm,
            f"{hand}_rubber_mm2": None if law is None else law.rubber_mm2,
            f"{hand}_shaft_mm": None if law is None else law.shaft_mm,
            f"{hand}_other_se_mm": None if law is None else law.other_se_mm,
        }
    return {name: found for name, found in plain.items() if found is not None}


class StepTable(Typed):
    """One ``[[steps]]`` entry: what happened to which club, by whom and when."""

    club: Words
    state: StepName
    who: Words
    when: Words
    upper_mm: tuple[Reading, ...] = Field((), max_length=9)
    lower_mm: tuple[Reading, ...] = Field((), max_length=9)
    upper_layers: Count | None = None
    lower_layers: Count | None = None
    mass_g: Annotated[float, Field(gt=50, lt=2000)] | None = None
    reason: Annotated[str, Field(max_length=400)] = ""
    kept: Annotated[bool, Strict()] = False

    @model_validator(mode="after")
    def _both_zones(self) -> Self:
        if (self.upper_layers is None) != (self.lower_layers is None):
            msg = "give the layers under both hands, or under neither"
            raise ValueError(msg)
        return self

    def to_step(self) -> Step:
        """Give the plain shape."""
        layers = None
        if self.upper_layers is not None and self.lower_layers is not None:
            layers = Layers(upper=self.upper_layers, lower=self.lower_layers)
        return Step(
            state=self.state,
            who=self.who,
            when=self.when,
            upper_mm=self.upper_mm,
            lower_mm=self.lower_mm,
            layers=layers,
            mass_g=self.mass_g,
            reason=self.reason,
            kept=self.kept,
        )


def step_table(given: object, *, file: str) -> StepTable:
    """A step from typed values; errors as in `checked`."""
    return checked(StepTable, given, file=file)


class TapeTable(Typed):
    """The ``[tape]`` table: what the layers were counted with."""

    double_sided_mm: Annotated[float, Field(ge=0.02, le=1)]
    build_up_mm: Annotated[float, Field(ge=0.02, le=1)]
    double_sided_se_mm: Annotated[float, Field(gt=0, le=0.2)] | None = None
    build_up_se_mm: Annotated[float, Field(gt=0, le=0.2)] | None = None

    def to_tape(self) -> Tape:
        """Give the shared shape; mass and most layers do not matter here."""
        return Tape(
            double_sided_mm=self.double_sided_mm,
            build_up_mm=self.build_up_mm,
            layer_mass_g=0.0,
            most_layers=1,
            double_sided_se_mm=self.double_sided_se_mm,
            build_up_se_mm=self.build_up_se_mm,
        )


class OrderFile(Typed):
    """The whole of an order."""

    format: Literal[1]
    player: Words
    visit: Words
    tape: TapeTable
    clubs: tuple[OrderLineTable, ...] = Field(min_length=1, max_length=50)
    steps: tuple[StepTable, ...] = Field((), max_length=2000)

    @model_validator(mode="after")
    def _belongs_together(self) -> Self:
        marks = [club.mark for club in self.clubs]
        twice = next((m for m in marks if marks.count(m) > 1), None)
        if twice is not None:
            msg = f"the club {twice} stands there twice"
            raise ValueError(msg)
        stranger = next((s.club for s in self.steps if s.club not in marks), None)
        if stranger is not None:
            msg = f"a step names the club {stranger}, which was not ordered (ordered: {', '.join(marks)})"
            raise ValueError(msg)
        return self

    def standings(self) -> tuple[Standing, ...]:
        """Where each club stands; errors as in `stand`."""
        return tuple(
            stand(club.to_line(), [s.to_step() for s in self.steps if s.club == club.mark])
            for club in self.clubs
        )


def load_order(path: Path) -> OrderFile:
    """Read an order; errors as in `load_toml`."""
    return load_toml(path, OrderFile)


def order_text(*, player: str, visit: str, tape: Tape, lines: tuple[OrderLine, ...]) -> str:
    """The text of a new order, without steps."""
    counted = {
        "double_sided_mm": tape.double_sided_mm,
        "build_up_mm": tape.build_up_mm,
        "double_sided_se_mm": tape.double_sided_se_mm,
        "build_up_se_mm": tape.build_up_se_mm,
    }
    text = ["format = 1", f"player = {value(player)}", f"visit = {value(visit)}"]
    text += table("tape", {k: v for k, v in counted.items() if v is not None})
    for line in lines:
        text += entry("clubs", line_table(line))
    return "\n".join(text) + "\n"


def with_step(order: OrderFile, step: StepTable) -> OrderFile:
    """The order with one step more; errors as in `checked`."""
    plain = order.model_dump(mode="json", exclude_none=True)
    plain["steps"] = [*plain["steps"], step.model_dump(mode="json", exclude_none=True)]
    return checked(OrderFile, plain, file="order")


def step_lines(step: StepTable) -> str:
    """A step as the lines that are added at the end of an order."""
    plain = step.model_dump(exclude_defaults=True)
    return "\n".join(entry("steps", plain)) + "\n"
