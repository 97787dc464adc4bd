"""Fields of a check page: which place of the log each one writes, what shows there, and grids of them."""

import dataclasses
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from evenground.records.merge import Merged
from evenground.records.reading_kinds import kind_named
from evenground.studio.pages.tally import values_had, who_wrote
from evenground.studio.typed import Control, show_stored, unit_of
from evenground.units import LengthSystem

__all__ = ["Cell", "Column", "Grid", "Line", "Spot", "cell", "spot_id"]

YES_NO = (("yes", "yes"), ("no", "no"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """One field of one entry of the log."""

    kind: str
    field: str
    keys: Mapping[str, Any] = dataclasses.field(default_factory=dict)

    @property
    def id(self) -> str:
        """Name of the spot on a page, the same on every screen."""
        return spot_id(self.kind, self.keys, self.field)

    @property
    def body(self) -> str:
        """The spot as the script sends it."""
        return json.dumps({"kind": self.kind, "keys": dict(self.keys), "field": self.field})

    @property
    def asks(self) -> str:
        """The spot as its history is asked for."""
        return json.dumps({**self.keys, "kind": self.kind, "field": self.field})


def spot_id(kind: str, keys: Mapping[str, Any], field: str) -> str:
    """Name of a spot, of letters, digits and dashes.

    Examples
    --------
    >>> spot_id("as arrived", {"family": "irons"}, "width_mm")
    'as-arrived--irons--width_mm'
    """
    ordered = [str(keys[name]) for name in kind_named(kind).keys if name in keys]
    said = "--".join([kind, *ordered, field])
    return "".join(c if (c.isalnum() and c.isascii()) or c in "-_" else "-" for c in said)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A field as it stands on the page. `earlier` counts the values behind the one that shows."""

    spot: Spot
    label: str
    control: Control = "size"
    choices: tuple[tuple[str, str], ...] = ()
    unit: str = ""
    text: str = ""
    reading: str = ""
    by: str = ""
    earlier: int = 0
    hint: str = ""

    @property
    def id(self) -> str:
        """Name of the field on the page."""
        return self.spot.id

    @property
    def asks(self) -> str:
        """The field as its history is asked for."""
        return self.spot.asks

    @property
    def fixed(self) -> bool:
        """Whether the field is chosen, not typed."""
        return self.control in ("choice", "yes or no")


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a grid, and the unit of a bare number in it."""

    label: str
    unit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A row of a grid; `take_back` names the readings that one button takes back.

    `note` stands at its end; one that `warns` asks to look again.
    """

    label: str
    cells: tuple[Cell, ...]
    note: str = ""
    warns: bool = False
    take_back: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Fields in rows and columns, the numbers that belong together.

    A `folded` one is opened by hand; in a `stacked` one each line is a block of its own, for many columns. A
    `noted` one keeps room at the end of its lines, so that a note can come while somebody types.
    """

    name: str
    title: str
    columns: tuple[Column, ...]
    lines: tuple[Line, ...]
    note: str = ""
    folded: bool = False
    stacked: bool = False
    noted: bool = False

    @property
    def rows(self) -> "tuple[_Row, ...]":
        """The lines with each field beside its column."""
        return tuple(
            _Row(
                label=line.label,
                note=line.note,
                warns=line.warns,
                take_back=line.take_back,
                pairs=tuple(zip(self.columns, line.cells, strict=True)),
            )
            for line in self.lines
        )

    @property
    def has_names(self) -> bool:
        """Whether the lines have names."""
        return any(line.label for line in self.lines)

    @property
    def has_notes(self) -> bool:
        """Whether anything stands at the end of a line."""
        return self.noted or any(line.note or line.take_back for line in self.lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """A line of a grid as the template prints it."""

    label: str
    note: str
    warns: bool
    take_back: str
    pairs: tuple[tuple[Column, Cell], ...]


def cell(
    log: Merged,
    system: LengthSystem,
    spot: Spot,
    label: str,
    *,
    control: Control = "size",
    choices: tuple[str, ...] = (),
    hint: str = "",
) -> Cell:
    """The field of a spot with the value that shows, who gave it, and how many stand behind it."""
    slot = log.slot(spot.kind, spot.keys)
    shown = None if slot is None else slot.shown.get(spot.field)
    had = values_had(log, spot.kind, kind_named(spot.kind).key_of(spot.keys), spot.field)
    options = YES_NO if control == "yes or no" else tuple((c, c) for c in choices)
    return Cell(
        spot=spot,
        label=label,
        control=control,
        choices=options,
        unit=unit_of(spot.field, system) if control == "size" else "",
        text="" if shown is None else show_stored(spot.field, shown.value, system),
        reading="" if shown is None else str(shown.reading),
        by="" if shown is None else who_wrote(log, shown.reading),
        earlier=had - (shown is not None),
        hint=hint,
    )
