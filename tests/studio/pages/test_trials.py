"""Turn, grips in pairs and aim on their pages: every way of reading, the picture, the verdict."""

from typing import Any

import pytest

from evenground.findings import Findings
from evenground.fit.aim import AimFit
from evenground.fit.full_swing import FullSwing
from evenground.fit.grip_check import GripVerdict
from evenground.measure.eyes import EyeFacts
from evenground.measure.turn import TurnRanges
from tests.studio.pages.conftest import Desk


def findings(desk: Desk) -> Findings:
    found = desk.scene.findings
    assert found is not None
    return found


@pytest.fixture
def cleared(desk: Desk) -> Desk:
    desk.type("safety", "screening", "cleared")
    desk.trial("own club", mark="7 iron", family="irons")
    return desk


def turn(desk: Desk, toward: str, repeat: int, angle: str, **more: str) -> None:
    part = {"part": more.pop("part")} if "part" in more else {}
    for field, text in {"turn_deg": angle, **more}.items():
        desk.type("turn", field, text, toward=toward, repeat=repeat, **part)


def test_the_turn_page_draws_both_parts_and_says_what_width_does(cleared: Desk) -> None:
    widths = ("300", "300", "400", "400", "500")
    for n, (width, angle) in enumerate(zip(widths, ("60", "61", "55", "56", "50"), strict=True), 1):
        turn(cleared, "trail", n, angle, width_mm=width)
    turn(cleared, "lead", 1, "35", part="pelvis")
    page = cleared.page("turn")
    assert "trunk 56°" in page
    assert "pelvis 35°" in page
    assert "less away from the target for each 100 mm of stance width (300 to 500 mm)" in page
    assert "turn--trail--6--turn_deg" in page  # one row more than was taken
    assert "turn--lead--1--pelvis--turn_deg" in page
    found = findings(cleared)
    assert isinstance(found.value("turn"), TurnRanges)
    pelvis = found.value("turn.pelvis")
    assert isinstance(pelvis, TurnRanges)
    assert pelvis.part == "pelvis"


def test_a_pasted_table_of_turns_is_saved_row_by_row(cleared: Desk) -> None:
    text = "toward,turn_deg,part,width\nlead,52,,16 in\nlead,51,,\ntrail,30,pelvis,\n"
    assert cleared.send("table", check="turn", text=text).json()["rows"] == 3
    assert cleared.shown("turn", "width_mm", toward="lead", repeat=1) == pytest.approx(406.4)
    assert cleared.shown("turn", "turn_deg", toward="trail", repeat=1, part="pelvis") == 30
    wrong = cleared.send("table", check="turn", text="toward,turn_deg\nlead,520\n")
    assert wrong.status_code == 422
    assert "Line 2, turn_deg: '520' is not allowed here." in wrong.json()["sentence"]


def test_a_turn_stopped_by_pain_is_no_range_on_the_picture(cleared: Desk) -> None:
    turn(cleared, "lead", 1, "50")
    turn(cleared, "trail", 1, "20", stopped_by_pain="yes")
    page = cleared.page("turn")
    assert "trunk no range, 1 stopped by pain" in page
    assert "pain stopped every turn to this side" in page


def pair(desk: Desk, n: int, own: str, proposed: str, field: str = "hip_line_deg", **more: Any) -> None:
    for grip, text in (("own", own), ("proposed", proposed)):
        desk.type("grip trial", field, text, pair=n, club="7 iron", grip=grip, **more)


def test_the_grip_page_gives_the_verdict_with_the_pairs_drawn(cleared: Desk) -> None:
    for n, (own, proposed) in enumerate(
        (("6", "1"), ("7", "1.5"), ("6.5", "1"), ("6", "0.5"), ("7", "1")), 1
    ):
        pair(cleared, n, own, proposed)
        pair(cleared, n, "22", "20", "knee_flex_lead_deg")
    page = cleared.page("grip")
    assert "Prefer the proposed grip" in page
    assert "The bend of the lead knee differs: −2.0" in page
    verdict = findings(cleared).value("grip.check.7 iron")
    assert isinstance(verdict, GripVerdict)
    assert verdict.word == "prefer"
    assert "grip-trial--6--7-iron--own--hip_line_deg" in page


def test_one_hand_alone_is_compared_by_itself(cleared: Desk) -> None:
    for n in (1, 2, 3):
        pair(cleared, n, "4", "3")
        pair(cleared, n, "5", "5", hand="lead")
    page = cleared.page("grip")
    assert "Two grips in pairs, 7 iron, lead hand alone" in page
    alone = findings(cleared).value("grip.check.7 iron, lead hand alone")
    assert isinstance(alone, GripVerdict)
    assert alone.difference_deg.value == 0.0


def test_pairs_that_do_not_tell_say_how_many_more(cleared: Desk) -> None:
    for n, (own, proposed) in enumerate((("6", "1"), ("1", "4"), ("3", "4")), 1):
        pair(cleared, n, own, proposed)
    assert "Keep testing (" in cleared.page("grip")


@pytest.mark.parametrize(
    ("way", "field", "readings"),
    [
        ("board", "offset_mm", ("17.5 right", "17.5 right", "17.5 right")),
        ("laser dot", "dot_mm", ("69.84 right", "69.84 right", "69.84 right")),
        ("face angle", "face_deg", ("1 open", "1 open", "1 open")),
    ],
)
def test_an_aim_is_read_in_each_way(cleared: Desk, way: str, field: str, readings: tuple[str, ...]) -> None:
    for name, text in (("distance_m", "2 m"), ("read_at_m", "1 m"), ("dot_at_m", "2 m"), ("way", way)):
        cleared.type("aim set-up", name, text)
    assert f'name="{field}"' in cleared.page("aim")
    for text in readings:
        size, side = text.split()
        cleared.send(
            "trial", kind="aim trial", values={field: size, "condition": "fitted"}, words={field: side}
        )
    fit = findings(cleared).value("aim.fitted")
    assert isinstance(fit, AimFit)
    assert fit.bias_deg.value == pytest.approx(1.0, abs=0.01)
    assert "Aim over the hole, fitted" in cleared.page("aim")


def test_what_the_hole_allows_may_be_set_for_a_visit(cleared: Desk) -> None:
    cleared.type("aim set-up", "distance_m", "6 ft")
    for offset in ("4", "-6", "12"):
        cleared.trial("aim trial", offset_mm=offset, condition="as arrived")
    usual = findings(cleared).value("aim.as arrived")
    cleared.type("aim set-up", "past_m", "0 m")
    cleared.type("aim set-up", "face_share", "0.9")
    dying = findings(cleared).value("aim.as arrived")
    assert isinstance(usual, AimFit)
    assert isinstance(dying, AimFit)
    assert usual.window_deg < dying.window_deg == pytest.approx(1.691, abs=1e-3)
    assert dying.face_share == 0.9
    answer = cleared.type("aim set-up", "face_share", "1.5")
    assert answer.status_code == 422


def test_eyes_and_two_full_swing_clubs_have_their_place(cleared: Desk) -> None:
    cleared.type("aim set-up", "distance_m", "2 m")
    cleared.type("eye line", "offset_mm", "-20 mm", repeat=1)
    cleared.type("eye line", "direction_deg", "2", repeat=1)
    for n, face in enumerate(("1", "1.2", "0.8"), 1):
        cleared.type("full-swing aim", "target_m", "150 m", club="7 iron", trial=n)
        cleared.type("full-swing aim", "face_deg", face, club="7 iron", trial=n)
    page = cleared.page("aim")
    assert "2.6 ± 1.3 m right of the target" in page
    found = findings(cleared)
    assert isinstance(found.value("eye line"), EyeFacts)
    assert isinstance(found.value("full-swing aim"), FullSwing)
    assert "eyes beyond the ball&#x27;s line" in page
