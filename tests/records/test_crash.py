import hashlib
import json
import os
import resource
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from pytest_django import DjangoDbBlocker, Settings

from evenground.records.answers import NoRoomError
from evenground.records.assemble import assemble
from evenground.records.blobs import BlobNotFoundError, open_blob, path_of, put_blob, sweep
from evenground.records.log import append, entries_of
from evenground.records.models import Blob, Reading, ReadingBlob, Visit
from tests.records.conftest import database, sqlite
from tests.records.making import entry, visit

LIVES = 100


@pytest.fixture(scope="module")
def aftermath(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any]]:
    """The data folder after a hundred savers were killed, and what they said they had saved."""
    home = tmp_path_factory.mktemp("killed")
    done = subprocess.run(
        [sys.executable, "-m", "tests.records.crash", str(LIVES)],
        env=os.environ | {"EVENGROUND_HOME": str(home), "PYTHONPATH": os.pathsep.join(sys.path)},
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return home, json.loads(done.stdout)


@pytest.fixture
def killed(
    aftermath: tuple[Path, dict[str, Any]], settings: Settings, django_db_blocker: DjangoDbBlocker
) -> Iterator[dict[str, Any]]:
    home, said = aftermath
    settings.BLOB_FOLDER = home / "blobs"
    with django_db_blocker.unblock(), database(sqlite(home)):
        yield said


def test_every_answered_save_of_a_hundred_killed_servers_is_there(killed: dict[str, Any]) -> None:
    answered = set(killed["answered"])
    assert len(answered) == len(killed["answered"]) >= LIVES // 2 * 3
    stored = {str(pk) for pk in Reading.objects.values_list("pk", flat=True)}
    assert answered <= stored


def test_a_killed_server_leaves_no_half_rows(killed: dict[str, Any]) -> None:
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA integrity_check")
        assert cursor.fetchone() == ("ok",)
    row = Visit.objects.get(pk=killed["visit"])
    seqs = list(Reading.objects.order_by("seq").values_list("seq", flat=True))
    assert seqs == list(range(1, row.last_seq + 1))
    placements = Reading.objects.filter(kind="placement")
    assert ReadingBlob.objects.count() == placements.count()
    assert len(assemble(entries_of(row.pk)).ground) == placements.count()


def test_every_stored_file_is_whole_and_no_orphan_is_served(killed: dict[str, Any]) -> None:
    for blob in Blob.objects.all():
        with open_blob(blob.sha256) as stream:
            content = stream.read()
        assert (hashlib.sha256(content).hexdigest(), len(content)) == (blob.sha256, blob.size)
    known = set(Blob.objects.values_list("sha256", flat=True))
    folder = path_of("00").parents[1]
    lying = {p.name for p in folder.glob("*/*") if p.is_file()}
    orphans = lying - known
    assert orphans  # the killed left some, or this test tests nothing
    for name in orphans:
        with pytest.raises(BlobNotFoundError):
            open_blob(name)
    assert sweep(older_than_s=-1.0) == len(orphans)
    assert {p.name for p in folder.glob("*/*") if p.is_file()} == known


@contextmanager
def largest_file(size: int) -> Iterator[None]:
    """Let the system refuse to write past a size, as a full disk does."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_a_disk_that_fills_up_while_a_file_comes_in_leaves_nothing_behind(sqlite_records: Path) -> None:
    with largest_file(64 * 1024), pytest.raises(NoRoomError, match="disk is full"):
        put_blob(os.urandom(200_000), "application/octet-stream")
    assert not Blob.objects.exists()
    assert [p for p in (sqlite_records / "blobs").rglob("*") if p.is_file()] == []
    assert put_blob(b"later", "text/plain").size == 5


def test_a_disk_that_fills_up_under_the_records_keeps_what_was_answered(sqlite_records: Path) -> None:
    of = visit()
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA page_count")
        pages = cursor.fetchone()[0]
        cursor.execute(f"PRAGMA max_page_count = {pages + 2}")
    answered = []

    def save_until_full() -> None:
        for number in range(1, 201):
            reading = entry("hip-line trial", trial=number, width_mm=380, hip_line_deg=1)
            answered.append(append(of.pk, reading).reading.pk)

    with pytest.raises(NoRoomError, match="was not saved"):
        save_until_full()
    assert 0 < len(answered) < 200
    connection.close()  # a new connection has room again
    stored = Reading.objects.filter(kind="hip-line trial").order_by("seq")
    assert [r.pk for r in stored] == answered
    again = append(of.pk, entry("hip-line trial", trial=200, width_mm=380, hip_line_deg=1))
    assert again.reading.seq == Visit.objects.get(pk=of.pk).last_seq
