"""Change between two visits as a drawing: each line in units of what matters on it, with its interval."""

from collections.abc import Sequence

from evenground.fit.change import LineChange
from evenground.report.charts import Plot, chart, interval_marks
from evenground.report.drawing import Drawing, Mark, label

__all__ = ["change_drawing"]

ROW_MM = 6.0
REACH = 3.0
MOST = 18
URGENT = {"changed": 0, "cannot tell": 1, "no real change": 2}


def change_drawing(lines: Sequence[LineChange]) -> Drawing:
    """Lines that can be compared: later less earlier over the change that matters.

    At most `MOST` in the card's order, those that changed and then those that cannot be told before others.
    The band is what does not matter; a filled point is a change, a hollow one is not. What lies outside the
    drawing stands on its edge.
    """
    shown = _kept(lines)
    plot = Plot(
        x=(-REACH, REACH),
        y=(0.0, float(max(len(shown), 1))),
        left_mm=47.0,
        wide_mm=31.0,
        tall_mm=ROW_MM * max(len(shown), 1),
    )
    marks: list[Mark] = [
        plot.band((-1.0, 1.0), plot.y),
        plot.curve([(0.0, 0.0), (0.0, plot.y[1])], style="dash"),
    ]
    for i, line in enumerate(shown):
        middle = len(shown) - i - 0.5
        marks.append(label((plot.left_mm, plot.at(0.0, middle)[1]), _short(line.title), "left"))
        if line.change is not None:
            ends = line.change.interval()
            low, value, high = (v / line.matters for v in (ends.low, line.change.value, ends.high))
            marks += interval_marks(plot, low, value, high, middle, hollow=line.word != "changed")
    axis = plot.x_axis("change, in steps that matter", most=6)
    return chart(plot, [*marks, *axis], top_mm=2.0)


def _kept(lines: Sequence[LineChange]) -> list[LineChange]:
    able = [line for line in lines if line.change is not None]
    first = sorted(able, key=lambda line: URGENT[line.word])[:MOST]
    return [line for line in able if line in first]


def _short(title: str) -> str:
    """A title that fits beside its row."""
    return (
        title.replace("hip line at the earlier card's width", "hip line there")
        .replace(", golf shoes", "")
        .replace("from the lead heel", "from heel")
        .replace("from the toe line", "from toes")
        .replace("balance from the heel", "balance")
        .replace("load on the left foot", "load left")
        .replace("Ground, as arrived", "As arrived")
        .replace("Ground, fitted", "Fitted")
    )
