"""A backup in one file: everything comes back, nothing damaged is taken, and nothing is written elsewhere."""

import json
import sqlite3
import zipfile
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from evenground.records.backup import (
    Backup,
    BackupDamagedError,
    BackupFromNewerVersionError,
    back_up,
    check_backup,
    put_back,
)
from evenground.records.blobs import path_of, put_blob
from evenground.records.models import Blob
from tests.records.test_privacy import whole_player

NOW = datetime(2026, 5, 9, 18, 30, tzinfo=UTC)
RECORDING = b"a recording " * 100


@pytest.fixture
def made(sqlite_records: Path, tmp_path: Path) -> Backup:
    """A backup of a studio with a player, a signed card and a recording."""
    whole_player()
    put_blob(RECORDING, "application/octet-stream")
    return back_up(sqlite_records, tmp_path / "backups", now=NOW)


def dump(file: Path) -> list[str]:
    """Every row of a database as SQL."""
    with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as rows:
        return list(rows.iterdump())


def known(backup: Backup) -> set[str]:
    with zipfile.ZipFile(backup.file) as packed:
        return set(json.loads(packed.read("manifest.json"))["migrations"])


def changed(made: Backup, to: Path, content: bytes) -> Path:
    to.mkdir(exist_ok=True)
    file = to / "changed.zip"
    file.write_bytes(content)
    return file


def test_everything_comes_back(made: Backup, sqlite_records: Path, tmp_path: Path) -> None:
    assert made.file.name == "evenground-20260509-183000.zip"
    home = tmp_path / "elsewhere"
    home.mkdir()
    assert put_back(made, home, known(made), now=NOW) is None
    assert dump(home / "records.sqlite3") == dump(sqlite_records / "records.sqlite3")
    stored = {path.name: path.read_bytes() for path in (sqlite_records / "blobs").glob("??/*")}
    assert {path.name: path.read_bytes() for path in (home / "blobs").glob("??/*")} == stored
    assert RECORDING in stored.values()
    assert made.files == len(stored)


def test_a_backup_is_made_while_somebody_writes_and_holds_nothing_half_done(
    made: Backup, sqlite_records: Path, tmp_path: Path
) -> None:
    with closing(sqlite3.connect(sqlite_records / "records.sqlite3")) as writer:
        writer.execute("BEGIN IMMEDIATE")
        writer.execute("UPDATE records_player SET note = 'half-way'")
        meanwhile = back_up(sqlite_records, tmp_path / "again", now=NOW)
        writer.rollback()
    with zipfile.ZipFile(meanwhile.file) as one, zipfile.ZipFile(made.file) as other:
        for packed, to in ((one, tmp_path / "one"), (other, tmp_path / "other")):
            packed.extract("records.sqlite3", to)
    assert dump(tmp_path / "one" / "records.sqlite3") == dump(tmp_path / "other" / "records.sqlite3")


def test_a_file_that_is_missing_is_named_and_the_rest_backed_up(
    made: Backup, sqlite_records: Path, tmp_path: Path
) -> None:
    (lost,) = Blob.objects.filter(size=len(RECORDING)).values_list("pk", flat=True)
    path_of(lost).unlink()
    assert back_up(sqlite_records, tmp_path / "again", now=NOW).missing == (lost,)


def test_what_was_there_is_set_aside_whole(made: Backup, sqlite_records: Path, tmp_path: Path) -> None:
    home = tmp_path / "elsewhere"
    (home / "blobs").mkdir(parents=True)
    (home / "records.sqlite3").write_bytes(b"what was there")
    aside = put_back(made, home, known(made), now=NOW)
    assert aside is not None
    assert (aside / "records.sqlite3").read_bytes() == b"what was there"


def test_erasures_of_both_sides_stay_on_the_list(made: Backup, tmp_path: Path) -> None:
    home = tmp_path / "elsewhere"
    home.mkdir()
    (home / "erased.jsonl").write_text('{"player": "one"}\n')
    put_back(made, home, known(made), now=NOW)
    assert (home / "erased.jsonl").read_text() == '{"player": "one"}\n'


@pytest.mark.parametrize("share", [0.0, 0.01, 0.3, 0.6, 0.9, 0.99, 0.999])
def test_a_backup_that_was_cut_is_refused(made: Backup, tmp_path: Path, share: float) -> None:
    whole = made.file.read_bytes()
    cut = changed(made, tmp_path / "cut", whole[: int(share * len(whole))])
    with pytest.raises(BackupDamagedError):
        check_backup(cut)


def test_a_backup_with_one_changed_byte_is_refused_or_means_the_same(made: Backup, tmp_path: Path) -> None:
    whole = made.file.read_bytes()

    def outcome(at: int) -> str:
        """What comes of a backup whose byte `at` was turned over."""
        bent = whole[:at] + bytes([whole[at] ^ 0xFF]) + whole[at + 1 :]
        try:
            check_backup(changed(made, tmp_path / "bent", bent))
        except BackupDamagedError:
            return "refused"
        with zipfile.ZipFile(tmp_path / "bent" / "changed.zip") as one, zipfile.ZipFile(made.file) as other:
            same = all(one.read(name) == other.read(name) for name in other.namelist())
        return "the same" if same else f"byte {at} came through"

    outcomes = [outcome(at) for at in range(0, len(whole), len(whole) // 120)]
    assert set(outcomes) <= {"refused", "the same"}
    assert outcomes.count("refused") > len(outcomes) * 0.9  # the rest are dates and such in the zip itself


@pytest.mark.parametrize("name", ["../out", "/out", "blobs/../../out", "secret.key", "blobs/ab/abcd"])
def test_a_backup_with_a_member_that_has_no_place_is_refused(made: Backup, tmp_path: Path, name: str) -> None:
    bent = tmp_path / "bent.zip"
    with zipfile.ZipFile(made.file) as old, zipfile.ZipFile(bent, "w") as new:
        for member in old.namelist():
            new.writestr(member, old.read(member))
        new.writestr(name, b"x")
    with pytest.raises(BackupDamagedError):
        check_backup(bent)


def test_a_backup_of_a_newer_program_is_refused_before_anything_changes(made: Backup, tmp_path: Path) -> None:
    home = tmp_path / "elsewhere"
    home.mkdir()
    with pytest.raises(BackupFromNewerVersionError):
        put_back(made, home, known(made) - {"records.0001_initial"}, now=NOW)
    assert list(home.iterdir()) == []
