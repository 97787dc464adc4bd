import re
from pathlib import Path

import pdfplumber
import pytest

from evenground.report.charts import ChartFormatError, Plot, chart, interval_marks, ticks, write_chart
from evenground.report.drawing import label


def sample() -> tuple[Plot, list[float]]:
    plot = Plot(x=(-5.0, 5.0), y=(0.0, 2.0), left_mm=26.0, wide_mm=52.0)
    return plot, [m.points_mm[0][0] for m in interval_marks(plot, -2.0, 1.0, 4.0, 1.0)]


def test_an_interval_runs_from_its_low_to_its_high_end_on_paper() -> None:
    plot, _ = sample()
    rule, low, high, point = interval_marks(plot, -2.0, 1.0, 4.0, 1.0)
    assert [x for x, _ in rule.points_mm] == pytest.approx([41.6, 72.8])  # by hand: 26 + 52 * 3/10, * 9/10
    assert low.points_mm[0][0] == pytest.approx(41.6)
    assert high.points_mm[0][0] == pytest.approx(72.8)
    assert point.points_mm[0][0] == pytest.approx(57.2)


def test_a_larger_value_stands_higher_and_further_right() -> None:
    plot, _ = sample()
    assert plot.at(1.0, 1.5) > plot.at(0.0, 0.5)
    assert plot.at(0.0, 1.5)[1] > plot.at(0.0, 0.5)[1]


def test_what_lies_outside_the_scale_stays_on_its_edge() -> None:
    plot, _ = sample()
    assert plot.at(99.0, -99.0) == plot.at(5.0, 0.0)


@pytest.mark.parametrize("low", [-31.0, -0.004, 120.0])
@pytest.mark.parametrize("span", [0.03, 1.0, 7.3, 950.0])
def test_ticks_are_round_few_and_inside(low: float, span: float) -> None:
    found = ticks(low, low + span)
    assert 2 <= len(found) <= 7
    assert all(low - 1e-9 <= t <= low + span + 1e-9 for t in found)


@pytest.mark.parametrize("ending", [".svg", ".pdf"])
def test_a_chart_is_80_mm_wide_vector_and_the_same_every_time(tmp_path: Path, ending: str) -> None:
    plot, _ = sample()
    drawing = chart(plot, [*plot.x_axis("degrees"), label(plot.at(-5.0, 1.0), "width", "left")])
    one, two = tmp_path / f"one{ending}", tmp_path / f"two{ending}"
    for path in (one, two):
        write_chart(drawing, path, title="what width does")
    assert one.read_bytes() == two.read_bytes()
    assert drawing.width_mm == 80.0
    assert b"<image" not in one.read_bytes()
    assert b"/Subtype /Image" not in one.read_bytes()


def test_the_page_of_a_pdf_chart_measures_80_mm_across(tmp_path: Path) -> None:
    plot, _ = sample()
    path = tmp_path / "chart.pdf"
    write_chart(chart(plot, plot.x_axis("degrees")), path, title="chart")
    with pdfplumber.open(path) as pdf:
        assert float(pdf.pages[0].width) == pytest.approx(80.0 / 25.4 * 72.0, abs=0.01)


def test_type_is_no_smaller_than_seven_points_at_80_mm(tmp_path: Path) -> None:
    plot, _ = sample()
    path = tmp_path / "chart.pdf"
    write_chart(chart(plot, plot.x_axis("degrees")), path, title="chart")
    with pdfplumber.open(path) as pdf:
        assert min(c["size"] for c in pdf.pages[0].chars) >= 7.0


def test_a_picture_of_dots_is_refused_with_what_to_do() -> None:
    plot, _ = sample()
    with pytest.raises(ChartFormatError, match=re.escape("ends in .svg or .pdf")):
        write_chart(chart(plot, []), Path("chart.png"), title="chart")
