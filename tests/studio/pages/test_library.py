"""A studio's own routine and cues put in use from its pages, and cues swapped on one card."""

from evenground.capture.library_file import usual_cues_text, usual_routine_text
from evenground.records.models import Visit
from evenground.records.visits import current_snapshot, start_visit, studio_file
from tests.studio.pages.conftest import DAY, Desk


def test_a_routine_of_the_studios_own_is_used_from_the_next_visit_on_and_taken_back(desk: Desk) -> None:
    own = usual_routine_text().replace("Half a squat", "Rise from the chair")
    assert desk.client.post("/studio/routine", {"text": own}).status_code == 302
    assert "Rise from the chair" in desk.client.get("/studio/routine").content.decode()
    row = Visit.objects.get(pk=desk.visit.pk)
    later = Desk(client=desk.client, visit=start_visit(row.player, day=DAY, teacher="R. Tall"))
    for at in (desk, later):
        at.type("safety", "screening", "cleared")
    assert "Rise from the chair" in later.page("routine")
    assert "Rise from the chair" not in desk.page("routine")
    desk.client.post("/studio/routine", {"ours": "yes"})
    assert studio_file(current_snapshot()).routine is None


def test_a_text_that_is_wrong_is_kept_on_the_page_with_its_sentence(desk: Desk) -> None:
    wrong = usual_cues_text().replace('serves = "toe-out"', 'serves = "toes"')
    answer = desk.client.post("/studio/cues", {"text": wrong})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "not one of the choices" in page
    assert "serves = &quot;toes&quot;" in page
    assert current_snapshot() is None or studio_file(current_snapshot()).settings.cues is None


def test_cues_swapped_on_the_card_stand_there_and_the_rest_is_filled_up(desk: Desk) -> None:
    desk.type("as arrived", "width_mm", "400", family="irons")
    desk.page("as-arrived")
    before = desk.client.get(f"{desk.at}card/cues").content.decode()
    assert before.count("checked") == 4  # three cues and the home check
    done = desk.client.post(f"{desk.at}card/cues", {"cue": ["anew"], "home": "toes"})
    assert done.status_code == 302, done.content.decode()
    choice = desk.scene.visit.cue_choice
    assert choice is not None
    assert (choice.cues, choice.home_check) == (("anew",), "toes")
    line = next(c for c in desk.scene.findings.card if c.key == "posture")  # type: ignore[union-attr]
    assert line.now.startswith("Step away and set up anew")
    four = desk.client.post(f"{desk.at}card/cues", {"cue": ["anew", "breathe", "weight rests", "light hold"]})
    assert four.status_code == 422
