"""What people type, in either system, to stored values and back; nowhere else does the app read a size."""

from dataclasses import dataclass
from typing import Literal

from evenground.errors import CaptureError
from evenground.floor import signed
from evenground.units import (
    LengthSystem,
    parse_angle_deg,
    parse_length_mm,
    parse_mass_kg,
    show_angle,
    show_length,
    show_mass,
)

__all__ = ["Control", "NotAChoiceError", "NotACountError", "read_typed", "show_stored", "unit_of"]

Value = float | int | str | bool
Control = Literal["size", "count", "words", "choice", "yes or no"]
FINE = ("butt_", "grip_")
"""Beginnings of the names of diameters: an inch step would hide what a layer of tape adds."""


class NotAChoiceError(CaptureError):
    """A word that is none of a field's choices."""

    def __init__(self, field: str, text: str, choices: tuple[str, ...]) -> None:
        super().__init__(field, text, choices)
        self.where = field
        self.what = f'"{text[:40]}" is not one of the choices.'
        self.do = f"Choose {', '.join(choices[:-1])} or {choices[-1]}."


class NotACountError(CaptureError):
    """Text where a whole number is needed."""

    do = "Write a whole number, such as 3."

    def __init__(self, field: str, text: str) -> None:
        super().__init__(field, text)
        self.where = field
        self.what = f'"{text[:40]}" is not a whole number.'


@dataclass(frozen=True, slots=True)
class _Unit:
    metric: str
    imperial: str


_UNITS = {
    "mm": _Unit("mm", "in"),
    "m": _Unit("m", "ft"),
    "kg": _Unit("kg", "lb"),
    "g": _Unit("g", "oz"),
    "deg": _Unit("deg", "deg"),
}


def unit_of(field: str, system: LengthSystem) -> str:
    """The unit that a bare number in a field has, empty when the field has none.

    Examples
    --------
    >>> unit_of("width_mm", "metric"), unit_of("width_mm", "inch quarters"), unit_of("mark", "metric")
    ('mm', 'in', '')
    """
    unit = _UNITS.get(field.rpartition("_")[2])
    if unit is None:
        return ""
    return unit.metric if system == "metric" else unit.imperial


def read_typed(field: str, text: str, system: LengthSystem, *, label: str = "", word: str = "") -> float:
    """A typed size in the unit of its field's name.

    Parameters
    ----------
    field
        Name with its unit, such as ``width_mm``.
    text
        What was typed; a bare number has the studio's unit.
    system
        The studio's preference.
    label
        What the field is called on the screen, for the message.
    word
        ``open``, ``closed``, ``right`` or ``left`` where a size without a sign is given with its side.

    Raises
    ------
    UnreadableSizeError
        When the text is no size.
    """
    unit, bare = field.rpartition("_")[2], unit_of(field, system)
    if unit == "deg":
        deg = parse_angle_deg(text, field=label, default_unit=bare, signed=not word)
        return signed(deg, word) if word else deg
    if unit == "kg":
        return parse_mass_kg(text, field=label, default_unit=bare)
    if unit == "g":
        return parse_mass_kg(text, field=label, default_unit=bare) * 1000.0
    mm = parse_length_mm(text, field=label, default_unit=bare, signed=not word)
    mm = signed(mm, word) if word else mm
    return mm / 1000.0 if unit == "m" else mm


def show_stored(field: str, value: Value | None, system: LengthSystem) -> str:
    """A stored value as the studio likes to read it; empty when there is none.

    Examples
    --------
    >>> show_stored("width_mm", 412.75, "metric"), show_stored("width_mm", 412.75, "inch quarters")
    ('413 mm', '16 1/4 in')
    >>> show_stored("hip_line_deg", -1.5, "metric"), show_stored("glove", True, "metric")
    ('-1.5°', 'yes')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    unit = field.rpartition("_")[2]
    if unit == "deg":
        return show_angle(value)
    if unit == "mm":
        return _length(field, value, system)
    if unit == "m":
        return f"{value:g} m" if system == "metric" else show_length(value * 1000.0, system)
    if unit == "kg":
        return show_mass(value, "kg" if system == "metric" else "lb")
    return f"{value:g} g" if unit == "g" else f"{value:g}"


def _length(field: str, mm: float, system: LengthSystem) -> str:
    """Lengths to the millimetre or inch step; diameters in tenths of a millimetre in either system."""
    if field.startswith(FINE):
        return show_length(mm, "metric", decimals=1)
    return show_length(mm, system)
