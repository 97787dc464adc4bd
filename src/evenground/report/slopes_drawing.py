"""Paired slopes: two states side by side, a line for each pair, and what the pairs average with its error."""

from collections.abc import Sequence
from dataclasses import dataclass

from evenground.estimate import Estimate
from evenground.report.charts import POINT_MM, Plot, chart
from evenground.report.drawing import Drawing, Mark, disc, kept_apart, label, line

__all__ = ["Slopes", "slopes_drawing"]

LEFT, RIGHT = 0.24, 0.62
SPARE = 0.12
ROW_MM = 3.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Slopes:
    """What is drawn: two states in words, each pair's name with its two values, and both means.

    `measured` says what the values are, with its unit; `zero` names the line at 0, empty for none.
    """

    left: str
    right: str
    pairs: Sequence[tuple[str, float, float]]
    left_mean: Estimate
    right_mean: Estimate
    measured: str
    zero: str = ""


def slopes_drawing(slopes: Slopes) -> Drawing:
    """Thin lines are pairs, their numbers at the right end; thick ones the means with 95 % ranges.

    Returns
    -------
    drawing
        80 mm wide with its words. Means stand outside their state's column, so that no pair hides them.
    """
    sides = (slopes.left_mean, slopes.right_mean)
    values = [v for _, a, b in slopes.pairs for v in (a, b)] + [
        v for m in sides for v in (m.interval().low, m.interval().high)
    ]
    values += [0.0] if slopes.zero else []
    low, high = min(values), max(values)
    spare = SPARE * max(high - low, 1.0)
    plot = Plot(x=(0.0, 1.0), y=(low - spare, high + spare), tall_mm=48.0)
    marks: list[Mark] = plot.y_axis(slopes.measured)
    if slopes.zero and plot.y[0] < 0.0 < plot.y[1]:
        marks.append(plot.curve([(0.0, 0.0), (1.0, 0.0)], style="dash"))
        marks.append(label(plot.at(0.91, 0.0), slopes.zero, "above", style="soft"))
    for _, a, b in slopes.pairs:
        marks.append(plot.curve([(LEFT, a), (RIGHT, b)], style="soft"))
        marks += [disc(plot.at(x, v), POINT_MM * 0.6, style="hollow") for x, v in ((LEFT, a), (RIGHT, b))]
    marks += _names(plot, slopes)
    for x, mean in zip((LEFT - 0.09, RIGHT + 0.17), sides, strict=True):
        marks += _mean(plot, x, mean)
    marks.append(plot.curve([(LEFT, sides[0].value), (RIGHT, sides[1].value)], style="bold"))
    foot = plot.bottom_mm
    marks += [
        line((plot.left_mm, foot), (plot.left_mm + plot.wide_mm, foot), style="hair"),
        *(
            label((plot.at(x, low)[0], foot - 1.2), words, "below")
            for x, words in ((LEFT, slopes.left), (RIGHT, slopes.right))
        ),
    ]
    return chart(plot, marks)


def _names(plot: Plot, slopes: Slopes) -> list[Mark]:
    """Each pair's name at its right end, moved apart where they would touch."""
    ends = [plot.at(RIGHT, b)[1] for _, _, b in slopes.pairs]
    x = plot.at(RIGHT, plot.y[0])[0]
    places = kept_apart(ends, ROW_MM)
    return [
        label((x + 1.2, y), name, "right", style="soft")
        for (name, _, _), y in zip(slopes.pairs, places, strict=True)
    ]


def _mean(plot: Plot, x: float, mean: Estimate) -> list[Mark]:
    ends = mean.interval()
    middle, (across, low), (_, high) = plot.at(x, mean.value), plot.at(x, ends.low), plot.at(x, ends.high)
    ticks_ = [line((across - 1.0, y), (across + 1.0, y)) for y in (low, high)]
    return [line((across, low), (across, high), style="bold"), *ticks_, disc(middle, 0.0)]
