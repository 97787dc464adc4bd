"""The routine inside a visit: gated by the screening, kept without a reason, and the next trial after it."""

import pytest

from tests.studio.pages.conftest import Desk


def clear(desk: Desk) -> None:
    assert desk.type("safety", "screening", "cleared").status_code == 200


@pytest.mark.parametrize("screening", ["", "measuring only"])
def test_the_routine_is_not_offered_unless_the_screening_cleared_the_player(
    desk: Desk, screening: str
) -> None:
    if screening:
        desk.type("safety", "screening", screening)
    page = desk.page("routine")
    assert "not offered" in page
    assert "<form" not in page.partition('id="check"')[2].partition("</main>")[0]
    assert desk.client.get(f"{desk.at}routine.pdf").status_code == 404


def test_a_cleared_player_gets_the_moves_with_their_easier_form_and_the_cautions(desk: Desk) -> None:
    clear(desk)
    page = desk.page("routine")
    assert page.count("<li data-seconds") == 7
    assert page.count('data-form="easier"') == 7
    assert "Stop at pain" in page
    assert desk.client.get(f"{desk.at}routine.pdf").content.startswith(b"%PDF")


def test_a_seated_player_gets_the_seated_form(desk: Desk) -> None:
    clear(desk)
    desk.type("seated", "seated", "yes")
    page = desk.page("routine")
    assert '<p data-form="usual" hidden>' in page
    assert '<p data-form="seated">' in page


def test_a_run_ended_early_is_kept_without_a_reason_and_leaves_the_phase_alone(desk: Desk) -> None:
    clear(desk)
    done = desk.client.post(
        f"{desk.at}routine/",
        {"outcome": "ended early", "version": "easier", "seconds": "71", "clock": "10:32"},
    )
    assert done.status_code == 302
    (run,) = desk.scene.visit.routine
    assert (run.outcome, run.version, run.seconds, run.clock) == ("ended early", "easier", 71.0, "10:32")
    assert "before the routine" in desk.page("hip-line")


def test_a_run_done_makes_the_next_trial_one_after_the_routine_until_it_is_taken_back(desk: Desk) -> None:
    clear(desk)
    desk.type("hip-line set-up", "landmark", "belt line")
    desk.trial("hip-line trial", width_mm="400", hip_line_deg="2", phase="before")
    assert "before the routine" in desk.page("hip-line")
    assert desk.trial("routine", outcome="done", version="usual", seconds="160").status_code == 200
    assert "after the routine" in desk.page("hip-line")
    slot = desk.log.of("routine")[0]
    desk.send("take-back", readings=[str(r) for r in slot.readings], why="not the whole of it")
    assert "before the routine" in desk.page("hip-line")


def test_a_time_of_day_that_is_none_is_refused_in_a_sentence(desk: Desk) -> None:
    clear(desk)
    answer = desk.client.post(f"{desk.at}routine/", {"outcome": "done", "version": "usual", "clock": "25:99"})
    assert answer.status_code == 422
    assert "clock" in answer.content.decode()
    assert desk.scene.visit.routine == ()
