"""The grammar of typed sizes: a text to an exact amount in the stored unit, or why it cannot be read.

A text is one or two amounts with their units, or one bare number where the field has a unit of its own::

    text    := [sign] part [part] | [sign] number
    part    := number unit                   5 ft 11 in    12 st 4 lb    1 m 80 cm    30½ in
    number  := whole | whole fraction | fraction | decimal
    whole fraction := 30 1/2  30-1/2  30½    decimal := 1.80  1,80

`units.py` is the door: it names the field, the forms allowed and the range.
"""

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Literal

__all__ = ["INCH_MM", "LONGEST_TEXT", "POUND_KG", "UNITS", "CannotReadError", "Kind", "read"]

Kind = Literal["length", "mass", "angle"]

LONGEST_TEXT = 40
LONGEST_NUMBER = 9


@dataclass(frozen=True, slots=True)
class _Unit:
    """A unit's size in its kind's stored unit, and the unit that may follow it (`12 st` then `lb`)."""

    kind: Kind
    system: str
    size: Fraction
    then: str = ""


# Exact by definition: the international yard and pound, National Bureau of Standards, Federal Register
# 24 FR 5348 (1 July 1959): 1 yd = 0.9144 m and 1 lb = 0.453 592 37 kg.
INCH_MM = Fraction(254, 10)
POUND_KG = Fraction(45359237, 100_000_000)

UNITS = {
    "mm": _Unit("length", "metric", Fraction(1)),
    "cm": _Unit("length", "metric", Fraction(10), then="mm"),
    "m": _Unit("length", "metric", Fraction(1000), then="cm"),
    "in": _Unit("length", "imperial", INCH_MM),
    "ft": _Unit("length", "imperial", 12 * INCH_MM, then="in"),
    "yd": _Unit("length", "imperial", 36 * INCH_MM, then="ft"),
    "g": _Unit("mass", "metric", Fraction(1, 1000)),
    "kg": _Unit("mass", "metric", Fraction(1), then="g"),
    "oz": _Unit("mass", "imperial", POUND_KG / 16),
    "lb": _Unit("mass", "imperial", POUND_KG, then="oz"),
    "st": _Unit("mass", "imperial", 14 * POUND_KG, then="lb"),
    "deg": _Unit("angle", "", Fraction(1)),
}

_SPELLINGS = {
    **{name: name for name in UNITS},
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


class CannotReadError(Exception):
    """Why a text cannot be read; turned into the public error of its kind at the door."""


def read(text: str, kind: Kind, default_unit: str | None, *, signed: bool) -> Fraction:
    """The exact value in the stored unit of `kind`."""
    if len(text) > LONGEST_TEXT:
        msg = f"it is longer than {LONGEST_TEXT} characters"
        raise CannotReadError(msg)
    plain = _normal(text)
    if not plain:
        msg = "it is empty"
        raise CannotReadError(msg)
    sign = 1
    if plain[0] in "+-":
        if not signed:
            msg = "a sign has no place here"
            raise CannotReadError(msg)
        sign, plain = (-1 if plain[0] == "-" else 1), plain[1:].lstrip()
    if bare := _BARE.fullmatch(plain):
        if default_unit is None:
            msg = "it has no unit"
            raise CannotReadError(msg)
        return sign * _number(bare[1]) * UNITS[default_unit].size
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
            raise CannotReadError(_stuck(plain[at:].strip(), after=parts))
        name = _SPELLINGS.get(found[2])
        if name is None or UNITS[name].kind != kind:
            msg = f"{found[2]} is not a unit of {kind}"
            raise CannotReadError(msg)
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
        raise CannotReadError(msg)
    if "/" in text:
        return _with_fraction([int(d) for d in digits])
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", text):
        msg = "the comma could mark thousands or a decimal"
        raise CannotReadError(msg)
    return Fraction(text.replace(",", "."))


def _with_fraction(numbers: list[int]) -> Fraction:
    *whole, over, under = numbers
    if under == 0:
        msg = "its fraction has a zero below the line"
        raise CannotReadError(msg)
    if over >= under:
        msg = f"{over}/{under} is not less than one (a space may be missing)"
        raise CannotReadError(msg)
    return sum(whole) + Fraction(over, under)


def _sum(parts: list[tuple[Fraction, str]]) -> Fraction:
    """Add amounts that step down one unit at a time, each less than one of the unit before it."""
    for (amount, unit), (smaller, then) in pairwise(parts):
        if UNITS[unit].system != UNITS[then].system:
            msg = f"{unit} and {then} belong to two systems"
            raise CannotReadError(msg)
        if UNITS[unit].then != then:
            msg = f"{then} cannot follow {unit}"
            raise CannotReadError(msg)
        if amount.denominator != 1:
            msg = f"the {unit} are not a whole number, although {then} follow"
            raise CannotReadError(msg)
        if smaller * UNITS[then].size >= UNITS[unit].size:
            msg = f"{float(smaller):g} {then} are one {unit} or more"
            raise CannotReadError(msg)
    return sum((amount * UNITS[unit].size for amount, unit in parts), Fraction(0))
