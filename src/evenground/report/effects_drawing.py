"""Effects as a drawing: each a point with its interval, largest on top, beside the line of no effect."""

from evenground.fit.effects import Effects
from evenground.fit.effects_design import condition_words
from evenground.report.charts import Plot, chart, interval_marks
from evenground.report.drawing import Drawing, Mark, label
from evenground.report.effects_words import effect_title

__all__ = ["effects_drawing"]

ROW_MM = 9.0


def effects_drawing(found: Effects) -> Drawing:
    """Effects on one response with their 95 % intervals.

    A filled point leaves out no effect, a hollow one does not; what cannot be told has hatching across and no
    point. The dashed line is no effect.
    """
    rows = found.effects
    ends = [e.change.interval() for e in rows if e.change is not None]
    reach = max([1e-9, *(abs(v) for i in ends for v in (i.low, i.high))]) * 1.06
    plot = Plot(
        x=(-reach, reach),
        y=(0.0, float(max(len(rows), 1))),
        left_mm=33.0,
        wide_mm=45.0,
        tall_mm=ROW_MM * max(len(rows), 1),
    )
    marks: list[Mark] = []
    for i, effect in enumerate(rows):
        middle = len(rows) - i - 0.5
        left, up = plot.left_mm, plot.at(0.0, middle)[1]
        words, states = effect_title(effect).split(", ", 1)
        marks += [
            label((left, up + 1.6), words, "left"),
            label((left, up - 1.6), states, "left", style="soft"),
        ]
        if effect.change is None:
            marks.append(plot.band(plot.x, (middle - 0.2, middle + 0.2), style="hatch"))
        else:
            ends_of = effect.change.interval()
            marks += interval_marks(
                plot, ends_of.low, effect.change.value, ends_of.high, middle, hollow=not effect.seen
            )
    marks.append(plot.curve([(0.0, 0.0), (0.0, plot.y[1])], style="dash"))
    axis = plot.x_axis(f"change of {condition_words(found.response)[0].split(',')[0]}, {found.unit}", most=5)
    return chart(plot, [*marks, *axis], top_mm=2.0)
