"""Every check page: a good value in either system, a bad one in a sentence, a skip, what drops out."""

import re
from typing import Any

import pytest

from evenground.records.visits import studio_file, use_snapshot
from evenground.studio.pages.checks import slug_of
from evenground.visit import CHECKS
from tests.studio.pages.conftest import Desk, visit_for
from tests.studio.pages.sample import type_in

IRONS: dict[str, Any] = {"family": "irons"}
GOOD = [
    ("safety", "cleared", "screening", {}, "cleared"),
    ("shoes", "11 1/4 in", "length_mm", {}, 285.75),
    ("as arrived", "1 ft 4 in", "width_mm", IRONS, 406.4),
    ("as arrived", "406", "width_mm", IRONS, 406.0),
    ("body size", "5' 11\"", "size_mm", {"name": "stature", "repeat": 1}, 1803.4),
    ("body mass", "12 st 4 lb", "mass_kg", {}, 172 * 0.45359237),
    ("hand", "7 5/8 in", "length_mm", {"side": "left"}, 193.675),
    ("ball", "5 in", "inside_lead_heel_mm", {**IRONS, "repeat": 1}, 127.0),
    ("posture", "36½", "trunk_deg", {**IRONS, "repeat": 1}, 36.5),
    ("turn", "84°", "turn_deg", {"toward": "lead", "repeat": 1}, 84.0),
    ("turn", "yes", "stopped_by_pain", {"toward": "lead", "repeat": 1}, True),
    ("grip trial", "-1.5", "hip_line_deg", {"pair": 1, "club": "7 iron", "grip": "own"}, -1.5),
    ("aim set-up", "6 ft", "distance_m", {}, 1.8288),
    ("player", "1990", "birth_year", {}, 1990),
]
BAD = [
    ("as arrived", "5 ft 11", "width_mm", IRONS, "the 11 at the end has no unit"),
    ("as arrived", "12", "width_mm", IRONS, "It has to be more than 50 mm."),
    ("body mass", "400", "mass_kg", {}, "It has to be less than 350 kg."),
    ("hand", "wide", "length_mm", {"side": "left"}, "is not a number with a unit"),
    ("posture", "1,800", "trunk_deg", {**IRONS, "repeat": 1}, "the comma could mark thousands or a decimal"),
    ("player", "soon", "birth_year", {}, '"soon" is not a whole number.'),
    ("safety", "perhaps", "screening", {}, "Allowed: 'cleared' or 'measuring only'"),
    ("turn", "maybe", "stopped_by_pain", {"toward": "lead", "repeat": 1}, "Choose yes or no."),
]


@pytest.mark.parametrize(("kind", "text", "field", "keys", "stored"), GOOD)
def test_a_good_value_is_stored_in_its_unit(
    desk: Desk, kind: str, text: str, field: str, keys: dict[str, Any], stored: Any
) -> None:
    answer = desk.type(kind, field, text, **keys)
    assert answer.status_code == 200, answer.content
    shown = desk.shown(kind, field, **keys)
    assert shown == (pytest.approx(stored, rel=1e-12) if isinstance(stored, float) else stored)


@pytest.mark.parametrize(("kind", "text", "field", "keys", "sentence"), BAD)
def test_a_bad_value_gets_one_sentence_and_stores_nothing(
    desk: Desk, kind: str, text: str, field: str, keys: dict[str, Any], sentence: str
) -> None:
    before = desk.seq
    answer = desk.type(kind, field, text, **keys)
    assert answer.status_code == 422
    assert sentence in answer.json()["sentence"]
    assert desk.seq == before


def test_a_studio_in_inches_reads_and_shows_inches(desk: Desk) -> None:
    file = studio_file(None).model_copy(
        update={"settings": studio_file(None).settings.model_copy(update={"units": "inch quarters"})}
    )
    desk.visit.snapshot = use_snapshot(file)
    desk.visit.save()
    answer = desk.type("as arrived", "width_mm", "16 1/4", family="irons").json()
    assert answer["text"] == "16 1/4 in"
    assert desk.shown("as arrived", "width_mm", family="irons") == 412.75
    assert 'value="16 1/4 in"' in desk.page("as-arrived")


@pytest.mark.parametrize("check", CHECKS)
def test_every_page_opens_empty_and_says_what_to_do_first(desk: Desk, check: str) -> None:
    page = desk.page(slug_of(check))  # type: ignore[arg-type]
    what = re.search(r'<p class="what">([^<]+)</p>', page)
    assert what is not None
    assert len(what[1]) > 8


def test_every_page_opens_with_a_visit_on_it(typed: Desk) -> None:
    pages = {check: typed.page(slug_of(check)) for check in CHECKS}
    assert [check for check, page in pages.items() if 'aria-current="page"' not in page] == []
    assert [check for check, page in pages.items() if "could not be worked out" in page] == []


@pytest.fixture
def typed(desk: Desk) -> Desk:
    type_in(desk)
    return desk


def test_a_skip_is_kept_with_its_reason_and_taken_back(desk: Desk) -> None:
    desk.send("skip", check="aim", why="no time")
    assert desk.scene.visit.skipped == {"aim": "no time"}
    assert "Left out: no time." in desk.page("aim")
    desk.send("skip", check="aim", why="")
    assert desk.scene.visit.skipped == {}


def test_a_skip_says_its_price_before(desk: Desk) -> None:
    assert "What it costs: No stance width is proposed." in desk.page("hip-line")


def test_the_screening_cannot_be_left_out(desk: Desk) -> None:
    assert "Leave safety out" not in desk.page("safety")


def test_turn_is_not_asked_of_a_player_who_was_not_cleared(desk: Desk) -> None:
    desk.type("safety", "screening", "measuring only")
    page = desk.page("turn")
    assert "Not asked: the screening did not clear the player to turn." in page
    assert "turn--lead--1--turn_deg" not in page


def test_a_one_armed_seated_player_is_asked_for_one_hand_and_no_stance(desk: Desk) -> None:
    desk.type("seated", "seated", "yes")
    desk.type("limb", "state", "absent", limb="left arm")
    for slug in ("as-arrived", "ball", "ground", "hip-line", "posture", "grip"):
        assert "Not asked: the player is seated." in desk.page(slug)
    hands = desk.page("hands")
    assert "hand--right--length_mm" in hands
    assert "hand--left--length_mm" not in hands


def test_the_card_of_a_seated_player_invents_no_feet(desk: Desk) -> None:
    desk.type("seated", "seated", "yes")
    desk.type("limb", "state", "absent", limb="left arm")
    desk.type("hand", "length_mm", "193", side="right")
    desk.type("hand", "palm_length_mm", "117", side="right")
    findings = desk.scene.findings
    assert findings is not None
    widths = [line for line in findings.card if line.key.endswith(".width")]
    assert [line.answer for line in widths] == ["not measured"] * 3
    assert "ground: the player is seated" in findings.not_measured
    assert "feet-irons" not in desk.page("as-arrived")


def test_a_left_handed_players_target_lies_on_the_other_side(typed: Desk) -> None:
    right = _target_x(typed.page("as-arrived"))
    typed.type("player", "handed", "left")
    left = _target_x(typed.page("as-arrived"))
    assert right < 245.0 < left  # the drawing's middle: 210 of 420 px, and its margin


def _target_x(page: str) -> float:
    """Where the word target stands in the first drawing, in its own pixels."""
    found = re.search(r'<text class="t-soft" x="([\d.]+)"[^>]*>target</text>', page)
    assert found is not None
    return float(found[1])


def test_an_emptied_field_takes_its_value_back(desk: Desk) -> None:
    desk.type("body mass", "mass_kg", "82 kg")
    assert desk.type("body mass", "mass_kg", "").status_code == 200
    assert desk.shown("body mass", "mass_kg") is None
    assert "1 earlier" in desk.page("body")


def test_one_figure_of_a_kept_trial_cannot_be_emptied_alone(desk: Desk) -> None:
    desk.trial("hip-line trial", width_mm="400", hip_line_deg="1")
    answer = desk.type("hip-line trial", "hip_line_deg", "", trial=1)
    assert answer.status_code == 422
    assert "take the whole trial back" in answer.json()["sentence"]


def test_a_value_over_anothers_is_stored_and_told(desk: Desk) -> None:
    first = desk.type("body mass", "mass_kg", "82 kg").json()["reading"]
    second = desk.type("body mass", "mass_kg", "83 kg", seen="").json()
    assert second["overlap"].startswith("R. Tall wrote 82.0 kg here meanwhile.")
    third = desk.type("body mass", "mass_kg", "84 kg", seen=second["reading"]).json()
    assert third["overlap"] == ""
    assert first != second["reading"]


def test_the_history_of_a_field_tells_every_value(desk: Desk) -> None:
    for text in ("82", "83", "84"):
        desk.type("body mass", "mass_kg", text)
    page = desk.client.get(f"{desk.at}history/?kind=body+mass&field=mass_kg").content.decode()
    assert re.findall(r"<strong>([^<]+)</strong>", page) == ["84.0 kg", "83.0 kg", "82.0 kg"]


def test_nothing_new_is_answered_with_nothing(typed: Desk) -> None:
    page = typed.page("hip-line")
    stamp = re.search(r'"since": (\d+), "found": "(\w+)", "minute": (\d+)', page)
    assert stamp is not None
    asked = {"since": stamp[1], "found": stamp[2], "minute": stamp[3]}
    assert typed.client.get(f"{typed.at}hip-line/news/", asked).status_code == 204
    typed.type("body mass", "mass_kg", "84")
    news = typed.client.get(f"{typed.at}hip-line/news/", asked)
    assert news.status_code == 200
    assert news.content.decode().count('hx-swap-oob="true"') >= 10


def test_a_visit_opens_at_the_check_that_is_next(desk: Desk) -> None:
    assert desk.client.get(desk.at).headers["location"] == f"{desk.at}safety/"
    desk.type("safety", "screening", "cleared")
    assert desk.client.get(desk.at).headers["location"] == f"{desk.at}as-arrived/"


def test_a_page_of_no_check_is_not_there(desk: Desk) -> None:
    assert desk.client.get(f"{desk.at}putting/").status_code == 404


def test_an_odd_request_is_refused_without_a_trace(desk: Desk) -> None:
    assert desk.send("field", nothing="here").status_code == 400
    assert desk.send("field", kind="no such kind", field="x", text="1").status_code == 422


def test_a_readings_id_of_another_visit_is_refused(desk: Desk) -> None:
    mine = desk.type("body mass", "mass_kg", "82").json()["reading"]
    other = Desk(client=desk.client, visit=visit_for("Ansel Quire"))
    assert other.type("body mass", "mass_kg", "90", id=mine).status_code == 409
    assert other.shown("body mass", "mass_kg") is None
