"""The routine and the cues as files: ours hold what they promise, a studio's own say what is wrong."""

import pytest

from evenground.capture.fields import UnreadableFieldError, read_toml
from evenground.capture.library_file import (
    CuesFile,
    RoutineFile,
    cues_from,
    cues_toml,
    routine_from,
    routine_toml,
    usual_cues,
    usual_cues_text,
    usual_routine,
    usual_routine_text,
)
from evenground.library import SERVES


def test_the_routine_takes_two_to_three_minutes_and_every_move_has_all_its_forms() -> None:
    routine = usual_routine()
    assert 120 <= routine.seconds <= 180
    for move in routine.moves:
        assert all((move.how, move.easier, move.seated, move.caution, move.stop.startswith("Stop at")))
    assert any("pain" in c for c in routine.cautions)
    assert any("licensed" in c for c in routine.cautions)


def test_nobody_who_sits_is_told_to_stand() -> None:
    for move in usual_routine().moves:
        assert not {"stand", "standing", "squat", "walk"} & set(move.seated.lower().replace(".", "").split())


def test_every_finding_that_is_named_for_cues_has_a_cue_and_one_or_the_other_a_home_check() -> None:
    library = usual_cues()
    assert {c.serves for c in library.cues} == set(SERVES) - {"own width"}
    wanted = {"stance width", "toe-out", "weight", "posture", "grip", "aim", "ball", "own width"}
    assert {h.serves for h in library.home_checks} == wanted
    assert all("ome back" in h.come_back or "come sooner" in h.come_back for h in library.home_checks)


def test_both_files_read_back_what_they_were_written_from() -> None:
    routine = routine_from(read_toml(routine_toml(usual_routine()).encode(), RoutineFile, file="r"))
    cues = cues_from(read_toml(cues_toml(usual_cues()).encode(), CuesFile, file="c"))
    assert (routine, cues) == (usual_routine(), usual_cues())


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("seconds = 20\nhow", "seconds = 400\nhow", "at most 120"),
        ("stop = ", "# stop = ", "moves 1, stop: This is missing"),
        ('name = "Swing the leg"', 'name = "Half a squat"', "stands there twice"),
        ("repeats = 6", "repaets = 6", "Did you mean repeats"),
    ],
)
def test_a_studios_routine_that_is_wrong_says_where(old: str, new: str, said: str) -> None:
    text = usual_routine_text().replace(old, new, 1)
    with pytest.raises(UnreadableFieldError) as caught:
        read_toml(text.encode(), RoutineFile, file="routine.toml")
    assert said in str(caught.value)


def test_a_routine_of_an_hour_is_none() -> None:
    text = (
        usual_routine_text().replace("seconds = 15", "seconds = 120").replace("seconds = 20", "seconds = 120")
    )
    with pytest.raises(UnreadableFieldError, match="a routine takes 30 to 600"):
        read_toml(text.encode(), RoutineFile, file="routine.toml")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("Breathe out once", "Breathe out 2 times", "carries no figure"),
        ("your {club} stance", "your {brand} stance", "place in braces"),
        ('serves = "toe-out"', 'serves = "toes"', "not one of the choices"),
        ('key = "narrower"', 'key = "wider"', "stands there twice"),
        ('serves = "anything"', 'serves = "grip"', "needs three cues"),
        ('serves = "own width"', 'serves = "grip"', "needs a home check that serves own width"),
    ],
)
def test_a_studios_cues_that_are_wrong_say_so(old: str, new: str, said: str) -> None:
    text = usual_cues_text().replace(old, new, 1)
    with pytest.raises(UnreadableFieldError) as caught:
        read_toml(text.encode(), CuesFile, file="cues.toml")
    assert said in str(caught.value)
