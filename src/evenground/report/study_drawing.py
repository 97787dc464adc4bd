"""A measurement study as a drawing: two methods against each other, or what a reading's scatter is."""

from typing import TYPE_CHECKING

from evenground.report.charts import Bar, Plot, bars, chart, number
from evenground.report.drawing import Drawing, Mark, disc, label

if TYPE_CHECKING:
    from evenground.assess.studying import StudyResult
    from evenground.measure.agreement import Agreement
    from evenground.measure.study import Study

__all__ = ["agreement_drawing", "components_drawing", "study_drawing"]


def study_drawing(found: "StudyResult") -> Drawing:
    """The picture of a study: agreement where two methods were compared, else the parts of the scatter."""
    if found.agreement is not None:
        return agreement_drawing(found.agreement)
    return components_drawing(next(iter(found.studies.values())))


def agreement_drawing(found: "Agreement") -> Drawing:
    """Difference of two methods against their mean: each person a mark, bias and limits with their ranges.

    Bands are the 95 % ranges of the limits, hatching that of the bias; the dashed line is no difference.
    """
    x, y = found.points[:, 0], found.points[:, 1]
    low = min(float(y.min()), found.lower_range.low, 0.0)
    high = max(float(y.max()), found.upper_range.high, 0.0)
    room_x = 0.06 * max(float(x.max() - x.min()), 1e-9)
    room_y = 0.06 * (high - low)
    plot = Plot(
        x=(float(x.min()) - room_x, float(x.max()) + room_x),
        y=(low - room_y, high + room_y),
        wide_mm=52.0,
        tall_mm=46.0,
    )
    bias = found.bias.interval()
    marks: list[Mark] = [
        plot.band(plot.x, (found.lower_range.low, found.lower_range.high)),
        plot.band(plot.x, (found.upper_range.low, found.upper_range.high)),
        plot.band(plot.x, (bias.low, bias.high), style="hatch"),
        plot.curve([(plot.x[0], 0.0), (plot.x[1], 0.0)], style="dash"),
    ]
    unit = f", {found.unit}" if found.unit else ""
    for value, words in ((found.lower, "lower"), (found.bias.value, "bias"), (found.upper, "upper")):
        marks.append(plot.curve([(plot.x[0], value), (plot.x[1], value)], style="bold"))
        marks.append(label(plot.at(plot.x[1], value), f"{words} {number(_short(value))}", "right"))
    marks += [disc(plot.at(float(a), float(b)), 0.9, style="hollow") for a, b in zip(x, y, strict=True)]
    marks += [*plot.x_axis(f"mean of both{unit}", most=5), *plot.y_axis(f"difference{unit}")]
    return chart(plot, marks, right_mm=16.0)


def components_drawing(found: "Study") -> Drawing:
    """SD of each part of a single reading; the last bar is the error of one reading, with its range.

    Persons differ for real, so their bar is hollow; the others are error.
    """
    rows = []
    if found.observers is not None:
        rows = [
            Bar(words=c.name, value=c.sd, hollow=c.name == "person")
            for c in found.observers.components
            if c.name != "repeat"
        ]
    sem = found.sem
    rows.append(Bar(words="same again (SEM)", value=sem.value, low=sem.interval.low, high=sem.interval.high))
    if found.observers is not None and found.observers.observers > 1:
        other = found.observers.any_sd
        rows.append(
            Bar(words="any observer", value=other.value, low=other.interval.low, high=other.interval.high)
        )
    return bars(rows, f"SD, {found.unit}" if found.unit else "SD")


def _short(value: float) -> float:
    return float(f"{value:.3g}")
