"""The picture of a mat's check: each fault where its cell is, each known weight where it stood."""

from dataclasses import replace

import pytest

from evenground.instruments import DeadWeight, EmptyMat, FlippedBar, KnownWeight, PrintedLength
from evenground.report.instrument_drawing import MatOutline, mat_check_drawing
from evenground.report.instrument_words import figure_lines

MAT = MatOutline(rows=40, columns=60, pitch_x_mm=10.0, pitch_y_mm=8.0)
EMPTY = EmptyMat(
    rows=40, columns=60, unit="kPa", duration_s=15.0, noise=0.3, offset=-1e-4, drift_per_min=0.0,
    shows_noise=True, dead=((0, 0),), stuck=((39, 59),), noisy=((10, 20), (10, 22)), drifting=((5, 5),),
)  # fmt: skip
KNOWN = KnownWeight(
    x_mm=(100.0, 500.0), y_mm=(80.0, 240.0), mass_kg=(20.0, 20.0), gain=(0.97, 1.02), gain_se=(0.001, 0.001)
)


def test_faults_lie_on_their_cells_seen_with_the_toes_upwards() -> None:
    drawing = mat_check_drawing(MAT, [EMPTY])
    rings = [m.points_mm[0] for m in drawing.marks if m.kind == "disc" and m.points_mm[0][1] > 0.0]
    assert rings == [(205.0, 84.0), (225.0, 84.0)]
    squares = [m for m in drawing.marks if m.kind == "outline" and len(m.points_mm) == 4]
    middles = {(sum(x for x, _ in m.points_mm) / 4.0, sum(y for _, y in m.points_mm) / 4.0) for m in squares}
    assert {(5.0, 4.0), (595.0, 316.0)} <= middles  # first row at the heels, last column at the right
    said = [m.text for m in drawing.marks if m.kind == "label"]
    assert {"dead: 1", "stuck: 1", "noisy: 2", "drifting: 1", "toes", "left", "right"} <= set(said)


def test_known_weights_stand_where_they_stood_with_what_they_read() -> None:
    drawing = mat_check_drawing(MAT, [KNOWN])
    labels = {m.text: m.points_mm[0] for m in drawing.marks if m.kind == "label"}
    assert labels["-3.0 %"] == (100.0, 80.0)
    assert labels["+2.0 %"] == (500.0, 240.0)


@pytest.mark.parametrize(
    ("figures", "what", "figure"),
    [
        (EMPTY, "offset of a cell", "0.00 kPa"),  # nothing has no sign
        (EMPTY, "noisy cells", "2: row 11 column 21, row 11 column 23"),
        (replace(EMPTY, dead=tuple((0, c) for c in range(8))), "dead cells", "and 2 more"),
        (KNOWN, "20 kg at 500, 240 mm", "+2.0 ± 0.2 %"),
        (FlippedBar(normal_deg=(3.0,), flipped_deg=(2.0,)), "the bar's own error", "+0.50"),
        (PrintedLength(measured_mm=(99.6,)), "a strip of 500 mm would be off by", "-2.0 mm"),
    ],
)
def test_figures_are_told_in_words(figures: object, what: str, figure: str) -> None:
    assert figure in dict(figure_lines(figures))[what]  # type: ignore[arg-type]


def test_a_dead_weight_of_raw_counts_has_no_newtons() -> None:
    weight = DeadWeight(
        mass_kg=20.0, duration_s=30.0, rate_hz=20.0, path_mm=60.0, velocity_mm_s=2.0, ellipse95_mm2=3.0,
        crept_mm=0.0, crept_percent=0.0,
    )  # fmt: skip
    assert "20 kg reads" not in dict(figure_lines(weight))
    assert dict(figure_lines(replace(weight, reads_n=196.0)))["20 kg reads"] == "196.0 N"
