"""The size that a shoe says, as the length of the foot in it, with the error that shoe sizes have.

Sizes count the *last* that the shoe was built on, which is longer than the foot; converters that put the
foot's length into them are two sizes off. Shoes of one size differ by a whole size between makers: measure
the foot on a sheet of paper whenever its length matters.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, get_args

from evenground.errors import MeasureError
from evenground.estimate import Estimate
from evenground.sourced import Sourced

__all__ = [
    "LAST_LONGER",
    "ShoeSize",
    "ShoeSystem",
    "UnreadableShoeSizeError",
    "checked_shoe_size",
    "foot_length",
    "shoe_size",
    "size_for",
]

ShoeSystem = Literal["EU", "UK", "US men", "US women", "mm"]
"""How shoes are counted; ``mm`` is the Mondopoint length, the foot's own."""

LAST_LONGER = Sourced(15.0, "mm", "common practice, no source: the last is 13 to 15 mm longer than the foot")
EU_STEP = Sourced(20.0 / 3.0, "mm", "Paris point, two thirds of a centimetre, counted on the last: ISO 19407")
BARLEYCORN = Sourced(
    25.4 / 3.0, "mm", "a third of an inch, counted on the last; public explainer, second-hand"
)
UK_FROM = Sourced(25.0, "sizes", "UK = 3 last_in - 25; public explainer, second-hand")
US_MEN_FROM = Sourced(24.0, "sizes", "US men = 3 last_in - 24; public explainer, second-hand")
US_WOMEN_FROM = Sourced(22.5, "sizes", "US women = 3 last_in - 22.5; other makers count men + 1; second-hand")
MONDOPOINT_STEP = Sourced(5.0, "mm", "usual step of Mondopoint sizes, ISO 9407")
SHORTEST_FOOT = Sourced(100.0, "mm", "ours: shorter than any player's foot")
LONGEST_FOOT = Sourced(380.0, "mm", "ours: longer than any player's foot")

_FROM = {"UK": UK_FROM, "US men": US_MEN_FROM, "US women": US_WOMEN_FROM}
_NUMBER = r"(\d{1,3}(?:[.,]\d{1,2})?)(?: (1/2|1/3|2/3))?"
_BEFORE = re.compile(rf"(eu|uk|us men|us women|us m|us w|mondopoint)\.? ?{_NUMBER}(?: ?mm)?")
_MM = re.compile(rf"{_NUMBER} ?mm")
_SYSTEMS: dict[str, ShoeSystem] = {
    "eu": "EU",
    "uk": "UK",
    "us men": "US men",
    "us m": "US men",
    "us women": "US women",
    "us w": "US women",
    "mondopoint": "mm",
}


class UnreadableShoeSizeError(MeasureError):
    """A shoe size that is not one: no system, or a number that no foot has."""

    do = "Write it with its system: EU 42, UK 8 1/2, US men 9, US women 7.5 or 265 mm."

    def __init__(self, text: str, why: str) -> None:
        super().__init__(text, why)
        self.where = "shoe size"
        self.what = f'"{text[:40]}" {why}.'


@dataclass(frozen=True, slots=True, kw_only=True)
class ShoeSize:
    """A size and the system that it is counted in."""

    system: ShoeSystem
    size: float


def shoe_size(text: str) -> ShoeSize:
    """Read a shoe size.

    Raises
    ------
    UnreadableShoeSizeError
        Without a system (a bare 9 is three different shoes), or for a foot that nobody has.

    Examples
    --------
    >>> shoe_size("EU 42"), shoe_size("UK 8 1/2").size, shoe_size("265 mm").system
    (ShoeSize(system='EU', size=42.0), 8.5, 'mm')
    """
    plain = " ".join(text.replace("½", " 1/2").lower().split())
    found = _BEFORE.fullmatch(plain)
    if found is not None:
        size = ShoeSize(system=_SYSTEMS[found[1]], size=_number(found[2], found[3]))
    elif (bare := _MM.fullmatch(plain)) is not None:
        size = ShoeSize(system="mm", size=_number(bare[1], bare[2]))
    else:
        systems = ", ".join(get_args(ShoeSystem))
        raise UnreadableShoeSizeError(text, f"is no size with one of the systems {systems}")
    foot = _foot_mm(size)
    if not SHORTEST_FOOT.value <= foot <= LONGEST_FOOT.value:
        raise UnreadableShoeSizeError(text, f"would be for a foot of {foot:.0f} mm")
    return size


def _number(whole: str, part: str | None) -> float:
    return float(Fraction(whole.replace(",", ".")) + (Fraction(part) if part else 0))


def checked_shoe_size(text: str) -> str:
    """The text itself when it can be read as a shoe size.

    Raises
    ------
    ValueError
        With the sentence for the person who typed it.
    """
    try:
        shoe_size(text)
    except UnreadableShoeSizeError as exc:
        msg = f"{exc.what.removesuffix('.')}; {exc.do}"
        raise ValueError(msg) from exc
    return text


def _step_mm(system: ShoeSystem) -> float:
    if system == "mm":
        return MONDOPOINT_STEP.value
    return EU_STEP.value if system == "EU" else BARLEYCORN.value


def _foot_mm(size: ShoeSize) -> float:
    if size.system == "mm":
        return size.size
    sizes = size.size if size.system == "EU" else size.size + _FROM[size.system].value
    return sizes * _step_mm(size.system) - LAST_LONGER.value


def foot_length(size: ShoeSize) -> Estimate:
    """Length of the foot that a shoe of this size is made for; its standard error is a whole size.

    Source: ISO 19407 (EU interval), ISO 9407 (Mondopoint), a public explainer second-hand (UK, US); check
    values 4.5. No scatter of real shoes was found published: a whole size is ours.

    Examples
    --------
    >>> foot_length(shoe_size("EU 42"))
    Estimate(value=265.0, se=6.667, dof=inf, n=1, unit='mm')
    """
    return Estimate(value=_foot_mm(size), se=_step_mm(size.system), unit="mm")


def size_for(foot_mm: float, system: ShoeSystem) -> float:
    """The size, not rounded, of the shoe that a foot would be sold.

    Examples
    --------
    >>> size_for(265.0, "EU"), size_for(265.0, "UK"), size_for(265.0, "US men")
    (42.0, 8.071, 9.071)
    """
    if system == "mm":
        return foot_mm
    sizes = (foot_mm + LAST_LONGER.value) / _step_mm(system)
    return sizes if system == "EU" else sizes - _FROM[system].value
