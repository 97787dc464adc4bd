"""All of a studio's records in one file, checked by digests; and back, without an erased player.

A backup is a zip without compression: `records.sqlite3` as SQLite's own online backup copies it while the
studio works, every file that its rows name, `erased.jsonl`, and last `manifest.json` with the SHA-256 of
each. The secret that signs sessions and the certificate stay behind: they are the machine's.
"""

import hashlib
import json
import os
import shutil
import sqlite3
import zipfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import IO

from pydantic import BaseModel, ConfigDict, ValidationError

from evenground import __version__
from evenground.errors import RecordsError
from evenground.records.answers import no_room

__all__ = [
    "Backup",
    "BackupDamagedError",
    "BackupFromNewerVersionError",
    "BackupNotSqliteError",
    "Manifest",
    "back_up",
    "check_backup",
    "put_back",
]

FORMAT = 1
DATABASE = "records.sqlite3"
ERASED = "erased.jsonl"
MANIFEST = "manifest.json"
BLOBS = "blobs/"
_PIECE = 1024 * 1024
_EPOCH = (1980, 1, 1, 0, 0, 0)


class BackupNotSqliteError(RecordsError):
    """The records lie in another database, which has its own way of being backed up."""

    do = "Use the database's own tool (pg_dump), and copy the folder blobs and erased.jsonl after it."

    def __init__(self, engine: str) -> None:
        super().__init__(engine)
        self.where = "database"
        self.what = f"The records lie in {engine}; one file can only be made of SQLite records."


class BackupDamagedError(RecordsError):
    """A backup that is cut, changed, or something else."""

    do = "Nothing was changed here. Use another backup."

    def __init__(self, file: str, why: str) -> None:
        super().__init__(file, why)
        self.where = file
        self.what = f"This backup cannot be used: {why}."


class BackupFromNewerVersionError(RecordsError):
    """A backup that a newer Evenground wrote."""

    do = "Nothing was changed here. Update Evenground on this machine first."

    def __init__(self, file: str, version: str) -> None:
        super().__init__(file, version)
        self.where = file
        self.what = f"This backup was written by Evenground {version}, and holds what this one does not know."


class Manifest(BaseModel):
    """What a backup holds: the SHA-256 of each member, and the files that were gone when it was made."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    format: int
    version: str
    made_at: str
    migrations: list[str]
    members: dict[str, str]
    missing: list[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Backup:
    """A backup that was written or read through: its digest, size in bytes, how many files it holds."""

    file: Path
    sha256: str
    size: int
    files: int
    missing: tuple[str, ...]
    made_at: str


def back_up(home: Path, folder: Path, *, now: datetime) -> Backup:
    """Copy a data folder's records into one new file, while the studio may go on working.

    Parameters
    ----------
    home
        The data folder; its records lie in SQLite.
    folder
        Where the file goes, best on another disk; made when it is not there.
    now
        Names the file.

    Raises
    ------
    NoRoomError
        When the disk is full; nothing is left behind.
    """
    with no_room():
        folder.mkdir(parents=True, exist_ok=True)
    target = folder / f"evenground-{now:%Y%m%d-%H%M%S}.zip"
    part = target.with_suffix(".part")
    try:
        with no_room():
            _write(home, part, now)
            part.replace(target)
    finally:
        part.unlink(missing_ok=True)
    return check_backup(target)


def _write(home: Path, part: Path, now: datetime) -> None:
    with TemporaryDirectory(dir=part.parent, prefix=".evenground-") as desk:
        copy = Path(desk) / DATABASE
        _copy_database(home / DATABASE, copy)
        wanted = _files_named(copy)
        members, missing = dict[str, str](), list[str]()
        with part.open("wb") as out:
            with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED, allowZip64=True) as packed:
                members[DATABASE] = _add(packed, DATABASE, copy)
                for sha256 in wanted:
                    _add_blob(packed, home, sha256, members, missing)
                if (home / ERASED).is_file():  # after the files: an erasure meanwhile is told of
                    members[ERASED] = _add(packed, ERASED, home / ERASED)
                manifest = Manifest(
                    format=FORMAT,
                    version=__version__,
                    made_at=now.isoformat(),
                    migrations=_migrations(copy),
                    members=members,
                    missing=missing,
                )
                said = json.dumps(manifest.model_dump(), indent=1, sort_keys=True)
                packed.writestr(zipfile.ZipInfo(MANIFEST, _EPOCH), said)
            out.flush()
            os.fsync(out.fileno())


def _copy_database(source: Path, target: Path) -> None:
    """SQLite's online backup: one consistent state, writers going on meanwhile."""
    with closing(sqlite3.connect(f"file:{source}?mode=ro", uri=True)) as old, closing(_plain(target)) as new:
        old.backup(new, pages=1024)
        new.execute("PRAGMA journal_mode=DELETE")  # one file, no log beside it


def _plain(file: Path) -> sqlite3.Connection:
    return sqlite3.connect(file)


def _files_named(database: Path) -> list[str]:
    with closing(_plain(database)) as rows:
        found = rows.execute("SELECT sha256 FROM records_blob WHERE deleted_at IS NULL ORDER BY sha256")
        return [str(sha256) for (sha256,) in found]


def _migrations(database: Path) -> list[str]:
    with closing(_plain(database)) as rows:
        found = rows.execute("SELECT app, name FROM django_migrations ORDER BY app, name")
        return [f"{app}.{name}" for app, name in found]


def _add_blob(
    packed: zipfile.ZipFile, home: Path, sha256: str, members: dict[str, str], missing: list[str]
) -> None:
    path = home / BLOBS / sha256[:2] / sha256
    name = f"{BLOBS}{sha256[:2]}/{sha256}"
    try:
        members[name] = _add(packed, name, path)
    except FileNotFoundError:
        missing.append(sha256)


def _add(packed: zipfile.ZipFile, name: str, path: Path) -> str:
    sha = hashlib.sha256()
    with path.open("rb") as source, packed.open(zipfile.ZipInfo(name, _EPOCH), "w", force_zip64=True) as out:
        while piece := source.read(_PIECE):
            sha.update(piece)
            out.write(piece)
    return sha.hexdigest()


def check_backup(file: Path) -> Backup:
    """Read a backup through, every byte of it against its digest.

    Raises
    ------
    BackupDamagedError
        When it is not one, or not whole.
    """
    with _opened(file) as (packed, manifest):
        for name, wanted in manifest.members.items():
            with _member(packed, file, name) as source:
                sha = hashlib.sha256()
                for piece in _pieces(source, file):
                    sha.update(piece)
            if sha.hexdigest() != wanted:
                raise BackupDamagedError(str(file), f"{name} is not what was backed up")
    with file.open("rb") as whole:
        digest = hashlib.file_digest(whole, "sha256").hexdigest()
    return Backup(
        file=file,
        sha256=digest,
        size=file.stat().st_size,
        files=sum(name.startswith(BLOBS) for name in manifest.members),
        missing=tuple(manifest.missing),
        made_at=manifest.made_at,
    )


@contextmanager
def _opened(file: Path) -> Iterator[tuple[zipfile.ZipFile, Manifest]]:
    try:
        with zipfile.ZipFile(file) as packed:
            manifest = Manifest.model_validate_json(packed.read(MANIFEST))
            if manifest.format > FORMAT:
                raise BackupFromNewerVersionError(str(file), manifest.version)
            odd = set(packed.namelist()) ^ {*manifest.members, MANIFEST}
            if odd or DATABASE not in manifest.members or not all(map(_ours, manifest.members)):
                raise BackupDamagedError(str(file), "it does not hold what its manifest says")
            yield packed, manifest
    except (OSError, zipfile.BadZipFile, KeyError, ValidationError) as exc:
        raise BackupDamagedError(str(file), "it is not a whole backup") from exc


def _ours(name: str) -> bool:
    """Whether a member has a place in a data folder; nothing is ever written elsewhere."""
    if name in (DATABASE, ERASED):
        return True
    digest = name.rpartition("/")[2]
    hexadecimal = len(digest) == 64 and all(c in "0123456789abcdef" for c in digest)
    return hexadecimal and name == f"{BLOBS}{digest[:2]}/{digest}"


def _member(packed: zipfile.ZipFile, file: Path, name: str) -> IO[bytes]:
    try:
        return packed.open(name)
    except (zipfile.BadZipFile, KeyError, RuntimeError, NotImplementedError) as exc:
        raise BackupDamagedError(str(file), f"{name} cannot be read") from exc


def _pieces(source: IO[bytes], file: Path) -> Iterator[bytes]:
    try:
        while piece := source.read(_PIECE):
            yield piece
    except (zipfile.BadZipFile, EOFError, OSError) as exc:
        raise BackupDamagedError(str(file), "it is cut or changed") from exc


def put_back(backup: Backup, home: Path, known: set[str], *, now: datetime) -> Path | None:
    """Put a backup in the place of a data folder's records, which are set aside; nobody may work with them.

    What has been erased on either side stays on the list; whoever calls this brings the records up to date
    and goes through the list.

    Parameters
    ----------
    backup
        As `check_backup` read it through.
    home
        The data folder.
    known
        The migrations that this program has.
    now
        Names the folder that the records from before are set aside in.

    Returns
    -------
    aside
        Where the records from before are; None when there were none.

    Raises
    ------
    BackupDamagedError, BackupFromNewerVersionError
        Before anything is changed.
    NoRoomError
        When the disk is full; the records are as they were.
    """
    with _opened(backup.file) as (packed, manifest):
        if not set(manifest.migrations) <= known:
            raise BackupFromNewerVersionError(str(backup.file), manifest.version)
        fresh = home / ".restoring"
        shutil.rmtree(fresh, ignore_errors=True)
        try:
            with no_room():
                for name in manifest.members:
                    (fresh / name).parent.mkdir(parents=True, exist_ok=True)
                    with packed.open(name) as source, (fresh / name).open("wb") as out:
                        shutil.copyfileobj(source, out, _PIECE)
                        out.flush()
                        os.fsync(out.fileno())
                _merge_erased(fresh / ERASED, home / ERASED)
            return _swap(fresh, home, home / f"set-aside-{now:%Y%m%d-%H%M%S}")
        finally:
            shutil.rmtree(fresh, ignore_errors=True)


def _merge_erased(theirs: Path, ours: Path) -> None:
    """Both lists of erasures in one, written whole before any record changes its place."""
    said = [path.read_text("utf-8").splitlines() for path in (ours, theirs) if path.is_file()]
    lines = dict.fromkeys(line for lines in said for line in lines if line.strip())
    if not lines:
        return
    fresh = ours.with_suffix(".new")
    with fresh.open("w", encoding="utf-8") as out:
        out.writelines(f"{line}\n" for line in lines)
        out.flush()
        os.fsync(out.fileno())
    fresh.replace(ours)


def _swap(fresh: Path, home: Path, aside: Path) -> Path | None:
    """Set the records aside and move the fresh ones in."""
    before = [home / name for name in (DATABASE, f"{DATABASE}-wal", f"{DATABASE}-shm", "blobs")]
    there = [path for path in before if path.exists()]
    if there:
        aside.mkdir(mode=0o700)
    for path in there:
        path.rename(aside / path.name)
    (fresh / BLOBS).mkdir(mode=0o700, exist_ok=True)
    (fresh / BLOBS).rename(home / "blobs")
    (fresh / DATABASE).rename(home / DATABASE)
    return aside if there else None
