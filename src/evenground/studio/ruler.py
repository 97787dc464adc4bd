"""The ruler along the bottom of a visit: a hatched band for each family, narrowing as evidence comes in."""

import math
from dataclasses import dataclass

from evenground.findings import Findings
from evenground.report.read import setup_of, stance_of
from evenground.report.words import width_range
from evenground.units import LengthSystem, show_length
from evenground.visit import FAMILIES, Family

__all__ = ["Band", "Ruler", "Tick", "ruler"]

LOW_MM, HIGH_MM = 200.0, 640.0
"""What the ruler shows at least (ours): the windows of a middle stature."""
STEP_MM = {"metric": 10.0, "inch quarters": 12.7, "inch eighths": 12.7}
LONG_EVERY = {"metric": 5, "inch quarters": 4, "inch eighths": 4}


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A line of the ruler at a share of its length; `text` stands under the long ones."""

    at: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """One family's row: from and to as shares of the ruler, the answer word, and the range in words.

    `firm` is drawn with a heavier outline: a width the card proposes. Otherwise the band is what is still
    possible. `left` and `right` are None where nothing is known yet.
    """

    family: Family
    left: float | None
    right: float | None
    firm: bool
    answer: str
    says: str
    top: int = 0

    @property
    def wide(self) -> float:
        """How much of the ruler the band covers, in per cent."""
        return 0.0 if self.left is None or self.right is None else round(self.right - self.left, 2)

    @property
    def foot(self) -> int:
        """Where the band's words stand, in pixels from the top."""
        return self.top + 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruler:
    """Ticks and bands; all places in per cent of the ruler's length, heel centre to heel centre."""

    ticks: tuple[Tick, ...]
    bands: tuple[Band, ...]
    unit: str


@dataclass(frozen=True, slots=True)
class _Span:
    low_mm: float
    high_mm: float

    def at(self, mm: float) -> float:
        share = (mm - self.low_mm) / (self.high_mm - self.low_mm)
        return round(100.0 * min(1.0, max(0.0, share)), 2)


def ruler(findings: Findings | None, system: LengthSystem) -> Ruler:
    """The ruler as the findings have it; without any, an empty one.

    Parameters
    ----------
    findings
        Of the visit, None before there are any.
    system
        How the studio likes its lengths.
    """
    found = [(family, *_range(findings, family)) for family in FAMILIES]
    ends = [mm for _, low, high, *_ in found for mm in (low, high) if mm is not None]
    span = _Span(min([LOW_MM, *ends]), max([HIGH_MM, *ends]))
    bands = tuple(
        Band(
            family=family,
            left=None if low is None else span.at(low),
            right=None if high is None else span.at(high),
            firm=firm,
            answer=answer,
            says=says,
            top=5 + 20 * FAMILIES.index(family),
        )
        for family, low, high, firm, answer, says in (_told(f, findings, system) for f in FAMILIES)
    )
    return Ruler(ticks=_ticks(span, system), bands=bands, unit="mm" if system == "metric" else "in")


def _range(findings: Findings | None, family: Family) -> tuple[float | None, float | None]:
    """Ends of the family's band: the range proposed, else the window that is still open."""
    setup = None if findings is None else setup_of(findings, family)
    if setup is not None and setup.width_heel_range_mm is not None:
        return setup.width_heel_range_mm.low, setup.width_heel_range_mm.high
    fit = None if findings is None else stance_of(findings)
    if fit is None:
        return None, None
    window = fit.families[family].window_mm
    return window.low_mm, window.high_mm


def _told(
    family: Family, findings: Findings | None, system: LengthSystem
) -> tuple[Family, float | None, float | None, bool, str, str]:
    low, high = _range(findings, family)
    setup = None if findings is None else setup_of(findings, family)
    if setup is None or low is None:
        return family, None, None, False, "not measured yet", "not measured yet"
    wide = setup.width_heel_range_mm
    if wide is None:
        return family, low, high, False, setup.answer, f"{setup.answer}: no width stands out yet"
    return family, low, high, True, setup.answer, f"{setup.answer}: {width_range(wide, system)}"


def _ticks(span: _Span, system: LengthSystem) -> tuple[Tick, ...]:
    step, every = STEP_MM[system], LONG_EVERY[system]
    first, last = math.ceil(span.low_mm / step - 1e-9), math.floor(span.high_mm / step + 1e-9)
    return tuple(
        Tick(at=span.at(n * step), text=_mark(n * step, system) if n % every == 0 else "")
        for n in range(first, last + 1)
    )


def _mark(mm: float, system: LengthSystem) -> str:
    return f"{mm:.0f}" if system == "metric" else show_length(mm, system).removesuffix(" in")
