"""Held load and practice on their pages: gated, entered by field or table, told in words and a picture."""

from tests.studio.pages.conftest import Desk


def cleared(desk: Desk) -> None:
    desk.type("safety", "screening", "cleared")
    desk.type("body mass", "mass_kg", "80 kg")


def test_the_held_load_is_not_asked_before_the_screening_cleared_the_player(desk: Desk) -> None:
    page = desk.page("held-load")
    assert "A held load is not asked" in page
    assert "Stop at pain" in page
    assert 'data-trial="held load"' not in page


def test_the_page_predicts_before_anything_is_held_and_says_the_limit(desk: Desk) -> None:
    cleared(desk)
    page = desk.page("held-load")
    assert "At most 8.0 kg (a tenth of the body)" in page
    assert "1 kg, 300 mm ahead of the heels, should move the balance" in page
    assert 'href="' + desk.at + 'held-load/"' in desk.page("ground")


def test_pairs_are_kept_one_by_one_or_as_a_table_and_told_with_their_picture(desk: Desk) -> None:
    cleared(desk)
    kept = desk.trial("held load", load_kg="4 kg", load_ahead_mm="320 mm", without_mm="92", with_mm="96")
    assert kept.status_code == 200, kept.content
    text = "load_kg,load_ahead_mm,without_mm,with_mm\n4,320,88,93\n4,320,95,101\n4,320,90,94\n"
    assert desk.send("table", check="held load", text=text).json()["rows"] == 3
    page = desk.page("held-load")
    assert "does not agree. The body itself went 6 mm" in page
    assert "<svg" in page
    assert [p.pair for p in desk.scene.visit.held_load] == [1, 2, 3, 4]


def test_practice_is_told_alone_and_beside_the_aims_of_the_visit(desk: Desk) -> None:
    kept = desk.trial(
        "aim practice", day="2026-05-01", distance_m="1.5 m", gate_mm="80 mm", rolled="40", passed="4"
    )
    assert kept.status_code == 200, kept.content
    page = desk.page("practice")
    assert "4 of 40 passed" in page
    assert "No aims were taken" in page
    desk.type("aim set-up", "distance_m", "2.5 m")
    for offset in ("-12", "8", "-20", "5", "-3", "-15"):
        desk.trial("aim trial", offset_mm=offset, condition="as arrived")
    assert "fewer than expected" in desk.page("practice")
    assert "4 of 40" in desk.page("aim")
    assert desk.client.get(f"{desk.at}practice.pdf").content.startswith(b"%PDF")


def test_more_balls_passed_than_were_rolled_is_said_and_left_out(desk: Desk) -> None:
    answer = desk.send(
        "table", check="practice", text="day,distance_m,gate_mm,rolled,passed\n2026-05-16,1.5,80,10,12\n"
    )
    assert answer.status_code == 422
    assert "12 balls passed of 10 rolled" in answer.json()["sentence"]
