"""Held load and practice as drawings: what was predicted, what was seen, each with its interval."""

from collections.abc import Sequence

from evenground.fit.held_load import HeldLoadFit
from evenground.fit.practice import PracticeCompared, PracticeScore
from evenground.report.charts import Plot, chart, interval_marks
from evenground.report.drawing import Drawing, Mark, label

__all__ = ["held_load_drawing", "practice_drawing"]

ROW_MM = 7.0
ROOM = 1.15
LEFT_MM = 32.0
WIDE_MM = 46.0


def held_load_drawing(fit: HeldLoadFit) -> Drawing:
    """Shift of the centre of pressure, + ahead: predicted over observed; the band counts as agreement."""
    rows = (("predicted", fit.predicted_mm), ("observed", fit.observed_mm))
    ends = [end for _, e in rows for end in (e.interval().low, e.interval().high)]
    within = fit.agrees_within_mm
    band = (fit.predicted_mm.value - within, fit.predicted_mm.value + within)
    low, high = min(0.0, *ends, band[0]), max(0.0, *ends, band[1])
    reach = ROOM * max(-low, high)
    plot = _plot((low * ROOM - 0.05 * reach, high * ROOM + 0.05 * reach), len(rows))
    marks: list[Mark] = [plot.band(band, plot.y), plot.curve([(0.0, 0.0), (0.0, plot.y[1])], style="dash")]
    for i, (words, estimate) in enumerate(rows):
        interval = estimate.interval()
        marks += _row(plot, i, words, (interval.low, estimate.value, interval.high))
    return chart(plot, [*marks, *plot.x_axis("moved ahead, mm")], top_mm=2.0)


def practice_drawing(scores: Sequence[PracticeCompared | PracticeScore]) -> Drawing:
    """Balls that passed, in 100: what the aim check expects (hollow) over what was counted, gate by gate."""
    rows: list[tuple[str, tuple[float, float, float], bool]] = []
    for one in scores:
        score = one if isinstance(one, PracticeScore) else one.score
        gate = f"{score.gate_mm:.0f} mm at {score.distance_m:g} m"
        if isinstance(one, PracticeCompared):
            wide = one.expected_interval
            rows.append((f"{gate}: expected", (wide.low, one.expected, wide.high), True))
        rows.append((f"{gate}: counted", (score.interval.low, score.share, score.interval.high), False))
    plot = _plot((0.0, 100.0), len(rows))
    marks: list[Mark] = []
    for i, (words, ends, hollow) in enumerate(rows):
        low, value, high = (100.0 * v for v in ends)
        marks += _row(plot, i, words, (low, value, high), hollow=hollow)
    return chart(plot, [*marks, *plot.x_axis("of 100 balls")], right_mm=4.0, top_mm=2.0)


def _plot(x: tuple[float, float], rows: int) -> Plot:
    return Plot(x=x, y=(0.0, float(rows)), left_mm=LEFT_MM, wide_mm=WIDE_MM, tall_mm=ROW_MM * max(rows, 1))


def _row(
    plot: Plot, i: int, words: str, ends: tuple[float, float, float], *, hollow: bool = False
) -> list[Mark]:
    middle = plot.y[1] - i - 0.5
    at = (plot.left_mm - 1.0, plot.at(plot.x[0], middle)[1])
    return [label(at, words, "left"), *interval_marks(plot, *ends, middle, hollow=hollow)]
