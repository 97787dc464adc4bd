"""Hip line against width as a drawing in paper millimetres: curve, band, trials, margin, chosen range."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from evenground.report.drawing import Anchor, Drawing, Mark, Point, disc, label, line, outline
from evenground.report.words import MINUS
from evenground.units import LengthSystem, show_length
from evenground.visit import HipLineTrial

__all__ = ["ChosenRange", "Screen", "curve_drawing"]

WIDE_MM = 150.0
HIGH_MM = 54.0
ROOM_DEG = 1.5
NEAR_MM = 5.5


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenRange:
    """A range that the card proposes for one family, between heel centres."""

    family: str
    low_mm: float
    high_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Screen:
    """The plot while readings come in: the width to set next, widths that are always in view, its height."""

    next_mm: float | None
    span_mm: tuple[float, float]
    tall_mm: float = HIGH_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """From widths and degrees to paper."""

    low_mm: float
    high_mm: float
    low_deg: float
    high_deg: float
    tall_mm: float = HIGH_MM

    def at(self, width_mm: float, deg: float) -> Point:
        deg = min(max(deg, self.low_deg), self.high_deg)
        across = (width_mm - self.low_mm) / (self.high_mm - self.low_mm)
        up = (deg - self.low_deg) / (self.high_deg - self.low_deg)
        return across * WIDE_MM, up * self.tall_mm


def curve_drawing(
    curve: Sequence[Any],
    trials: Sequence[HipLineTrial],
    *,
    margin_deg: float,
    chosen: Sequence[ChosenRange],
    system: LengthSystem,
    screen: Screen | None = None,
) -> Drawing:
    """The posterior curve with its 95 % band over the trials that it stands on.

    Parameters
    ----------
    curve
        Points with `width_mm`, `mean_deg`, `sd_deg`, ascending.
    trials
        The readings of this condition, drawn as marks with their numbers.
    margin_deg
        What counts as square, drawn as the band between two dashed lines.
    chosen
        Ranges of the card, drawn along the foot of the plot.
    system
        Units of the width axis.
    screen
        What only the screen shows while the readings come in; paper has None.
    """
    frame = _frame(curve, trials, margin_deg, screen)
    marks = [*_margin(frame, margin_deg)]
    if curve:
        marks += _band(frame, curve)
    marks += _axes(frame, system)
    if curve:
        marks.append(line(*(frame.at(p.width_mm, p.mean_deg) for p in curve), style="bold"))
    marks += _chosen(frame, chosen)
    marks += _trials(frame, trials)
    if screen is not None and screen.next_mm is not None:
        marks += _next(frame, screen.next_mm, system)
    return Drawing(
        left_mm=-14.0,
        right_mm=WIDE_MM + 22.0,
        bottom_mm=-7.0,
        top_mm=frame.tall_mm + 5.0,
        marks=tuple(marks),
    )


def _frame(
    curve: Sequence[Any], trials: Sequence[HipLineTrial], margin_deg: float, screen: Screen | None
) -> _Frame:
    """Axes that hold all trials and the margin; the band may leave them where nothing was tried."""
    widths = [p.width_mm for p in curve] + [t.width_mm for t in trials]
    if screen is not None:
        widths += [*screen.span_mm, *([] if screen.next_mm is None else [screen.next_mm])]
    read = [t.hip_line_deg for t in trials] + [p.mean_deg for p in curve] + [margin_deg, -margin_deg]
    return _Frame(
        low_mm=min(widths),
        high_mm=max(widths),
        low_deg=min(read) - ROOM_DEG,
        high_deg=max(read) + ROOM_DEG,
        tall_mm=HIGH_MM if screen is None else screen.tall_mm,
    )


def _next(frame: _Frame, next_mm: float, system: LengthSystem) -> list[Mark]:
    """The width to set next, through the whole plot."""
    (x, low), (_, high) = frame.at(next_mm, frame.low_deg), frame.at(next_mm, frame.high_deg)
    beside: Anchor = "right" if x < WIDE_MM * 0.7 else "left"
    return [
        line((x, low), (x, high), style="accent"),
        label((x, high - 2.0), f"next: {show_length(next_mm, system)}", beside, style="accent"),
    ]


def _margin(frame: _Frame, margin_deg: float) -> list[Mark]:
    low, high = frame.low_mm, frame.high_mm
    corners = [
        frame.at(low, -margin_deg),
        frame.at(high, -margin_deg),
        frame.at(high, margin_deg),
        frame.at(low, margin_deg),
    ]
    marks = [outline(corners, style="band")]
    marks += [
        line(frame.at(low, deg), frame.at(high, deg), style="dash") for deg in (-margin_deg, margin_deg)
    ]
    x, y = frame.at(high, 0.0)
    marks.append(label((x + 2.0, y), "square", "right", style="soft"))
    return marks


def _band(frame: _Frame, curve: Sequence[Any]) -> list[Mark]:
    upper = [frame.at(p.width_mm, p.mean_deg + 1.96 * p.sd_deg) for p in curve]
    lower = [frame.at(p.width_mm, p.mean_deg - 1.96 * p.sd_deg) for p in curve]
    return [
        outline([*upper, *reversed(lower)], style="hatch"),
        line(*upper, style="hair"),
        line(*lower, style="hair"),
    ]


def _axes(frame: _Frame, system: LengthSystem) -> list[Mark]:
    marks = [line((0.0, 0.0), (WIDE_MM, 0.0)), line((0.0, 0.0), (0.0, frame.tall_mm))]
    unit = 1.0 if system == "metric" else 25.4
    for width in _ticks(frame.low_mm / unit, frame.high_mm / unit, 5):
        x, _ = frame.at(width * unit, 0.0)
        marks.append(line((x, 0.0), (x, -1.2)))
        shown = f"{width:g}" if system == "metric" else show_length(width * unit, system).removesuffix(" in")
        marks.append(label((x, -1.6), shown, "below"))
    for deg in _ticks(frame.low_deg, frame.high_deg, 4):
        _, y = frame.at(frame.low_mm, deg)
        marks.append(line((0.0, y), (-1.2, y)))
        marks.append(label((-1.6, y), f"{MINUS if deg < 0 else ''}{abs(deg):g}°", "left"))
    marks.append(label((WIDE_MM + 2.0, 0.0), "mm" if system == "metric" else "in", "right", style="soft"))
    marks.append(label((1.5, frame.tall_mm + 2.0), "open", "right", style="soft"))
    return marks


def _ticks(low: float, high: float, count: int) -> list[float]:
    """Round numbers between two ends, about `count` of them."""
    raw = (high - low) / count
    size = 10.0 ** math.floor(math.log10(raw))
    step = next(s * size for s in (1.0, 2.0, 5.0, 10.0) if s * size >= raw)
    first = math.ceil(low / step - 1e-9)
    return [n * step for n in range(first, math.floor(high / step + 1e-9) + 1)]


def _chosen(frame: _Frame, chosen: Sequence[ChosenRange]) -> list[Mark]:
    """Each family's range along the foot of the plot, one above the other."""
    marks: list[Mark] = []
    for n, wanted in enumerate(chosen):
        left, _ = frame.at(wanted.low_mm, 0.0)
        right, _ = frame.at(wanted.high_mm, 0.0)
        y = 2.6 + 4.6 * n
        marks.append(line((left, y), (right, y), style="accent"))
        marks += [line((x, y - 1.1), (x, y + 1.1), style="accent") for x in (left, right)]
        marks.append(label((right + 1.2, y), wanted.family, "right"))
    return marks


def _trials(frame: _Frame, trials: Sequence[HipLineTrial]) -> list[Mark]:
    """Each reading as a dot; the numbers of those that lie together stand in one row above them."""
    marks: list[Mark] = []
    heaps: list[tuple[Point, list[int]]] = []
    for trial in sorted(trials, key=lambda t: -t.hip_line_deg):
        at = frame.at(trial.width_mm, trial.hip_line_deg)
        marks.append(disc(at, 0.0, style="hollow" if trial.confirms else "ink"))
        near = next(
            (h for h in heaps if abs(h[0][0] - at[0]) < NEAR_MM and abs(h[0][1] - at[1]) < NEAR_MM), None
        )
        if near is None:
            heaps.append((at, [trial.trial]))
        else:
            near[1].append(trial.trial)
    marks += [
        label((x, y + 1.0), ", ".join(str(n) for n in sorted(numbers)), "above") for (x, y), numbers in heaps
    ]
    return marks
