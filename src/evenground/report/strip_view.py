"""The width strip: marks for the inside edges at true scale, from a centre line out over jointed sheets."""

import math
from dataclasses import dataclass
from datetime import timedelta

from evenground.errors import ReportError
from evenground.findings import FamilySetup, Findings, Range
from evenground.floor import lead_side
from evenground.report.drawing import Drawing, Mark, Point, label, line, outline
from evenground.report.read import setup_of
from evenground.report.words import day_text, width_range
from evenground.sourced import Sourced
from evenground.visit import FAMILIES, Family, StudioSettings, Visit

__all__ = ["CHECK_BARS_MM", "CheckBarError", "StripSheet", "StripView", "strip_view"]

CHECK_BARS_MM = (("100 mm", 100.0), ("4 in", 101.6))

# Width of a sheet of paper turned on its side, less 14 mm that a printer may not reach at each end.
REACH_MM = {
    "a4": Sourced(297.0 - 28.0, "mm", "ISO 216, A4 is 297 mm long; margins ours"),
    "us-letter": Sourced(279.4 - 28.0, "mm", "ANSI/ASME Y14.1, A is 11 in long; margins ours"),
}
BEYOND_MM = 30.0
ROW_MM = 34.0
ROW_TOP_MM = 112.0
TALL_MM = 116.0
SCALE_LIMITS = (90.0, 110.0)
LETTERS = "ABCDEFGH"

GROUND_RULE = (
    "For practice and for setting marks at home. Nothing may lie on the ground to help the stance or the aim "
    "during a stroke (Rules of Golf, Rule 10.2b): take the strip up before you play."
)


class CheckBarError(ReportError):
    """A check bar so far off that it was not the 100 mm bar that was measured."""

    do = "Print again at 100 % (no fit to page) and measure the bar marked 100 mm."

    def __init__(self, measured_mm: float) -> None:
        super().__init__(measured_mm)
        low, high = SCALE_LIMITS
        self.where = "check bar"
        self.what = f"{measured_mm:g} mm was measured for the 100 mm bar; {low:g} to {high:g} mm is possible."


@dataclass(frozen=True, slots=True, kw_only=True)
class StripSheet:
    """One sheet: its number from the left, what to do with it, its marks in millimetres of paper."""

    number: str
    join: str
    drawing: Drawing


@dataclass(frozen=True, slots=True, kw_only=True)
class StripView:
    """All sheets of a strip from left to right, the same words on each."""

    paper: str
    name: str
    dates: str
    shoes: str
    convention: str
    scale_note: str
    sheets: tuple[StripSheet, ...]
    rows: tuple[str, ...]
    ground_rule: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    family: Family
    shown: Range | None
    inside: bool
    title: str
    answer: str


def strip_view(
    visit: Visit, studio: StudioSettings, findings: Findings, *, check_bar_mm: float | None = None
) -> StripView:
    """Lay a visit's stance widths out at true scale.

    Parameters
    ----------
    visit
        Whose strip it is; the lead side is marked.
    studio
        Paper and units.
    findings
        Where the widths come from; a family without one has an empty row that says so.
    check_bar_mm
        What a ruler says of the 100 mm bar of a first print; all lengths along the strip are then corrected
        for the printer.

    Raises
    ------
    CheckBarError
        If that measure cannot be the 100 mm bar's.
    """
    scale = _printer_scale(check_bar_mm)
    rows = [_row(family, setup_of(findings, family), studio) for family in FAMILIES]
    inside = any(row.inside for row in rows if row.shown is not None)
    shoes = visit.shoes.name if visit.shoes is not None else "shoes not recorded"
    heels = "heel centres" if not inside else f"inside edges of {shoes} at the heels"
    until = visit.day + timedelta(weeks=studio.valid_weeks)
    reach = REACH_MM[studio.paper].value
    spans = _spans(rows, reach / scale)
    return StripView(
        paper=studio.paper,
        name=visit.player.name,
        dates=f"{day_text(visit.day)}, valid until {day_text(until)}",
        shoes=f"{visit.player.handed}-handed, {shoes}",
        convention=f"Marks: {heels}.",
        scale_note=_scale_note(check_bar_mm),
        sheets=tuple(_sheet(n, spans, rows, visit, scale) for n in range(len(spans))),
        rows=tuple(f"{row.title} {row.answer}" for row in rows),
        ground_rule=GROUND_RULE,
    )


def _printer_scale(check_bar_mm: float | None) -> float:
    if check_bar_mm is None:
        return 1.0
    low, high = SCALE_LIMITS
    if not low <= check_bar_mm <= high:
        raise CheckBarError(check_bar_mm)
    return 100.0 / check_bar_mm


def _scale_note(check_bar_mm: float | None) -> str:
    if check_bar_mm is None:
        return "Print at 100 % and measure the check bar; if it is off, print again with its measured length."
    return (
        f"Corrected for a printer whose 100 mm bar measured {check_bar_mm:g} mm; measure the bar once more."
    )


def _row(family: Family, setup: FamilySetup | None, studio: StudioSettings) -> _Row:
    name = family.capitalize()
    shown = None if setup is None else setup.width_inside_mm or setup.width_heel_range_mm
    if setup is None or shown is None:
        answer = "not measured" if setup is None else setup.answer
        return _Row(
            family=family, shown=None, inside=True, title=f"{name}: no width is proposed,", answer=answer
        )
    inside = setup.width_inside_mm is not None
    between = "" if inside else " between heel centres"
    return _Row(
        family=family,
        shown=shown,
        inside=inside,
        title=f"{name}: {width_range(shown, studio.units)}{between},",
        answer=setup.answer,
    )


def _spans(rows: list[_Row], reach_mm: float) -> list[tuple[float, float]]:
    """Left and right end of each sheet along the strip: a middle one and as many to each side as it takes."""
    widest = max((row.shown.high / 2.0 for row in rows if row.shown is not None), default=0.0) + BEYOND_MM
    half = reach_mm / 2.0
    each_side = max(0, math.ceil((widest - half) / reach_mm - 1e-9))
    middles = (n * reach_mm for n in range(-each_side, each_side + 1))
    return [(middle - half, middle + half) for middle in middles]


def _sheet(
    n: int, spans: list[tuple[float, float]], rows: list[_Row], visit: Visit, scale: float
) -> StripSheet:
    """One sheet's marks, from its own left end; along the strip everything is times the printer's scale."""
    low, high = spans[n]
    marks: list[Mark] = []
    for place, row in enumerate(rows):
        marks += _row_marks(row, place, low, high, visit)
    marks += _joints(n, spans)
    if low < 0.0 < high:
        marks.append(line((0.0, 0.0), (0.0, TALL_MM), style="bold"))
        marks.append(label((2.0, 4.0), "centre", "right", style="soft"))
    marks += _check_bars(low)
    drawn = tuple(_scaled(mark, low, scale) for mark in marks)
    joined = [f"{LETTERS[n - 1]} on the left"] if n > 0 else []
    joined += [f"{LETTERS[n]} on the right"] if n + 1 < len(spans) else []
    join = "" if not joined else f"Trim at the dashed line and join {' and '.join(joined)}."
    return StripSheet(
        number=f"sheet {n + 1} of {len(spans)}",
        join=join,
        drawing=Drawing(
            left_mm=0.0, right_mm=(high - low) * scale, bottom_mm=-20.0, top_mm=TALL_MM, marks=drawn
        ),
    )


def _scaled(mark: Mark, low_mm: float, scale: float) -> Mark:
    points = tuple(((x - low_mm) * scale, y) for x, y in mark.points_mm)
    return Mark(
        kind=mark.kind,
        points_mm=points,
        style=mark.style,
        radius_mm=mark.radius_mm,
        text=mark.text,
        anchor=mark.anchor,
    )


def _row_marks(row: _Row, place: int, low: float, high: float, visit: Visit) -> list[Mark]:
    """Both marks of one family as far as they lie on this sheet, and its name beside the centre line."""
    top = ROW_TOP_MM - place * ROW_MM
    bottom = top - ROW_MM + 8.0
    marks: list[Mark] = [line((low, bottom - 4.0), (high, bottom - 4.0), style="hair")]
    if low < 0.0 < high:
        marks.append(label((3.0, top - 4.0), row.title, "right"))
        marks.append(label((3.0, top - 9.5), row.answer, "right", style="accent"))
    if row.shown is None:
        return marks
    lead = lead_side(visit.player.handed)
    for side, sign in (("left", -1.0), ("right", 1.0)):
        ends = sorted((sign * row.shown.low / 2.0, sign * row.shown.high / 2.0))
        near, far = max(ends[0], low), min(ends[1], high)
        if near < far:
            corners = ((near, bottom), (far, bottom), (far, top), (near, top))
            marks.append(outline(corners, style="hatch"))
        marks += [line((end, bottom), (end, top)) for end in ends if low <= end <= high]
        foot = "lead" if side == lead else "trail"
        marks += _edge_label(f"{row.family}, {foot} foot", ends, (low, high), (bottom + top) / 2.0)
    return marks


def _edge_label(text: str, ends: list[float], sheet: tuple[float, float], y: float) -> list[Mark]:
    """The name beside a mark, on the outer side where there is room on this sheet."""
    low, high = sheet
    middle = (ends[0] + ends[1]) / 2.0
    if not low <= middle <= high:
        return []
    outwards_right = middle > 0.0
    room = (high - ends[1]) if outwards_right else (ends[0] - low)
    to_right = outwards_right if room > 34.0 else not outwards_right
    at: Point = (ends[1] + 2.0, y - 6.0) if to_right else (ends[0] - 2.0, y - 6.0)
    return [label(at, text, "right" if to_right else "left")]


def _joints(n: int, spans: list[tuple[float, float]]) -> list[Mark]:
    """Dashed lines where sheets meet, with crosses to lay upon each other and the joint's letter."""
    low, high = spans[n]
    marks: list[Mark] = []
    for x, letter, anchor in (
        (low, LETTERS[n - 1] if n > 0 else "", "right"),
        (high, LETTERS[n] if n + 1 < len(spans) else "", "left"),
    ):
        if not letter:
            continue
        inwards = 1.0 if anchor == "right" else -1.0
        marks.append(line((x, -4.0), (x, TALL_MM), style="dash"))
        marks += [line((x, y), (x + inwards * 5.0, y)) for y in (6.0, TALL_MM - 2.0)]
        marks.append(label((x + inwards * 6.0, TALL_MM - 2.0), letter, anchor))  # type: ignore[arg-type]
    return marks


def _check_bars(low: float) -> list[Mark]:
    """Two bars with end ticks, under the rows of every sheet."""
    marks: list[Mark] = []
    start = low + 8.0
    for row, (name, length) in enumerate(CHECK_BARS_MM):
        y = -9.0 - 7.0 * row
        marks.append(line((start, y), (start + length, y)))
        marks += [line((x, y - 1.6), (x, y + 1.6)) for x in (start, start + length)]
        marks.append(label((start + length + 2.0, y), f"check bar, {name}", "right"))
    return marks
