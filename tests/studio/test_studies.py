"""Studies in the app, put into use; a player's change between visits; how claims fared."""

import copy
from dataclasses import replace
from datetime import timedelta
from functools import cache
from html import unescape
from typing import Any

import pytest
from django.test import Client

from evenground.assess import assess
from evenground.capture.bundle import read_bundle
from evenground.capture.studio_file import studio_from
from evenground.example import example_bundle
from evenground.plain import to_plain
from evenground.records.models import AuditEntry, FindingsRow, Player, Role, Study
from evenground.records.visits import current_snapshot, start_visit, studio_file
from evenground.studio.days import today_here
from evenground.studio.study_room import change_of, studio_forecasts
from evenground.visit import StudioErrors
from tests.studio.conftest import As

ROWS = [f"{p},{o},{k},{i + (k * 7 + i * 3) % 5 + (o == 'Bo')}" for i, p in enumerate("ABCDEF")
        for o in ("Ana", "Bo") for k in (1, 2, 3)]  # fmt: skip
TEXT = "\n".join(["person,observer,repeat,value", *ROWS])


def errors_now() -> StudioErrors:
    return studio_from(studio_file(current_snapshot())).errors


def read(answer: Any) -> str:
    return unescape(answer.content.decode())


def send(client: Client, text: str, kind: str = "hip line") -> Any:
    return client.post("/studio/studies", {"kind": kind, "text": text})


def test_a_pasted_study_is_worked_out_and_changes_nothing_until_it_is_used(owner: Client) -> None:
    answer = send(owner, TEXT)
    row = Study.objects.get()
    assert answer.headers["Location"] == f"/studio/studies/{row.pk}"
    page = read(owner.get(f"/studio/studies/{row.pk}"))
    assert "error of one reading (SEM)" in page
    assert "<svg" in page
    assert "ICC(2,1)" in page
    assert errors_now().hip_line_deg is None


def test_a_study_put_into_use_is_the_error_of_visits_from_now_on(owner: Client) -> None:
    send(owner, TEXT)
    row = Study.objects.get()
    owner.post(f"/studio/studies/{row.pk}/use")
    now = errors_now()
    assert now.hip_line_deg == pytest.approx(row.result["studies"][""]["sem"]["value"], rel=5e-3)
    assert now.hip_line_between_observers_deg is not None
    assert now.turn_deg is None
    assert "in use" in read(owner.get(f"/studio/studies/{row.pk}"))
    assert AuditEntry.objects.filter(action="changed", what="errors").count() == 1


def test_a_study_with_a_slip_of_the_pen_is_shown_but_not_used(owner: Client) -> None:
    send(owner, TEXT.replace(ROWS[4], ROWS[4].rpartition(",")[0] + ",70"))
    row = Study.objects.get()
    page = read(owner.get(f"/studio/studies/{row.pk}"))
    assert "Look at A, Bo, repeat 2: 70" in page
    assert "Decide with it" not in page
    owner.post(f"/studio/studies/{row.pk}/use")
    assert errors_now().hip_line_deg is None


def test_what_is_no_study_is_said_beside_the_form_and_what_was_pasted_stays(owner: Client) -> None:
    answer = send(owner, "person,repeat,value\nA,1,two")
    assert answer.status_code == 422
    assert "the pasted lines line 2, value" in read(answer)
    assert "A,1,two" in read(answer)
    assert Study.objects.count() == 0


def test_two_methods_are_drawn_against_each_other(owner: Client) -> None:
    rows = [f"{i},{m},1,{i * 3 + a}" for i in range(6) for m, a in (("bar", 2 + i % 2), ("tags", 0))]
    send(owner, "\n".join(["person,method,repeat,value", *rows]))
    page = read(owner.get(f"/studio/studies/{Study.objects.get().pk}"))
    assert "bar less tags" in page
    assert "nineteen differences in twenty" in page
    assert "it compares two methods" in page


def test_a_teacher_studies_and_the_owner_decides_with_it(as_role: As) -> None:
    teacher = as_role(Role.TEACHER)
    send(teacher, TEXT)
    row = Study.objects.get()
    assert "The owner puts a study into use" in read(teacher.get(f"/studio/studies/{row.pk}"))
    assert teacher.post(f"/studio/studies/{row.pk}/use").status_code == 403
    assert errors_now().hip_line_deg is None


@cache
def example_findings() -> dict[str, Any]:
    """The findings of the example visit without its recordings, in their plain form."""
    bundle = read_bundle(example_bundle())
    visit = replace(bundle.visit, ground=())
    plain: dict[str, Any] = to_plain(assess(visit, bundle.studio, bundle.open_blob, digests=bundle.digests))
    return plain


def visited_twice(player: Player) -> Player:
    """The player was here twice; the turn grew by 15 deg, all else is as it was."""
    for weeks in (6, 0):
        visit = start_visit(player, day=today_here() - timedelta(weeks=weeks))
        body = copy.deepcopy(example_findings())
        turn = next(f for f in body["findings"] if f["kind"] == "turn")
        turn["value"]["lead"]["mean_deg"]["value"] += 0.0 if weeks else 15.0
        FindingsRow.objects.create(visit=visit, input_hash="0" * 64, body=body)
    return player


@pytest.fixture
def twice(owner: Client) -> Player:
    return visited_twice(Player.objects.create(name="Maren Quillby", handed="right"))


def test_the_players_page_tells_what_changed_line_by_line(owner: Client, twice: Player) -> None:
    page = read(owner.get(f"/players/{twice.pk}"))
    assert "42 days apart" in page
    assert "Changed: Turn toward the target." in page
    assert "no real change" in page
    found = change_of(twice)
    assert found is not None
    assert [one.key for one in found.lines if one.word == "changed"] == ["turn.lead.mean_deg"]


def test_one_visit_alone_has_nothing_to_compare(owner: Client) -> None:
    player = Player.objects.create(name="Maren Quillby", handed="right")
    FindingsRow.objects.create(
        visit=start_visit(player, day=today_here()), input_hash="0" * 64, body=example_findings()
    )
    assert change_of(player) is None
    assert "compared here, line by line" in read(owner.get(f"/players/{player.pk}"))


def test_a_corrected_name_is_no_other_player(owner: Client, twice: Player) -> None:
    twice.name = "Maren Quilby"
    twice.save()
    assert change_of(twice) is not None


def test_claims_of_earlier_cards_are_scored_on_the_studies_page(owner: Client, twice: Player) -> None:
    claims = studio_forecasts()
    assert {f.what.partition(":")[0] for f in claims} >= {"irons", "putter"}
    page = read(owner.get("/studio/studies"))
    assert "too few to judge" in page
    assert "Brier score" in page
