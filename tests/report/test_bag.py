"""The bag in words and as a drawing: letters of the scale, toe up or heel up, shafts at their lie."""

import math
from datetime import date

import pytest

from evenground.findings import Finding, Findings
from evenground.fit.bag import describe_bag
from evenground.report.bag_drawing import bag_drawing
from evenground.report.bag_view import bag_rows, bag_sentences, points_text
from evenground.report.evidence_view import evidence_view
from evenground.visit import OwnClub, Player, StudioSettings, Visit


def club(mark: str, lie_deg: float = 62.5, held_deg: float | None = None) -> OwnClub:
    cap = None if held_deg is None else 940.0 * math.sin(math.radians(held_deg))
    return OwnClub(
        mark=mark,
        family="irons",
        length_mm=940.0,
        length_method="60 deg plane",
        lie_deg=lie_deg,
        cap_height_mm=cap,
        grip_style="usual",
    )


@pytest.mark.parametrize(
    ("points", "said"),
    [(0.0, "D0.0"), (2.0, "D2.0"), (-1.0, "C9.0"), (-0.04, "D0.0"), (-90.0, "−90.0 from D0")],
)
def test_points_are_told_in_the_trade_s_letters(points: float, said: str) -> None:
    assert points_text(points) == said  # C9 is 1.75 in oz under D0, D2 3.5 above: check values 7.2


def test_held_flatter_is_toe_up_and_steeper_heel_up() -> None:
    said = bag_sentences(describe_bag([club("flat", held_deg=58.0), club("steep", held_deg=67.0)]))
    assert said[0].startswith("flat: held 4.5 ±")
    assert said[0].endswith("flatter than its lie, the toe up.")
    assert said[1].endswith("steeper than its lie, the heel up.")
    within = bag_sentences(describe_bag([club("as made", held_deg=62.6)]))
    assert "within the error of its own lie" in within[0]


def test_the_table_leaves_out_what_no_club_has() -> None:
    columns, rows = bag_rows(describe_bag([club("a"), OwnClub(mark="b", family="putter")]))
    assert columns == ("length", "lie", "reach", "Rules")
    assert rows[1] == ("b", "–", "–", "–", "–")


def test_shafts_are_drawn_at_their_length_and_lie() -> None:
    drawing = bag_drawing(describe_bag([club("a", held_deg=60.0)]))
    assert drawing is not None
    (shaft,) = (m for m in drawing.marks if m.kind == "line" and m.style == "ink")
    (x0, y0), (x1, y1) = shaft.points_mm
    assert math.hypot(x1 - x0, y1 - y0) == pytest.approx(940.0)
    assert math.degrees(math.atan2(y1 - y0, x0 - x1)) == pytest.approx(62.5)
    (held,) = (m for m in drawing.marks if m.style == "dash")
    assert math.degrees(math.atan2(held.points_mm[1][1], -held.points_mm[1][0])) == pytest.approx(60.0)


def test_a_left_handed_player_s_bag_is_the_mirror_image() -> None:
    bag = describe_bag([club("a")])
    right, left = bag_drawing(bag), bag_drawing(bag, handed="left")
    assert right is not None
    assert left is not None
    assert (left.left_mm, left.right_mm) == (-right.right_mm, -right.left_mm)
    assert bag_drawing(describe_bag([OwnClub(mark="b", family="putter")])) is None


def test_the_card_s_evidence_holds_the_bag_as_one_table_and_one_picture() -> None:
    bag = describe_bag([club("7 iron", held_deg=60.0)])
    found = Finding(
        key="k", kind="clubs", status="measured", value=bag, reason=None, evidence=(), methods={"clubs": 1}
    )
    visit = Visit(visit="v", day=date(2026, 5, 9), player=Player(name="Wren Halloway", handed="left"))
    findings = Findings(visit="v", version="0", findings=(found,))
    part = evidence_view(visit, StudioSettings(), findings).bag
    assert part is not None
    assert part.rows[0][:3] == ("7 iron", "940 ± 3 mm", "62.5 ± 1.0°")
    assert part.drawing == bag_drawing(bag, handed="left")
    assert evidence_view(visit, StudioSettings(), Findings(visit="v", version="0", findings=())).bag is None
