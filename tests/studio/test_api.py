"""The interface for scripts: tokens, readings, recordings whole and in pieces, and nothing but sentences."""

import io
import json
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import numpy as np
import pytest
from django.test import Client
from django.utils import timezone

from evenground.capture.parquet import read_parquet, write_recording
from evenground.measure.recording import MatRecording
from evenground.records.blobs import open_blob
from evenground.records.models import Person, Player, Reading, Role, Visit
from evenground.records.visits import start_visit
from evenground.studio.live import MOST_CELLS
from evenground.studio.models import DeviceToken, LivePart
from evenground.studio.tokens import WRONG_TOKENS, make_token, revoke_token
from tests.records.making import DAY

HEAD = {
    "rows": 4,
    "columns": 3,
    "pitch_x_mm": 10.0,
    "pitch_y_mm": 12.0,
    "unit": "kPa",
    "rate_hz": 50.0,
    "stance": "fitted",
    "footwear": "barefoot",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Script:
    """A studio's own script with its token."""

    secret: str
    visit: Visit
    person: Person

    @property
    def at(self) -> str:
        return f"/api/visits/{self.visit.pk}"

    @property
    def headers(self) -> dict[str, str]:
        return {"authorization": f"Bearer {self.secret}"}

    def get(self, path: str = "", **query: Any) -> Any:
        return Client().get(f"{self.at}{path}", query, headers=self.headers)

    def post(self, path: str, body: Any) -> Any:
        text = body if isinstance(body, str | bytes) else json.dumps(body)
        return Client().post(f"{self.at}{path}", text, content_type="application/json", headers=self.headers)

    def reading(self, kind: str = "body mass", **more: Any) -> Any:
        body = {"id": str(uuid4()), "kind": kind, "payload": {"mass_kg": 71.5}} | more
        return self.post("/readings", body)

    def upload(self, content: bytes, name: str = "stand.parquet", **more: Any) -> Any:
        body = {"id": str(uuid4()), "stance": "fitted", "footwear": "barefoot"} | more
        stream = io.BytesIO(content)
        stream.name = name
        return Client().post(f"{self.at}/recordings", body | {"recording": stream}, headers=self.headers)

    def begin(self, **more: Any) -> str:
        recording = str(uuid4())
        assert self.post(f"/live/{recording}", HEAD | more).status_code == 200
        return recording


def visit_of(name: str) -> Visit:
    player = Player.objects.create(name=name, handed="left", birth_year=1988, email="wren@halloway.example")
    return start_visit(player, day=DAY, teacher="R. Tall")


@pytest.fixture
def script(studio: Path) -> Script:
    WRONG_TOKENS.forget()
    person = Person.objects.create_person("tall", None, name="R. Tall", role=Role.TEACHER)
    visit = visit_of("Wren Halloway")
    return Script(secret=make_token(person, visit, "mat at the window"), visit=visit, person=person)


def frames(first: int, count: int) -> dict[str, Any]:
    """Frames that rise by one from cell to cell and by a hundred from frame to frame."""
    return {
        "first": first,
        "time_s": [(first + n) / 50.0 for n in range(count)],
        "cells": [[float(100 * (first + n) + c) for c in range(12)] for n in range(count)],
    }


def parquet(tmp_path: Path) -> bytes:
    rng = np.random.default_rng(20260509)
    cells = rng.uniform(0.0, 30.0, (20, 8, 6)).astype(np.float32)
    recording = MatRecording(
        cells=cells, unit="kPa", pitch_x_mm=10.0, pitch_y_mm=10.0, rate_hz=20.0, time_s=np.arange(20) / 20.0
    )
    write_recording(recording, tmp_path / "stand.parquet")
    return (tmp_path / "stand.parquet").read_bytes()


def test_a_reading_is_appended_in_the_name_of_who_made_the_token(script: Script) -> None:
    answer = script.reading()
    assert answer.status_code == 201
    kept = Reading.objects.get(kind="body mass")
    assert (kept.payload, kept.person, kept.device) == (
        {"mass_kg": 71.5},
        script.person,
        "mat at the window",
    )
    assert answer.json() == {"id": str(kept.pk), "seq": kept.seq, "new": True, "unfinished": None}


def test_the_same_reading_sent_again_changes_nothing(script: Script) -> None:
    again = str(uuid4())
    assert [script.reading(id=again).status_code for _ in range(2)] == [201, 200]
    assert Reading.objects.filter(kind="body mass").count() == 1


def test_the_same_id_with_another_content_is_a_conflict(script: Script) -> None:
    again = str(uuid4())
    script.reading(id=again)
    answer = script.reading(id=again, payload={"mass_kg": 90.0})
    assert answer.status_code == 409
    assert "another content" in answer.json()["what"]


def test_trials_without_a_number_take_the_next_one(script: Script) -> None:
    for width in (380.0, 420.0):
        payload = {"width_mm": width, "hip_line_deg": 1.0, "family": "irons"}
        assert script.reading("hip-line trial", payload=payload).status_code == 201
    numbers = [r.payload["trial"] for r in Reading.objects.filter(kind="hip-line trial").order_by("seq")]
    assert numbers == [1, 2]


@pytest.mark.parametrize("kind", ["visit", "player", "card line", "skip", "placement"])
def test_a_script_appends_measurements_and_nothing_else(script: Script, kind: str) -> None:
    before = Reading.objects.count()
    assert script.reading(kind, payload={"name": "Somebody"}).status_code == 422
    assert Reading.objects.count() == before


def test_a_script_can_neither_correct_nor_take_back(script: Script) -> None:
    other = Reading.objects.filter(visit=script.visit).first()
    assert other is not None
    for more in ({"supersedes": str(other.pk)}, {"void_reason": "wrong"}):
        assert script.reading(**more).status_code == 422


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ("", 422),
        ("{", 400),
        ("[" * 20000, 400),
        ("[]", 422),
        ('{"id": "x"}', 422),
        (b"\xff\xfe\x00", 400),
        (json.dumps({"id": str(UUID(int=1)), "kind": "unheard of", "payload": {}}), 422),
        (json.dumps({"id": str(UUID(int=1)), "kind": "body mass", "payload": {"mass_kg": 1e308}}), 422),
        (json.dumps({"id": str(UUID(int=1)), "kind": "body mass", "payload": {"mass_kg": "\x00"}}), 422),
    ],
)
def test_what_cannot_be_read_is_answered_in_one_sentence(script: Script, body: Any, status: int) -> None:
    answer = script.post("/readings", body)
    assert answer.status_code == status
    assert set(answer.json()) == {"code", "where", "what", "do"}
    assert answer.json()["what"]


def test_a_body_beyond_the_cap_is_refused_before_it_is_parsed(script: Script) -> None:
    answer = script.post("/readings", "x" * (3 * 1024**2))
    assert answer.status_code == 413
    assert "smaller pieces" in answer.json()["do"]


def test_a_whole_recording_becomes_a_placement_with_its_file(script: Script, tmp_path: Path) -> None:
    content, again = parquet(tmp_path), str(uuid4())
    assert script.upload(content, id=again).status_code == 201
    assert script.upload(content, id=again).status_code == 200
    kept = Reading.objects.get(kind="placement")
    with open_blob(kept.blob_links.get().blob_id) as stream:
        assert stream.read() == content


def test_a_text_grid_needs_its_layout(script: Script) -> None:
    answer = script.upload(b"1 2 3\n4 5 6\n", name="grid.txt")
    assert answer.status_code == 422
    assert "layout" in answer.json()["do"]
    assert not Reading.objects.filter(kind="placement").exists()


def test_a_file_that_is_no_recording_is_not_stored(script: Script) -> None:
    assert script.upload(b"<svg onload='x'/>", name="a.svg").status_code == 422
    assert not Reading.objects.filter(kind="placement").exists()


def test_frames_in_pieces_become_the_recording_they_were(script: Script) -> None:
    recording = script.begin()
    for first in (0, 20, 10):  # out of order
        assert script.post(f"/live/{recording}/frames", frames(first, 10)).status_code == 200
    answer = script.post(f"/live/{recording}/finish", {"frames": 30})
    assert answer.status_code == 200
    kept = Reading.objects.get(pk=recording)
    with open_blob(kept.blob_links.get().blob_id) as stream:
        read = read_parquet(stream.read(), file="live")
    sent = frames(0, 30)
    assert read.cells.reshape(30, 12).tolist() == sent["cells"]
    assert read.time_s.tolist() == sent["time_s"]
    assert (read.pitch_x_mm, read.pitch_y_mm, read.rate_hz) == (10.0, 12.0, 50.0)
    assert not any(bytes(p.cells) for p in LivePart.objects.all())


def test_pieces_and_finishing_sent_again_change_nothing(script: Script) -> None:
    recording = script.begin()
    for _ in range(2):
        assert script.post(f"/live/{recording}", HEAD).status_code == 200
        assert script.post(f"/live/{recording}/frames", frames(0, 10)).json()["frames"] == 10
    said = [script.post(f"/live/{recording}/finish", {"frames": 10}).json() for _ in range(2)]
    assert [s["new"] for s in said] == [True, False]
    assert said[0]["seq"] == said[1]["seq"]
    assert script.post(f"/live/{recording}/frames", frames(0, 10)).status_code == 200
    assert script.post(f"/live/{recording}/frames", frames(10, 10)).status_code == 409


def test_a_hole_is_named_and_can_still_be_filled(script: Script) -> None:
    recording = script.begin()
    for first in (0, 20):
        script.post(f"/live/{recording}/frames", frames(first, 10))
    answer = script.post(f"/live/{recording}/finish", {"frames": 30})
    assert answer.status_code == 409
    assert "from frame 10 on" in answer.json()["what"]
    script.post(f"/live/{recording}/frames", frames(10, 10))
    assert script.post(f"/live/{recording}/finish", {"frames": 30}).status_code == 200


@pytest.mark.parametrize(
    ("more", "status"),
    [
        ({"first": 5}, 409),  # overlaps
        ({"first": 0, "time_s": [9.0] * 10}, 409),  # another content at the same place
        ({"first": 10, "cells": [[1.0] * 11] * 10}, 422),  # too few cells
        ({"first": 10, "time_s": [1.0]}, 422),
        ({"first": 10, "cells": [[-1.0] * 12] * 10}, 422),
        ({"first": MOST_CELLS // 12 - 5}, 422),
    ],
)
def test_pieces_that_do_not_fit_are_refused(script: Script, more: dict[str, Any], status: int) -> None:
    recording = script.begin()
    script.post(f"/live/{recording}/frames", frames(0, 10))
    assert script.post(f"/live/{recording}/frames", frames(0, 10) | more).status_code == status


def test_times_that_do_not_rise_are_no_recording(script: Script) -> None:
    recording = script.begin()
    script.post(f"/live/{recording}/frames", frames(0, 10) | {"time_s": [1.0] * 10})
    answer = script.post(f"/live/{recording}/finish", {"frames": 10})
    assert answer.status_code == 422
    assert "Times must rise" in answer.json()["what"]


def test_a_visit_is_given_without_name_or_contact(script: Script) -> None:
    script.reading()
    said = script.get()
    assert said.status_code == 200
    assert said.json()["handed"] == "left"
    assert [r["kind"] for r in said.json()["readings"]] == ["visit", "body mass"]
    assert "Halloway" not in said.content.decode()
    assert "example" not in said.content.decode()
    assert script.get(since=said.json()["seq"]).json()["readings"] == []


def test_findings_are_given_as_the_file_holds_them(script: Script) -> None:
    script.reading()
    said = script.get("/findings").json()
    assert {"visit", "findings", "card", "not_measured"} <= set(said)


def test_a_token_is_for_one_visit(script: Script) -> None:
    other = visit_of("Odo Fennimark")
    answer = Client().get(f"/api/visits/{other.pk}", headers=script.headers)
    assert answer.status_code == 404


def test_a_token_is_kept_as_a_hash_only(script: Script) -> None:
    row = DeviceToken.objects.get()
    assert script.secret not in str(vars(row))
    assert len(row.token_hash) == 64


@pytest.mark.parametrize("how", ["revoked", "run out", "left", "unknown", "missing"])
def test_a_token_that_does_not_work_any_more_says_why(script: Script, how: str) -> None:
    row = DeviceToken.objects.get()
    headers = script.headers
    if how == "revoked":
        revoke_token(script.person, row.pk)
    elif how == "run out":
        DeviceToken.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    elif how == "left":
        Person.objects.update(is_active=False)
    elif how == "unknown":
        headers = {"authorization": "Bearer eg_nothing"}
    else:
        headers = {}
    answer = Client().get(script.at, headers=headers)
    assert answer.status_code == 401
    assert answer.json()["do"]


def test_guessing_tokens_is_slowed_down(script: Script) -> None:
    said = {
        Client().get(script.at, headers={"authorization": f"Bearer eg_{n}"}).status_code for n in range(25)
    }
    assert said == {401, 429}


def test_a_session_opens_the_interface_no_more_than_nothing_does(script: Script) -> None:
    client = Client()
    client.force_login(script.person)
    assert client.get(script.at).status_code == 401


def test_a_teacher_makes_a_token_that_is_shown_once_and_revokes_it(script: Script) -> None:
    client = Client()
    client.force_login(script.person)
    at = f"/visits/{script.visit.pk}/devices"
    page = client.post(at, {"name": "second mat"}).content.decode()
    row = DeviceToken.objects.get(name="second mat")
    secret = page.partition('<p class="typed">')[2].partition("</p>")[0]
    assert Client().get(script.at, headers={"authorization": f"Bearer {secret}"}).status_code == 200
    assert secret not in client.get(at).content.decode()
    client.post(f"{at}/{row.pk}/end")
    assert Client().get(script.at, headers={"authorization": f"Bearer {secret}"}).status_code == 401


def test_the_documentation_page_names_every_address_and_asks_nobody_but_this_machine(script: Script) -> None:
    client = Client()
    client.force_login(script.person)
    page = client.get("/api/docs").content.decode()
    for path, methods in client.get("/api/openapi.json").json()["paths"].items():
        for method in methods:
            assert f"{method.upper()} {path}" in page
    for field in ("payload", "time_s", "footwear", "pitch_x_mm", "?since"):
        assert field in page
    assert "http://" not in page
    assert "https://" not in page
    assert Client().get("/api/docs").status_code == 302
