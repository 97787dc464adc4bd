"""Lengths, masses and angles as people write them, read exactly and shown in the studio's preference.

The grammar is small on purpose. A text is one or two amounts with their units, or one bare number where the
field has a unit of its own::

    text    := [sign] part [part] | [sign] number
    part    := number unit                   5 ft 11 in    12 st 4 lb    1 m 80 cm    30½ in
    number  := whole | whole fraction | fraction | decimal
    whole fraction := 30 1/2  30-1/2  30½    decimal := 1.80  1,80

What two people could read in two ways is refused, never guessed: ``5 ft 11`` (eleven what?), ``1,800 mm`` (a
thousand or a fraction?), ``61/2 in`` (six and a half, or thirty and a half?), ``5 ft 30 cm``.
"""

import math
import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from evenground.errors import CaptureError

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

Kind = Literal["length", "mass", "angle"]

LONGEST_TEXT = 40
LONGEST_NUMBER = 9


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


@dataclass(frozen=True, slots=True)
class _Unit:
    """A unit's size in its kind's stored unit, and the unit that may follow it (`12 st` then `lb`)."""

    kind: Kind
    system: str
    size: Fraction
    then: str = ""


# Exact by definition: the international yard and pound, National Bureau of Standards, Federal Register
# 24 FR 5348 (1 July 1959): 1 yd = 0.9144 m and 1 lb = 0.453 592 37 kg.
_INCH_MM = Fraction(254, 10)
_POUND_KG = Fraction(45359237, 100_000_000)

_UNITS = {
    "mm": _Unit("length", "metric", Fraction(1)),
    "cm": _Unit("length", "metric", Fraction(10), then="mm"),
    "m": _Unit("length", "metric", Fraction(1000), then="cm"),
    "in": _Unit("length", "imperial", _INCH_MM),
    "ft": _Unit("length", "imperial", 12 * _INCH_MM, then="in"),
    "yd": _Unit("length", "imperial", 36 * _INCH_MM, then="ft"),
    "g": _Unit("mass", "metric", Fraction(1, 1000)),
    "kg": _Unit("mass", "metric", Fraction(1), then="g"),
    "oz": _Unit("mass", "imperial", _POUND_KG / 16),
    "lb": _Unit("mass", "imperial", _POUND_KG, then="oz"),
    "st": _Unit("mass", "imperial", 14 * _POUND_KG, then="lb"),
    "deg": _Unit("angle", "", Fraction(1)),
}

_SPELLINGS = {
    **{name: name for name in _UNITS},
    **dict.fromkeys(("'", "foot", "feet"), "ft"),
    **dict.fromkeys(('"', "inch", "inches", "ins"), "in"),
    **dict.fromkeys(("yard", "yards", "yds"), "yd"),
    **dict.fromkeys(("metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("kilo", "kilos", "kgs", "kilogram", "kilograms"), "kg"),
    **dict.fromkeys(("gram", "grams"), "g"),
    **dict.fromkeys(("lbs", "pound", "pounds"), "lb"),
    **dict.fromkeys(("ounce", "ounces"), "oz"),
    **dict.fromkeys(("stone", "stones"), "st"),
    **dict.fromkeys(("°", "degree", "degrees"), "deg"),
}

_NUMBER = r"(?:[0-9]+(?:\ |\ ?-\ ?)[0-9]+\ ?/\ ?[0-9]+|[0-9]+\ ?/\ ?[0-9]+|[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)"
_PART = re.compile(rf"\ ?({_NUMBER})\ ?([a-z]+|['\"°])\.?")
_BARE = re.compile(rf"\ ?({_NUMBER})")
_USUAL = {
    **dict.fromkeys("\u2032\u2018\u2019`", "'"),
    **dict.fromkeys("\u2033\u201c\u201d", '"'),
    **dict.fromkeys("\u2212\u2010\u2011\u2013", "-"),
    "\u2044": "/",
    "º": "°",  # the ordinal sign, which many keyboards offer for a degree
}
_VULGAR = {
    c: unicodedata.normalize("NFKC", c).replace("\u2044", "/")
    for c in "\u00bc\u00bd\u00be\u2153\u2154\u215b\u215c\u215d\u215e"  # quarters, thirds and eighths
}
_ERRORS: dict[str, type[UnreadableSizeError]] = {
    "length": UnreadableLengthError,
    "mass": UnreadableMassError,
    "angle": UnreadableAngleError,
}


class _CannotReadError(Exception):
    """Why a text cannot be read; turned into the public error of its kind at the door."""


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
    if default_unit is not None and (default_unit not in _UNITS or _UNITS[default_unit].kind != kind):
        msg = f"{default_unit} is not a unit of {kind}"
        raise ValueError(msg)
    try:
        value = float(_read(text, kind, default_unit, signed=signed))
    except _CannotReadError as exc:
        raise _ERRORS[kind](text, field, _printable(str(exc))) from None
    low, high = bounds
    if (low is not None and value < low) or (high is not None and value > high):
        raise ImplausibleSizeError(text, field, f"{value:g} {unit}", _allowed(low, high, unit))
    return value


def _allowed(low: float | None, high: float | None, unit: str) -> str:
    if low is None:
        return f"at most {high:g} {unit}"
    return f"at least {low:g} {unit}" if high is None else f"{low:g} to {high:g} {unit}"


def _read(text: str, kind: Kind, default_unit: str | None, *, signed: bool) -> Fraction:
    """The exact value in the stored unit of `kind`."""
    if len(text) > LONGEST_TEXT:
        msg = f"it is longer than {LONGEST_TEXT} characters"
        raise _CannotReadError(msg)
    plain = _normal(text)
    if not plain:
        msg = "it is empty"
        raise _CannotReadError(msg)
    sign = 1
    if plain[0] in "+-":
        if not signed:
            msg = "a sign has no place here"
            raise _CannotReadError(msg)
        sign, plain = (-1 if plain[0] == "-" else 1), plain[1:].lstrip()
    if bare := _BARE.fullmatch(plain):
        if default_unit is None:
            msg = "it has no unit"
            raise _CannotReadError(msg)
        return sign * _number(bare[1]) * _UNITS[default_unit].size
    return sign * _sum(_parts(plain, kind))


def _normal(text: str) -> str:
    """Lower case, one kind of quote, minus and space, vulgar fractions written out; nothing else is folded.

    Unicode's own compatibility folding would turn 30½ into 301/2 and 5² into 52.
    """
    plain = "".join(_USUAL.get(c, c) if c not in _VULGAR else f" {_VULGAR[c]} " for c in text.lower())
    return " ".join(plain.replace("''", '"').split())


def _parts(plain: str, kind: Kind) -> list[tuple[Fraction, str]]:
    """Cut a text into amounts with their units, or say where it stops making sense."""
    parts: list[tuple[Fraction, str]] = []
    at = 0
    while at < len(plain):
        found = _PART.match(plain, at)
        if found is None:
            raise _CannotReadError(_stuck(plain[at:].strip(), after=parts))
        name = _SPELLINGS.get(found[2])
        if name is None or _UNITS[name].kind != kind:
            msg = f"{found[2]} is not a unit of {kind}"
            raise _CannotReadError(msg)
        parts.append((_number(found[1]), name))
        at = found.end()
    return parts


def _stuck(rest: str, after: list[tuple[Fraction, str]]) -> str:
    if after and _BARE.fullmatch(rest):
        return f"the {rest} at the end has no unit"
    if re.match(r"\ ?[0-9]+[.,][0-9]+[.,]", rest):
        return "it has more than one decimal sign"
    return f"{rest} is not a number with a unit"


def _number(text: str) -> Fraction:
    digits = re.findall(r"[0-9]+", text)
    if max(map(len, digits)) > LONGEST_NUMBER:
        msg = f"it has more than {LONGEST_NUMBER} digits in a row"
        raise _CannotReadError(msg)
    if "/" in text:
        return _with_fraction([int(d) for d in digits])
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", text):
        msg = "the comma could mark thousands or a decimal"
        raise _CannotReadError(msg)
    return Fraction(text.replace(",", "."))


def _with_fraction(numbers: list[int]) -> Fraction:
    *whole, over, under = numbers
    if under == 0:
        msg = "its fraction has a zero below the line"
        raise _CannotReadError(msg)
    if over >= under:
        msg = f"{over}/{under} is not less than one (a space may be missing)"
        raise _CannotReadError(msg)
    return sum(whole) + Fraction(over, under)


def _sum(parts: list[tuple[Fraction, str]]) -> Fraction:
    """Add amounts that step down one unit at a time, each less than one of the unit before it."""
    for (amount, unit), (smaller, then) in pairwise(parts):
        if _UNITS[unit].system != _UNITS[then].system:
            msg = f"{unit} and {then} belong to two systems"
            raise _CannotReadError(msg)
        if _UNITS[unit].then != then:
            msg = f"{then} cannot follow {unit}"
            raise _CannotReadError(msg)
        if amount.denominator != 1:
            msg = f"the {unit} are not a whole number, although {then} follow"
            raise _CannotReadError(msg)
        if smaller * _UNITS[then].size >= _UNITS[unit].size:
            msg = f"{float(smaller):g} {then} are one {unit} or more"
            raise _CannotReadError(msg)
    return sum((amount * _UNITS[unit].size for amount, unit in parts), Fraction(0))


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
    return f"{_mixed(round(Fraction(mm) * parts / _INCH_MM), parts)} in"


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
    feet, rest = divmod(round(Fraction(mm) * parts / _INCH_MM), 12 * parts)
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
    step = step_mm if system == "metric" else float(_INCH_MM) / _inch_parts(system)
    low, high = math.floor(low_mm / step + 1e-9), math.ceil(high_mm / step - 1e-9)
    if system == "metric":
        ends, unit = [f"{n * step:g}" for n in (low, high)], "mm"
    else:
        ends, unit = [_mixed(n, _inch_parts(system)) for n in (low, high)], "in"
    return f"{ends[0]} {unit}" if low == high else f"{ends[0]} to {ends[1]} {unit}"


def inch_64ths(mm: float) -> float:
    """A length in 64ths of an inch, the step grip workshops count in (0.396875 mm)."""
    return mm * 64.0 / float(_INCH_MM)


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
    pounds = round(Fraction(kg) / _POUND_KG)
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
