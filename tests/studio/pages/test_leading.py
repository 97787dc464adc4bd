"""What to do next on the pages: what the protocol says, the tired button, and what a blind screen hides."""

from evenground.assess.known import known_of
from evenground.fit.protocol import agenda
from tests.studio.pages.conftest import Desk

LANDMARK = ("hip-line set-up", "landmark", "back of the pelvis")


def keep(desk: Desk, width: str, angle: str) -> None:
    answer = desk.trial("hip-line trial", width_mm=width, hip_line_deg=angle, phase="before")
    assert answer.status_code == 200, answer.content


def test_the_page_and_the_command_say_the_same(desk: Desk) -> None:
    desk.type("safety", "screening", "cleared")
    scene = desk.scene
    told = agenda(scene.visit, known_of(scene.visit, scene.studio, scene.findings))
    assert told.next == "as arrived"
    step = told.checks["as arrived"].step
    page = desk.page("as-arrived")
    assert step.what in page
    assert step.why in page


def test_two_readings_that_differ_are_repeated_and_a_blind_screen_hides_by_how_much(desk: Desk) -> None:
    desk.type(*LANDMARK)
    keep(desk, "430 mm", "1")
    keep(desk, "430 mm", "9")
    page = desk.page("hip-line")
    assert "Repeat 430 mm." in page
    assert '<p class="why tells">The two readings differ by 8.0 deg' in page


def test_tired_ends_a_series_early_and_says_what_it_costs(desk: Desk) -> None:
    desk.type("safety", "screening", "cleared")
    desk.type("turn", "turn_deg", "60", toward="lead", repeat=1)
    page = desk.page("turn")
    assert "Tired: end here" in page
    assert "Not measured: trunk, away from the target." in page
    assert desk.send("skip", check="turn", why="tired").status_code == 200
    page = desk.page("turn")
    assert "Ended early: tired." in page
    assert "its error about 1.7 times as large" in page
    assert "Tired: end here" not in page


def test_nothing_taken_has_no_tired_button(desk: Desk) -> None:
    desk.type("safety", "screening", "cleared")
    assert "Tired: end here" not in desk.page("turn")
