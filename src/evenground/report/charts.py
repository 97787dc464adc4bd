"""House style of a chart: a plot's frame and axes as marks, and any drawing as a vector file.

A chart is a `Drawing` like every other: paper and screen print the same marks. Its rectangle is 80 mm wide
with the room for words inside, the type is 7.5 pt, and nothing is told by colour alone, so that it can be
read as a grey print in a column.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from evenground.errors import ReportError
from evenground.report.drawing import Anchor, Drawing, Mark, Point, Style, disc, label, line, outline
from evenground.report.words import MINUS

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = [
    "CHART_MM",
    "Bar",
    "ChartFormatError",
    "Plot",
    "bars",
    "chart",
    "interval_marks",
    "number",
    "ticks",
    "write_chart",
]

CHART_MM = 80.0
"""A column of print: every chart is legible at this width."""

TEXT_PT = 7.5
PT_MM = 25.4 / 72.0
GAP_MM = 1.1
TICK_MM = 1.2
POINT_MM = 0.9
INK, SOFT, TONE, ACCENT = "#23211d", "#5f594e", "#e4dece", "#9c3d2a"

# Stroke width in points, colour, dashes in points.
STROKES: dict[Style, tuple[float, str, tuple[float, ...]]] = {
    "ink": (0.8, INK, ()),
    "bold": (1.5, INK, ()),
    "soft": (0.7, SOFT, ()),
    "hair": (0.4, SOFT, ()),
    "dots": (0.9, INK, (0.2, 2.2)),
    "dash": (0.7, SOFT, (2.6, 1.9)),
    "hatch": (0.3, SOFT, ()),
    "band": (0.0, TONE, ()),
    "hollow": (0.9, INK, ()),
    "arrow": (0.0, INK, ()),
    "accent": (1.5, ACCENT, ()),
}
FILLS: dict[Style, str] = {"band": TONE, "arrow": INK, "hollow": "white"}
SIDES: dict[Anchor, tuple[str, str, float, float]] = {
    "left": ("right", "center", -GAP_MM, 0.0),
    "right": ("left", "center", GAP_MM, 0.0),
    "above": ("center", "bottom", 0.0, GAP_MM),
    "below": ("center", "top", 0.0, -GAP_MM),
    "centre": ("center", "center", 0.0, 0.0),
}


class ChartFormatError(ReportError):
    """A chart was asked for in a format that is not vector."""

    do = "Name a file that ends in .svg or .pdf."

    def __init__(self, file: str) -> None:
        super().__init__(file)
        self.where = file
        self.what = "Charts are written as SVG or PDF only."


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """A rectangle of paper with a linear scale each way; `left_mm` and `bottom_mm` place its corner.

    ::

        bottom_mm + tall_mm  +------------------+ y[1]
                             |                  |
                   bottom_mm +------------------+ y[0]
                        left_mm           left_mm + wide_mm
                            x[0]              x[1]
    """

    x: tuple[float, float]
    y: tuple[float, float]
    left_mm: float = 12.0
    bottom_mm: float = 9.0
    wide_mm: float = 66.0
    tall_mm: float = 42.0

    def at(self, x: float, y: float) -> Point:
        """Where a pair of values stands on paper; what lies outside the scale stays on its edge."""
        across = (min(max(x, self.x[0]), self.x[1]) - self.x[0]) / (self.x[1] - self.x[0])
        up = (min(max(y, self.y[0]), self.y[1]) - self.y[0]) / (self.y[1] - self.y[0])
        return self.left_mm + across * self.wide_mm, self.bottom_mm + up * self.tall_mm

    def band(self, x: tuple[float, float], y: tuple[float, float], *, style: Style = "band") -> Mark:
        """A filled rectangle between two values each way."""
        corners = ((x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1]))
        return outline((self.at(*corner) for corner in corners), style=style)

    def curve(self, pairs: Iterable[tuple[float, float]], *, style: Style = "ink") -> Mark:
        """A line through pairs of values."""
        return line(*(self.at(x, y) for x, y in pairs), style=style)

    def x_axis(self, words: str, *, most: int = 6) -> list[Mark]:
        """The foot of the plot with ticks, their numbers, and what is measured along it."""
        y0 = self.bottom_mm
        marks = [line((self.left_mm, y0), (self.left_mm + self.wide_mm, y0), style="hair")]
        for value in ticks(*self.x, most=most):
            x = self.at(value, self.y[0])[0]
            marks += [line((x, y0), (x, y0 - TICK_MM), style="hair")]
            marks += [label((x, y0 - TICK_MM), number(value), "below", style="soft")]
        middle = self.left_mm + self.wide_mm / 2.0
        return [*marks, label((middle, y0 - 5.0), words, "below", style="soft")]

    def y_axis(self, words: str, *, most: int = 5) -> list[Mark]:
        """The left side of the plot with ticks and numbers; what is measured stands over it."""
        x0 = self.left_mm
        marks = [line((x0, self.bottom_mm), (x0, self.bottom_mm + self.tall_mm), style="hair")]
        for value in ticks(*self.y, most=most):
            y = self.at(self.x[0], value)[1]
            marks += [line((x0, y), (x0 - TICK_MM, y), style="hair")]
            marks += [label((x0 - TICK_MM, y), number(value), "left", style="soft")]
        over = (x0 - TICK_MM - GAP_MM, self.bottom_mm + self.tall_mm + 3.2)
        return [*marks, label(over, words, "right", style="soft")]


def ticks(low: float, high: float, *, most: int = 6) -> list[float]:
    """Round values inside a range, at most `most` of them, 1, 2 or 5 times a power of ten apart.

    Examples
    --------
    >>> ticks(-3.2, 7.9)
    [-2.0, 0.0, 2.0, 4.0, 6.0]
    """
    span = high - low
    power = 10.0 ** math.floor(math.log10(span / most))
    step = next(m * power for m in (1.0, 2.0, 5.0, 10.0, 20.0) if span / (m * power) <= most)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [round(k * step, 12) for k in range(first, last + 1)]


def number(value: float) -> str:
    """A tick's number as paper prints it, with a true minus sign.

    Examples
    --------
    >>> number(-2.50), number(400.0)
    ('−2.5', '400')
    """
    return f"{value:g}".replace("-", MINUS)


def interval_marks(
    plot: Plot, low: float, value: float, high: float, y: float, *, hollow: bool = False
) -> list[Mark]:
    """One estimate along x: a line as long as its interval, ends marked, a point at its value."""
    (x0, up), (x1, _) = plot.at(low, y), plot.at(high, y)
    ends = [line((x, up - TICK_MM), (x, up + TICK_MM)) for x in (x0, x1)]
    at = plot.at(value, y)
    point = disc(at, POINT_MM, style="hollow") if hollow else disc(at, 0.0)
    return [line((x0, up), (x1, up), style="bold"), *ends, point]


def chart(plot: Plot, marks: Sequence[Mark], *, right_mm: float = 2.0, top_mm: float = 6.0) -> Drawing:
    """The drawing of a plot, with room on its right for words and above for the name of the y axis."""
    return Drawing(
        left_mm=0.0,
        right_mm=plot.left_mm + plot.wide_mm + right_mm,
        bottom_mm=0.0,
        top_mm=plot.bottom_mm + plot.tall_mm + top_mm,
        marks=tuple(marks),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One row of a bar chart: its words, its value from 0, and its range where it has one."""

    words: str
    value: float
    low: float | None = None
    high: float | None = None
    hollow: bool = False
    note: str = ""


def bars(rows: Sequence[Bar], words: str) -> Drawing:
    """Bars from 0 to the right, a row each, from the top down; ranges as a line over the bar's end.

    A range that runs past twice the longest bar ends in an arrow, so that it does not flatten the rest.
    """
    longest = max((r.value for r in rows), default=0.0) or 1.0
    reach = max(longest, min(max((r.high or 0.0 for r in rows), default=0.0), 2.0 * longest)) * 1.04
    row_mm, notes = 7.0, any(r.note for r in rows)
    plot = Plot(
        x=(0.0, reach),
        y=(0.0, float(len(rows))),
        left_mm=29.0,
        wide_mm=33.0 if notes else 48.0,
        tall_mm=row_mm * len(rows),
    )
    marks: list[Mark] = []
    for i, row in enumerate(rows):
        middle = len(rows) - i - 0.5
        marks.append(plot.band((0.0, row.value), (middle - 0.26, middle + 0.26)))
        edge: Style = "dash" if row.hollow else "ink"
        corners = [(0.0, -0.26), (row.value, -0.26), (row.value, 0.26), (0.0, 0.26)]
        marks.append(outline((plot.at(x, middle + y) for x, y in corners), style=edge))
        marks += _range_marks(plot, row, middle)
        marks.append(label((plot.left_mm, plot.at(0.0, middle)[1]), row.words, "left"))
        if row.note:
            marks.append(label(plot.at(reach, middle), row.note, "right", style="soft"))
    return chart(plot, [*marks, *plot.x_axis(words, most=5)], right_mm=18.0 if notes else 3.0, top_mm=2.0)


def _range_marks(plot: Plot, row: Bar, middle: float) -> list[Mark]:
    if row.low is None or row.high is None:
        return []
    (x0, y0), (x1, _) = plot.at(row.low, middle), plot.at(row.high, middle)
    marks = [line((x0, y0), (x1, y0), style="bold"), line((x0, y0 - TICK_MM), (x0, y0 + TICK_MM))]
    if row.high > plot.x[1]:
        tip = [(x1 + 1.6, y0), (x1, y0 + 0.9), (x1, y0 - 0.9)]
        return [*marks, outline(tip, style="arrow")]
    return [*marks, line((x1, y0 - TICK_MM), (x1, y0 + TICK_MM))]


def write_chart(
    drawing: Drawing, path: Path, *, title: str, wide_mm: float = CHART_MM, room_mm: float = 0.0
) -> None:
    """Write a drawing as a vector file, SVG or PDF by its ending; type keeps its size at any width.

    Parameters
    ----------
    drawing
        The marks, as paper and screen print them.
    path
        The file; written over when it is there.
    title
        Kept in the file for whoever cannot see it.
    wide_mm
        Width of the drawing's rectangle on paper.
    room_mm
        Room around it, for drawings whose labels stand outside their rectangle.

    Raises
    ------
    ChartFormatError
        For any other ending.
    """
    if path.suffix.lower() not in {".svg", ".pdf"}:
        raise ChartFormatError(str(path))
    import matplotlib as mpl
    from matplotlib.figure import Figure

    scale = wide_mm / drawing.width_mm
    wide, tall = (wide_mm + 2.0 * room_mm) / 25.4, (drawing.height_mm * scale + 2.0 * room_mm) / 25.4
    with mpl.rc_context(_house()):
        figure = Figure(figsize=(wide, tall))
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        room = room_mm / scale
        axes.set_xlim(drawing.left_mm - room, drawing.right_mm + room)
        axes.set_ylim(drawing.bottom_mm - room, drawing.top_mm + room)
        axes.set_aspect("equal")
        axes.axis("off")
        for order, mark in enumerate(drawing.marks):
            _draw(axes, mark, scale, order)
        dated = "Date" if path.suffix.lower() == ".svg" else "CreationDate"
        figure.savefig(path, format=path.suffix[1:].lower(), metadata={"Title": title, dated: None})


def _house() -> dict[Any, Any]:
    import font_source_sans_pro
    from matplotlib import font_manager

    sans = Path(font_source_sans_pro.font_directory) / "SourceSansPro-Regular.otf"
    if not any(entry.fname == str(sans) for entry in font_manager.fontManager.ttflist):
        font_manager.fontManager.addfont(sans)
    return {
        "font.family": ["Source Sans Pro", "DejaVu Sans"],
        "font.size": TEXT_PT,
        "svg.fonttype": "path",
        "svg.hashsalt": "evenground",
        "pdf.fonttype": 3,  # outlines: the house type is no TrueType, which is all that 42 embeds rightly
        "hatch.linewidth": 0.35,
        "path.simplify": False,
    }


def _draw(axes: "Axes", mark: Mark, scale: float, order: int) -> None:
    """One mark; a later one lies over an earlier."""
    from matplotlib.patches import Circle, Polygon

    if mark.kind == "label":
        _write(axes, mark, scale, order)
        return
    width, colour, dashes = STROKES[mark.style]
    pen: dict[str, Any] = {"linewidth": width, "zorder": order}
    if dashes:
        pen |= {"linestyle": (0, tuple(d / width for d in dashes)), "capstyle": "round"}
    if mark.kind == "line":
        pen |= {"solid_joinstyle": "round", "color": colour}
        if dashes:
            pen["dash_capstyle"] = pen.pop("capstyle")
        axes.plot(*zip(*mark.points_mm, strict=True), **pen)
        return
    fill = FILLS.get(mark.style, "none")
    pen |= {"facecolor": fill, "edgecolor": colour if width else "none"}
    if mark.kind == "disc":
        radius = mark.radius_mm or POINT_MM / scale
        if not mark.radius_mm:  # a point mark is filled, as on paper and screen
            pen["facecolor"] = "white" if mark.style == "hollow" else colour
        axes.add_patch(Circle(mark.points_mm[0], radius, **pen))
        return
    if mark.style == "hatch":
        pen |= {"hatch": "//////", "linewidth": 0.0, "edgecolor": SOFT}
    axes.add_patch(Polygon(mark.points_mm, closed=True, **pen))


def _write(axes: "Axes", mark: Mark, scale: float, order: int) -> None:
    x, y = mark.points_mm[0]
    across, up, right, over = SIDES[mark.anchor]
    axes.text(
        x + right / scale,
        y + over / scale,
        mark.text,
        ha=across,
        va=up,
        color={"soft": SOFT, "accent": ACCENT}.get(mark.style, INK),
        zorder=order,
    )
