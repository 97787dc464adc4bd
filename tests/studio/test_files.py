"""Stored files go only to those who may see what they belong to, and never run in a page."""

from datetime import UTC, date, datetime
from pathlib import Path
from uuid import uuid4

import pytest
from django.test import Client

from evenground.records.blobs import erase_blob, put_blob
from evenground.records.entries import Entry
from evenground.records.log import append
from evenground.records.models import AuditEntry, Blob, Player, Role, Visit, VisitState
from evenground.records.reading_kinds import kind_named
from evenground.records.visits import start_visit
from tests.studio.conftest import As

GRID = b"0 0 1\n0 2 1\n"


@pytest.fixture
def visit(studio: Path) -> Visit:
    player = Player.objects.create(name="Odo Fennimark", handed="left")
    return start_visit(player, day=date(2026, 5, 9))


@pytest.fixture
def named(visit: Visit) -> Blob:
    """A recording that a reading of the visit names."""
    blob = put_blob(GRID, "text/plain")
    placement = {"recording": "mat/own-1.txt", "footwear": "barefoot", "stance": "as arrived"}
    entry = Entry(
        id=uuid4(),
        kind="placement",
        version=kind_named("placement").version,
        payload=placement,
        at=datetime(2026, 5, 9, 12, tzinfo=UTC),
        blobs={"mat/own-1.txt": blob.sha256},
    )
    append(visit.pk, entry)
    return blob


def test_a_file_that_a_visit_names_is_given_as_a_download_that_cannot_run(owner: Client, named: Blob) -> None:
    answer = owner.get(f"/files/{named.sha256}")
    assert answer.content == GRID
    assert answer.headers["Content-Disposition"].startswith("attachment;")
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert answer.headers["Cache-Control"] == "no-store"


def test_a_file_that_nothing_names_is_there_for_nobody(owner: Client) -> None:
    orphan = put_blob(b"<svg onload=alert(1)>", "image/svg+xml")
    assert owner.get(f"/files/{orphan.sha256}").status_code == 404


def test_a_deleted_file_is_gone_and_its_reading_stays(owner: Client, named: Blob, visit: Visit) -> None:
    erase_blob(named.sha256, "asked for")
    assert owner.get(f"/files/{named.sha256}").status_code == 404
    assert visit.readings.filter(kind="placement").exists()


def test_an_assistant_sees_files_of_visits_that_are_going_on(as_role: As, named: Blob, visit: Visit) -> None:
    assistant = as_role(Role.ASSISTANT)
    assert assistant.get(f"/files/{named.sha256}").status_code == 200
    Visit.objects.filter(pk=visit.pk).update(state=VisitState.CLOSED)
    assert assistant.get(f"/files/{named.sha256}").status_code == 404


def test_nobody_signed_out_sees_a_file(named: Blob) -> None:
    assert Client().get(f"/files/{named.sha256}").status_code == 302


def test_who_saw_a_file_is_written_down(owner: Client, named: Blob, visit: Visit) -> None:
    owner.get(f"/files/{named.sha256}")
    entry = AuditEntry.objects.get(action="saw", what="file")
    assert (entry.object_id, entry.player_id) == (named.sha256, visit.player_id)


@pytest.mark.parametrize("name", ["..", "%2e%2e%2fsecret.key", "0" * 64])
def test_a_name_that_is_no_digest_leads_nowhere(name: str, owner: Client) -> None:
    assert owner.get(f"/files/{name}").status_code == 404
