"""Cues and the home check: three of them, without figures, chosen by what was found."""

from dataclasses import replace

from evenground.capture.library_file import usual_cues
from evenground.findings import FamilySetup
from evenground.report.card_view import card_view
from evenground.report.cues import cue_facts, cues_for, home_check
from evenground.visit import BodyCheck, StudioSettings, Visit
from tests.report import samples


def test_three_cues_whatever_was_found() -> None:
    for visit, findings in (
        (samples.full_visit(), samples.full_findings()),
        (samples.sparse_visit(), samples.sparse_findings()),
    ):
        assert len(cues_for(visit, findings)) == 3


def test_no_cue_carries_a_figure_or_pushes_into_pain() -> None:
    for cue in usual_cues().cues:
        assert not any(c.isdigit() for c in cue.say)
        assert not {"stretch", "further", "harder"} & set(cue.say.lower().split())


def test_a_stance_that_gets_wider_is_called_wide_and_one_that_gets_narrower_close() -> None:
    visit, findings = samples.full_visit(), samples.full_findings()
    assert cue_facts(visit, findings).wider_mm > 0.0
    assert "too wide" in cues_for(visit, findings)[0]
    wide = samples.mm(600.0, 2.0)
    setups = (f.value for f in findings.findings if isinstance(f.value, FamilySetup))
    narrower = tuple(samples.finding(f"setup.{s.family}", replace(s, was_inside_mm=wide)) for s in setups)
    assert "too close" in cues_for(visit, replace(findings, findings=narrower))[0]


def test_home_check_names_the_irons_and_when_to_come_back() -> None:
    check = home_check(samples.full_visit(), samples.full_findings())
    assert "iron stance" in check.do
    assert "Come back" in check.come_back


def test_home_check_without_a_range_asks_for_the_own_width() -> None:
    assert "own stance" in home_check(samples.sparse_visit(), samples.sparse_findings()).do


def seated() -> Visit:
    return replace(samples.sparse_visit(), body=BodyCheck(seated=True))


def test_nobody_who_does_not_stand_on_two_feet_is_told_to_stand() -> None:
    visit, findings = seated(), samples.sparse_findings()
    check = home_check(visit, findings)
    said = " ".join((*cues_for(visit, findings), check.do, check.come_back)).lower()
    assert not {"stance", "stand", "foot", "feet", "heel", "step", "shoes"} & set(
        said.replace(".", "").split()
    )
    assert len(cues_for(visit, findings)) == 3


def test_the_card_of_a_seated_player_proposes_no_stance_and_says_why() -> None:
    view = card_view(seated(), StudioSettings(), replace(samples.sparse_findings(), findings=()))
    assert [row.instead for row in view.rows] == ["No stance between two feet: the player is seated."] * 3
    assert [row.drawing for row in view.rows] == [None] * 3
