"""The hip-line page: what it asks for, what it takes, what it refuses."""

import re

from tests.studio.pages.conftest import Desk

LANDMARK = ("hip-line set-up", "landmark", "back of the pelvis")


def asked_mm(page: str) -> float:
    """The width that the page asks for."""
    found = re.search(r"[Ss]et the feet to (\d+) mm", page)
    assert found is not None, page
    return float(found[1])


def keep(desk: Desk, width: str, angle: str, side: str = "open", **more: str) -> None:
    answer = desk.trial(
        "hip-line trial", {"hip_line_deg": side}, width_mm=width, hip_line_deg=angle, phase="before", **more
    )
    assert answer.status_code == 200, answer.content


def test_the_page_first_asks_what_the_bar_touches(desk: Desk) -> None:
    assert "Say what the bar touches." in desk.page("hip-line")


def test_a_trial_kept_with_its_side_is_stored_with_its_sign(desk: Desk) -> None:
    desk.type(*LANDMARK)
    keep(desk, "412", "1½", side="closed")
    trial = desk.scene.visit.hip_line.trials[0]  # type: ignore[union-attr]
    assert (trial.trial, trial.width_mm, trial.hip_line_deg) == (1, 412.0, -1.5)


def test_an_inch_width_is_stored_in_millimetres(desk: Desk) -> None:
    desk.type(*LANDMARK)
    keep(desk, "16 1/4 in", "2")
    assert desk.shown("hip-line trial", "width_mm", trial=1) == 412.75


def test_a_width_that_nobody_stands_at_is_refused_in_one_sentence(desk: Desk) -> None:
    answer = desk.trial("hip-line trial", width_mm="12 mm", hip_line_deg="2 deg")
    assert answer.status_code == 422
    assert answer.json()["sentence"] == "12.0 is not allowed. It has to be more than 50 mm."
    assert desk.log.of("hip-line trial") == []


def test_three_widths_are_asked_for_and_then_the_one_that_tells_most(desk: Desk) -> None:
    desk.type(*LANDMARK)
    asked = []
    for _ in range(3):
        asked.append(asked_mm(desk.page("hip-line")))
        keep(desk, f"{asked[-1]:.0f} mm", "2")
    assert len(set(asked)) == 3
    page = desk.page("hip-line")
    assert "is expected to raise the chances of square most" in page
    assert "next: " in page


def test_two_stations_keeping_at_once_never_share_a_number(desk: Desk) -> None:
    keep(desk, "400", "1")
    keep(desk, "400", "2")
    assert [s.key for s in desk.log.of("hip-line trial")] == [(1,), (2,)]


def test_a_trial_sent_twice_is_stored_once(desk: Desk) -> None:
    body = {"id": "11111111-2222-4333-8444-555555555555", "kind": "hip-line trial"}
    values = {"width_mm": "400", "hip_line_deg": "1"}
    first, second = (desk.send("trial", values=values, **body).json() for _ in range(2))
    assert first["seq"] == second["seq"]
    assert len(desk.log.of("hip-line trial")) == 1


def test_a_trial_taken_back_leaves_the_curve_and_its_number_stays_used(desk: Desk) -> None:
    desk.type(*LANDMARK)
    for width in ("300", "400", "500"):
        keep(desk, width, "1")
    reading = desk.log.of("hip-line trial")[2].readings[0]
    assert desk.send("take-back", readings=[str(reading)], why="bar slipped").status_code == 200
    keep(desk, "520", "1")
    assert [t.trial for t in desk.scene.visit.hip_line.trials] == [1, 2, 4]  # type: ignore[union-attr]


def test_a_pasted_table_becomes_trials_all_or_none(desk: Desk) -> None:
    good = "trial,width_mm,hip_line_deg\n1,300,2\n2,400,-1\n"
    assert desk.send("table", check="hip line", text=good).json()["rows"] == 2
    bad = desk.send("table", check="hip line", text="trial,width_mm,hip_line_deg\n1,310,2\n2,wide,-1\n")
    assert bad.status_code == 422
    assert "line 3, width_mm" not in bad.json()["sentence"]
    assert len(desk.log.of("hip-line trial")) == 2


def test_the_ruler_and_the_card_fill_as_trials_come_in(desk: Desk) -> None:
    desk.type(*LANDMARK)
    for width, angle in (("300", "0.2"), ("420", "0.1"), ("540", "0.2"), ("360", "0.1"), ("480", "0.1")):
        keep(desk, width, angle, family="irons")
    page = desk.page("hip-line")
    ruler = re.search(r'role="img" aria-label="([^"]*)"', page[page.index("ruler-sheet") :])
    assert ruler is not None
    assert re.search(r"irons (square|likely): \d+ to \d+ mm", ruler[1]), ruler[1]
    assert 'class="band is-firm"' in page


def test_shoes_and_the_ball_of_one_trial_are_kept_with_it(desk: Desk) -> None:
    desk.type(*LANDMARK)
    keep(desk, "400", "1", footwear="barefoot", ball_mm="150 mm")
    trial = desk.scene.visit.hip_line.trials[0]  # type: ignore[union-attr]
    assert (trial.footwear, trial.hands, trial.ball_mm) == ("barefoot", None, 150.0)
    assert "barefoot, ball 150 mm" in desk.page("hip-line")


def test_a_width_of_the_teachers_list_is_the_one_that_is_asked_for(desk: Desk) -> None:
    desk.type(*LANDMARK)
    for number, width in ((1, "320"), (2, "400"), (3, "18 in")):
        desk.type("allowed width", "width_mm", width, number=number)
    assert desk.scene.visit.hip_line.allowed_mm == (320.0, 400.0, 457.2)  # type: ignore[union-attr]
    assert asked_mm(desk.page("hip-line")) in (320, 400, 457)


def test_a_rest_is_a_phase_that_needs_no_screening(desk: Desk) -> None:
    page = desk.page("hip-line")
    assert '<option value="rested">after a rest</option>' in page
    assert '<option value="after">' not in page


def test_another_players_trial_taken_away_leaves_the_search_and_two_are_too_few(desk: Desk) -> None:
    desk.type(*LANDMARK)
    for width in ("300", "400", "500"):
        keep(desk, width, "1")
    reading = desk.log.of("hip-line trial")[0].readings[0]
    desk.send("take-back", readings=[str(reading)], why="another player's")
    page = desk.page("hip-line")
    assert "Three widths spread over what this body can stand at" in page
    assert [t.trial for t in desk.scene.visit.hip_line.trials] == [2, 3]  # type: ignore[union-attr]
