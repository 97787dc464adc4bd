"""The figure with its sizes: measured lines are solid, predicted dotted, labels never on each other."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.body.ranges import check_body
from evenground.body.report import BodyReport
from evenground.report.body_drawing import LINE_MM, body_drawing
from evenground.report.drawing import kept_apart
from evenground.visit import BodyCheck, BodySize


def report(**sizes: float) -> BodyReport:
    body = BodyCheck(sizes=tuple(BodySize(name=n, readings_mm=(mm,)) for n, mm in sizes.items()))
    return check_body(body, reference="women")


def test_the_figure_is_as_tall_and_as_broad_as_the_body() -> None:
    drawing = body_drawing(report(stature=1700.0, biacromial_breadth=370.0, shoulder_height=1395.0))
    assert drawing is not None
    shoulders = next(m for m in drawing.marks if m.style == "bold" and m.points_mm[0][1] == 1395.0)
    assert shoulders.points_mm == ((-185.0, 1395.0), (185.0, 1395.0))
    (head,) = (m for m in drawing.marks if m.kind == "disc")
    assert head.points_mm[0][1] + head.radius_mm == pytest.approx(1700.0)


def test_what_nobody_measured_is_dotted_and_said_to_be_predicted() -> None:
    drawing = body_drawing(report(stature=1700.0))
    assert drawing is not None
    labels = [m for m in drawing.marks if m.kind == "label"]
    said = {m.text: m.style for m in labels}
    assert (said["stature"], said["1700 ± 10 mm"], said["hip breadth"]) == ("ink", "ink", "soft")
    assert sum(m.text == "predicted" for m in labels) == sum(m.style == "soft" for m in labels) / 3
    bold = [m for m in drawing.marks if m.style == "bold"]
    assert len(bold) == 1  # the neck, up to the measured stature


def test_nothing_is_drawn_of_nothing() -> None:
    assert body_drawing(report()) is None
    assert (
        body_drawing(check_body(BodyCheck(sizes=(BodySize(name="stature", readings_mm=(1700.0,)),)))) is None
    )


@given(st.lists(st.floats(0.0, 1800.0), min_size=1, max_size=14))
def test_labels_keep_their_distance_and_their_order(places: list[float]) -> None:
    placed = kept_apart(places, LINE_MM)
    order = sorted(range(len(places)), key=lambda i: places[i])
    gaps = [placed[b] - placed[a] for a, b in pairwise(order)]
    assert all(gap >= LINE_MM - 1e-6 for gap in gaps)
    assert sum(placed) == pytest.approx(sum(places), abs=1e-6)  # none is pushed further than it must
