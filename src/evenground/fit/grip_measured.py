"""Grips that the volume law says nothing about, by their width and depth as measured on a shaft.

A hand closes around an outline, so such a grip counts as the round grip of the same outline: that of an oval
of its width and depth.
"""

import math
from itertools import pairwise

from evenground.fit.clubs import Verdict, check_grip_width, profile_rise_mm
from evenground.fit.grip_constants import (
    GAP_SHORTEST_MM,
    MEASURED_SE_MM,
    OVAL_SE_SHARE,
    PROFILE_TOLERANCE_MM,
    RIB_MM,
    UPPER_SHORTEST_MM,
)
from evenground.stock import MeasuredSection, StockGrip
from evenground.visit import Family

__all__ = [
    "by_measure",
    "check_two_grips",
    "measured_across_mm",
    "measured_round_mm",
    "measured_verdicts",
    "same_outline_mm",
]


def by_measure(grip: StockGrip) -> bool:
    """Whether a grip keeps no volume law: foam, not round, or two grips on one shaft."""
    return grip.shape != "round" or grip.material == "foam" or grip.gap_mm is not None


def same_outline_mm(width_mm: float, depth_mm: float) -> float:
    """Diameter of the round grip with the outline of an oval of this width and depth.

    Source: Ramanujan 1914, Q J Math 45:350-372, second approximation to an ellipse's perimeter; off by less
    than 1e-6 of it for an oval twice as wide as deep.

    Examples
    --------
    >>> same_outline_mm(24.0, 24.0)
    24.0
    >>> same_outline_mm(30.0, 24.0)
    27.083
    """
    a, b = width_mm / 2.0, depth_mm / 2.0
    h = ((a - b) / (a + b)) ** 2
    return (a + b) * (1.0 + 3.0 * h / (10.0 + math.sqrt(4.0 - 3.0 * h)))


def measured_round_mm(grip: StockGrip, station_mm: float) -> tuple[float, float] | str:
    """Same-outline diameter at a station with its standard error, or why it is not known there."""
    across = measured_across_mm(grip, station_mm)
    if isinstance(across, str):
        return across
    size = same_outline_mm(*across)
    oval = OVAL_SE_SHARE.value * size if grip.shape != "round" else 0.0
    return size, math.hypot(MEASURED_SE_MM.value, oval)


def measured_across_mm(grip: StockGrip, station_mm: float) -> tuple[float, float] | str:
    """Width and depth at a station, on the line between its neighbours, or why they are not known there."""
    if grip.gap_mm is not None and grip.gap_mm[0] < station_mm < grip.gap_mm[1]:
        return "a hand sits on the bare shaft between its two grips"
    first, last = grip.measured[0].station_mm, grip.measured[-1].station_mm
    if not first <= station_mm <= last:
        return f"it was measured from {first:g} to {last:g} mm and a hand sits at {station_mm:g} mm"
    sections = _same_grip(grip, station_mm)
    above = max((s for s in sections if s.station_mm <= station_mm), key=lambda s: s.station_mm, default=None)
    below = min((s for s in sections if s.station_mm >= station_mm), key=lambda s: s.station_mm, default=None)
    above, below = above or below, below or above
    if above is None or below is None:
        return "its grip was not measured where a hand sits"
    gap = below.station_mm - above.station_mm
    part = 0.0 if gap == 0.0 else (station_mm - above.station_mm) / gap
    width = above.width_mm + part * (below.width_mm - above.width_mm)
    return width, above.depth_mm + part * (below.depth_mm - above.depth_mm)


def _same_grip(grip: StockGrip, station_mm: float) -> list[MeasuredSection]:
    """Sections of the grip that a station is on, where there are two."""
    if grip.gap_mm is None:
        return list(grip.measured)
    upper = station_mm <= grip.gap_mm[0]
    return [s for s in grip.measured if (s.station_mm <= grip.gap_mm[0]) == upper]


def check_two_grips(grip: StockGrip) -> Verdict:
    """Whether two grips on one putter are within the Rules.

    Each round, apart by at least 38.1 mm, the upper at least 127 mm long. Source: Equipment Rules 2-3c, with
    the lengths from an earlier edition of the bodies' guide.
    """
    start, end = grip.gap_mm or (0.0, 0.0)
    bad = []
    if end - start < GAP_SHORTEST_MM.value - 1e-9:
        bad.append(f"{end - start:.1f} mm apart, at least {GAP_SHORTEST_MM.value} mm")
    if start < UPPER_SHORTEST_MM.value - 1e-9:
        bad.append(f"the upper is {start:.1f} mm long, at least {UPPER_SHORTEST_MM.value} mm")
    if any(abs(s.width_mm - s.depth_mm) > RIB_MM.value for s in grip.measured):
        bad.append("each has to be round")
    said = "; ".join(bad) or "apart and long enough"
    return Verdict(rule="two grips", answer="does not conform" if bad else "conforms", text=said)


def measured_verdicts(grip: StockGrip, family: Family) -> tuple[Verdict, ...]:
    """A measured grip against the Rules: width, bulge or waist, and the shape that putters alone may have."""
    widest = max(max(s.width_mm, s.depth_mm) for s in grip.measured)
    verdicts = [check_grip_width(widest, se_mm=MEASURED_SE_MM.value), _check_profile(grip)]
    if grip.gap_mm is not None:
        verdicts.append(check_two_grips(grip))
    if family != "putter" and (grip.shape != "round" or grip.gap_mm is not None):
        text = "only a putter may have a grip that is not round, or two"
        verdicts.append(Verdict(rule="grip shape", answer="does not conform", text=text))
    elif grip.shape != "round":
        text = "symmetrical, without a hollow, alike throughout: look at it"
        verdicts.append(Verdict(rule="grip shape", answer="cannot certify", text=text))
    return tuple(verdicts)


def _check_profile(grip: StockGrip) -> Verdict:
    """No bulge or waist along one grip; a rise within twice the calliper's error cannot be certified."""
    rise = max(
        profile_rise_mm([getattr(s, name) for s in part])
        for part in _parts(grip)
        for name in ("width_mm", "depth_mm")
    )
    tolerance, room = PROFILE_TOLERANCE_MM.value, 2.0 * math.sqrt(2.0) * MEASURED_SE_MM.value
    if rise <= tolerance:
        return Verdict(rule="grip profile", answer="conforms", text="no bulge or waist")
    said = f"grows {rise:.2f} mm going down: a bulge or waist"
    if rise > tolerance + room:
        return Verdict(rule="grip profile", answer="does not conform", text=said)
    return Verdict(rule="grip profile", answer="cannot certify", text=said)


def _parts(grip: StockGrip) -> list[list[MeasuredSection]]:
    """Measured sections of each grip."""
    if grip.gap_mm is None:
        return [list(grip.measured)]
    cuts = [0, sum(s.station_mm <= grip.gap_mm[0] for s in grip.measured), len(grip.measured)]
    return [list(grip.measured[a:b]) for a, b in pairwise(cuts) if b > a]
