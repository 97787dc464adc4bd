"""Lengths, masses and angles as people write them, read exactly and shown in the studio's preference.

What two people could read in two ways is refused, never guessed: ``5 ft 11`` (eleven what?), ``1,800 mm`` (a
thousand or a fraction?), ``61/2 in`` (six and a half, or thirty and a half?), ``5 ft 30 cm``. The grammar
stands in `size_text.py`.
"""

import math
from fractions import Fraction
from typing import Literal

from evenground.errors import CaptureError
from evenground.size_text import INCH_MM, LONGEST_TEXT, POUND_KG, UNITS, CannotReadError, Kind, read

__all__ = [
    "ImplausibleSizeError",
    "LengthSystem",
    "MassSystem",
    "UnreadableAngleError",
    "UnreadableLengthError",
    "UnreadableMassError",
    "UnreadableSizeError",
    "inch_64ths",
    "parse_angle_deg",
    "parse_length_mm",
    "parse_mass_kg",
    "show_64ths",
    "show_angle",
    "show_height",
    "show_length",
    "show_mass",
    "show_range",
]

LengthSystem = Literal["metric", "inch quarters", "inch eighths"]
"""How a studio likes its lengths; millimetres are stored whichever it is."""

MassSystem = Literal["kg", "lb", "st lb"]
"""How a studio likes its masses; kilograms are stored whichever it is."""


class UnreadableSizeError(CaptureError):
    """A typed size that could not be read, or that could be read in two ways."""

    kind = "size"
    forms = ""

    def __init__(self, text: str, field: str, reason: str) -> None:
        super().__init__(text, field, reason)
        self.where = field
        self.what = f"{_quoted(text)} cannot be read as {self.kind}: {reason}."
        self.do = f"Write it like {self.forms}."


class UnreadableLengthError(UnreadableSizeError):
    """A typed length that could not be read."""

    kind = "a length"
    forms = "1780 mm, 178 cm, 1.80 m, 5 ft 11 in, 5' 11\" or 30 1/2 in"


class UnreadableMassError(UnreadableSizeError):
    """A typed mass that could not be read."""

    kind = "a mass"
    forms = "81.5 kg, 450 g, 180 lb, 12 st 4 lb or 12 lb 4 oz"


class UnreadableAngleError(UnreadableSizeError):
    """A typed angle that could not be read."""

    kind = "an angle"
    forms = "3.5°, 3.5 deg or 1 1/2 deg"


class ImplausibleSizeError(CaptureError):
    """A size that was read but lies outside what its field can hold."""

    do = "Check the number and its unit."

    def __init__(self, text: str, field: str, read: str, allowed: str) -> None:
        super().__init__(text, field, read, allowed)
        self.where = field
        self.what = f"{_quoted(text)} is {read}, and {allowed} is possible here."


def _quoted(text: str) -> str:
    """The text as typed, on one line, cut at the length nobody types on purpose."""
    plain = _printable(" ".join(text.split()))
    return f'"{plain[:LONGEST_TEXT]}{"..." if len(plain) > LONGEST_TEXT else ""}"'


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else "?" for c in text)


_ERRORS: dict[str, type[UnreadableSizeError]] = {
    "length": UnreadableLengthError,
    "mass": UnreadableMassError,
    "angle": UnreadableAngleError,
}


def parse_length_mm(
    text: str,
    *,
    field: str = "",
    default_unit: str | None = None,
    low_mm: float | None = None,
    high_mm: float | None = None,
    signed: bool = False,
) -> float:
    r"""A typed length in millimetres.

    Parameters
    ----------
    text
        What was typed, with its unit.
    field
        Name of the field, for the message.
    default_unit
        Unit of a bare number (`mm`, `cm`, `m`, `in`, `ft`, `yd`); a bare number is refused without it.
    low_mm, high_mm
        What the field can hold, ends included.
    signed
        Whether a sign may stand in front.

    Raises
    ------
    UnreadableLengthError
        If the text is no length or could be read in two ways.
    ImplausibleSizeError
        If it was read and lies outside `low_mm` to `high_mm`.

    Examples
    --------
    >>> parse_length_mm("5' 11\""), parse_length_mm("30½ in"), parse_length_mm("1,80 m")
    (1803.4, 774.7, 1800.0)
    """
    return _parse(text, "length", "mm", field, default_unit, (low_mm, high_mm), signed=signed)


def parse_mass_kg(
    text: str,
    *,
    field: str = "",
    default_unit: str | None = None,
    low_kg: float | None = None,
    high_kg: float | None = None,
) -> float:
    """A typed mass in kilograms; arguments as in `parse_length_mm`, units `kg`, `g`, `lb`, `oz`, `st`.

    Raises
    ------
    UnreadableMassError
        If the text is no mass or could be read in two ways.
    ImplausibleSizeError
        If it was read and lies outside `low_kg` to `high_kg`.

    Examples
    --------
    >>> parse_mass_kg("12 st 4 lb")
    78.017
    """
    return _parse(text, "mass", "kg", field, default_unit, (low_kg, high_kg), signed=False)


def parse_angle_deg(
    text: str,
    *,
    field: str = "",
    default_unit: str | None = None,
    low_deg: float | None = None,
    high_deg: float | None = None,
    signed: bool = True,
) -> float:
    """A typed angle in degrees; arguments as in `parse_length_mm`, the only unit is `deg`.

    Raises
    ------
    UnreadableAngleError
        If the text is no angle or could be read in two ways.
    ImplausibleSizeError
        If it was read and lies outside `low_deg` to `high_deg`.

    Examples
    --------
    >>> parse_angle_deg("-1 1/2 deg"), parse_angle_deg("3,5°")
    (-1.5, 3.5)
    """
    return _parse(text, "angle", "deg", field, default_unit, (low_deg, high_deg), signed=signed)


def _parse(
    text: str,
    kind: Kind,
    unit: str,
    field: str,
    default_unit: str | None,
    bounds: tuple[float | None, float | None],
    *,
    signed: bool,
) -> float:
    if default_unit is not None and (default_unit not in UNITS or UNITS[default_unit].kind != kind):
        msg = f"{default_unit} is not a unit of {kind}"
        raise ValueError(msg)
    try:
        value = float(read(text, kind, default_unit, signed=signed))
    except CannotReadError as exc:
        raise _ERRORS[kind](text, field, _printable(str(exc))) from None
    low, high = bounds
    if (low is not None and value < low) or (high is not None and value > high):
        raise ImplausibleSizeError(text, field, f"{value:g} {unit}", _allowed(low, high, unit))
    return value


def _allowed(low: float | None, high: float | None, unit: str) -> str:
    if low is None:
        return f"at most {high:g} {unit}"
    return f"at least {low:g} {unit}" if high is None else f"{low:g} to {high:g} {unit}"


def _inch_parts(system: LengthSystem) -> int:
    return 4 if system == "inch quarters" else 8


def _mixed(count: int, parts: int) -> str:
    """`count` parts of a whole as a mixed number: 122 quarters are 30 1/2."""
    sign, count = ("-", -count) if count < 0 else ("", count)
    whole, rest = divmod(count, parts)
    if rest == 0:
        return f"{sign}{whole}"
    fraction = Fraction(rest, parts)
    return f"{sign}{f'{whole} ' if whole else ''}{fraction.numerator}/{fraction.denominator}"


def show_length(mm: float, system: LengthSystem = "metric", *, decimals: int = 0) -> str:
    """A length in the studio's preference; `decimals` counts for millimetres only.

    Examples
    --------
    >>> show_length(774.7), show_length(774.7, "inch quarters"), show_length(22.86, decimals=1)
    ('775 mm', '30 1/2 in', '22.9 mm')
    """
    if system == "metric":
        return f"{mm:.{decimals}f} mm"
    parts = _inch_parts(system)
    return f"{_mixed(round(Fraction(mm) * parts / INCH_MM), parts)} in"


def show_height(mm: float, system: LengthSystem = "metric") -> str:
    """A body height: centimetres, or feet and inches.

    Examples
    --------
    >>> show_height(1803.4), show_height(1803.4, "inch quarters")
    ('180.3 cm', '5 ft 11 in')
    """
    if system == "metric":
        return f"{mm / 10.0:.1f} cm"
    parts = _inch_parts(system)
    feet, rest = divmod(round(Fraction(mm) * parts / INCH_MM), 12 * parts)
    return f"{feet} ft {_mixed(rest, parts)} in"


def show_range(
    low_mm: float, high_mm: float, system: LengthSystem = "metric", *, step_mm: float = 1.0
) -> str:
    """A range of lengths, rounded outwards so that it never claims more than was measured.

    Parameters
    ----------
    low_mm, high_mm
        Ends of the range; ``low_mm <= high_mm``.
    system
        The studio's preference; inches go by its quarters or eighths.
    step_mm
        What millimetres are rounded to.

    Examples
    --------
    >>> show_range(411.2, 424.0, step_mm=5.0), show_range(411.2, 424.0, "inch quarters")
    ('410 to 425 mm', '16 to 16 3/4 in')
    """
    if low_mm > high_mm:
        msg = f"a range runs upwards, got {low_mm} to {high_mm}"
        raise ValueError(msg)
    step = step_mm if system == "metric" else float(INCH_MM) / _inch_parts(system)
    low, high = math.floor(low_mm / step + 1e-9), math.ceil(high_mm / step - 1e-9)
    if system == "metric":
        ends, unit = [f"{n * step:g}" for n in (low, high)], "mm"
    else:
        ends, unit = [_mixed(n, _inch_parts(system)) for n in (low, high)], "in"
    return f"{ends[0]} {unit}" if low == high else f"{ends[0]} to {ends[1]} {unit}"


def inch_64ths(mm: float) -> float:
    """A length in 64ths of an inch, the step grip workshops count in (0.396875 mm)."""
    return mm * 64.0 / float(INCH_MM)


def show_64ths(mm: float, *, signed: bool = False) -> str:
    """A grip diameter, or with `signed` a difference of two, in 64ths of an inch.

    Examples
    --------
    >>> show_64ths(22.86), show_64ths(0.79375, signed=True)
    ('57.6/64 in', '+2.0/64 in')
    """
    return f"{inch_64ths(mm):{'+' if signed else ''}.1f}/64 in"


def show_mass(kg: float, system: MassSystem = "kg") -> str:
    """A mass in the studio's preference, to 0.1 kg or the pound.

    Examples
    --------
    >>> show_mass(78.0), show_mass(78.0, "lb"), show_mass(78.0, "st lb")
    ('78.0 kg', '172 lb', '12 st 4 lb')
    """
    if system == "kg":
        return f"{kg:.1f} kg"
    pounds = round(Fraction(kg) / POUND_KG)
    if system == "lb":
        return f"{pounds} lb"
    return "{} st {} lb".format(*divmod(pounds, 14))


def show_angle(deg: float, *, decimals: int = 1, signed: bool = False) -> str:
    """An angle in degrees.

    Examples
    --------
    >>> show_angle(3.5), show_angle(3.5, signed=True)
    ('3.5°', '+3.5°')
    """
    return f"{deg:{'+' if signed else ''}.{decimals}f}°"
