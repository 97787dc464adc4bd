"""Recordings and photos as files under their own digest; a file counts only once its row is committed.

A file is written under a temporary name, synced, renamed to its digest and its folder synced, before the row
that makes it a blob. A crash in between leaves a file that nobody can reach, which `sweep` takes away later.
"""

import hashlib
import os
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from evenground.capture.disk import sync_folder
from evenground.errors import RecordsError
from evenground.records.answers import answered, no_room
from evenground.records.models import Blob

__all__ = [
    "BlobErasedError",
    "BlobLostError",
    "BlobNotFoundError",
    "BlobTooLargeError",
    "erase_blob",
    "open_blob",
    "path_of",
    "put_blob",
    "sweep",
]

MAX_BYTES = 512 * 1024**2
"""An hour of a large mat's frames, packed, is about a tenth of this (ours)."""
_PIECE = 1024 * 1024
_ORPHAN_AFTER_S = 24 * 3600.0


class BlobNotFoundError(RecordsError):
    """A file that a reading names was never stored here."""

    do = "Send the file first, then the reading that names it."

    def __init__(self, sha256: str) -> None:
        super().__init__(sha256)
        self.where = f"file {sha256[:12]}"
        self.what = "No such file is stored."


class BlobErasedError(RecordsError):
    """A file that was stored and has been deleted on purpose."""

    do = "Its readings remain; the file cannot be brought back."

    def __init__(self, sha256: str, why: str) -> None:
        super().__init__(sha256, why)
        self.where = f"file {sha256[:12]}"
        self.what = f"This file was deleted{f' ({why})' if why else ''}."


class BlobLostError(RecordsError):
    """The row of a file is there and the file is not."""

    do = "Restore the newest backup; other records are not touched by this."

    def __init__(self, sha256: str) -> None:
        super().__init__(sha256)
        self.where = f"file {sha256[:12]}"
        self.what = "The file is missing from the data folder."


class BlobTooLargeError(RecordsError):
    """More bytes than a recording or photo can have."""

    do = "Send one recording at a time; a placement needs about ten seconds."

    def __init__(self, limit: int) -> None:
        super().__init__(limit)
        self.where = "file"
        self.what = f"The file is larger than {limit // 1024**2} MB."


def path_of(sha256: str) -> Path:
    """Where the file of a digest lies."""
    return Path(settings.BLOB_FOLDER) / sha256[:2] / sha256


def put_blob(source: BinaryIO | bytes, media_type: str, *, limit: int = MAX_BYTES) -> Blob:
    """Store a file; one that is here already is not stored twice.

    Raises
    ------
    BlobTooLargeError
        As soon as more than `limit` bytes have come.
    NoRoomError
        When the disk is full; nothing is left behind.
    """
    sha256, size = _write(source, limit)
    with answered(), transaction.atomic():
        blob, made = Blob.objects.get_or_create(
            sha256=sha256, defaults={"size": size, "media_type": media_type}
        )
        if not made and blob.deleted_at is not None:  # sent again on purpose after it was deleted
            blob.deleted_at, blob.deleted_why = None, ""
            blob.save()
    return blob


def open_blob(sha256: str) -> BinaryIO:
    """Open a stored file for reading.

    Raises
    ------
    BlobNotFoundError, BlobErasedError, BlobLostError
        When it was never stored, was deleted, or is missing.
    """
    blob = Blob.objects.filter(sha256=sha256).first()
    if blob is None:
        raise BlobNotFoundError(sha256)
    if blob.deleted_at is not None:
        raise BlobErasedError(sha256, blob.deleted_why)
    try:
        return path_of(sha256).open("rb")
    except OSError as exc:
        raise BlobLostError(sha256) from exc


def erase_blob(sha256: str, why: str) -> None:
    """Delete a file and leave its tombstone; the readings that name it stay.

    Raises
    ------
    BlobNotFoundError
        When it was never stored.
    """
    with answered(), transaction.atomic():
        blob = Blob.objects.select_for_update().filter(sha256=sha256).first()
        if blob is None:
            raise BlobNotFoundError(sha256)
        blob.deleted_at, blob.deleted_why = timezone.now(), why
        blob.save()
    path_of(sha256).unlink(missing_ok=True)


def sweep(*, older_than_s: float = _ORPHAN_AFTER_S) -> int:
    """Take away files that no committed row names, once they are a day old; gives how many."""
    swept = 0
    for path in Path(settings.BLOB_FOLDER).glob("*/*"):
        old = time.time() - path.stat().st_mtime > older_than_s
        if old and not Blob.objects.filter(sha256=path.name, deleted_at__isnull=True).exists():
            path.unlink(missing_ok=True)
            swept += 1
    return swept


def _write(source: BinaryIO | bytes, limit: int) -> tuple[str, int]:
    """Write a file under its digest, synced; gives digest and size."""
    folder = Path(settings.BLOB_FOLDER)
    incoming = folder / "incoming"
    with no_room():
        incoming.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=incoming)
        try:
            with os.fdopen(handle, "wb") as out:
                sha256, size = _copy(source, out, limit)
                out.flush()
                os.fsync(out.fileno())
            target = path_of(sha256)
            target.parent.mkdir(mode=0o700, exist_ok=True)
            Path(name).replace(target)
            sync_folder(target.parent)
            sync_folder(folder)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    return sha256, size


def _copy(source: BinaryIO | bytes, out: BinaryIO, limit: int) -> tuple[str, int]:
    sha, size = hashlib.sha256(), 0
    for piece in _pieces(source):
        size += len(piece)
        if size > limit:
            raise BlobTooLargeError(limit)
        sha.update(piece)
        out.write(piece)
    return sha.hexdigest(), size


def _pieces(source: BinaryIO | bytes) -> Iterator[bytes]:
    if isinstance(source, bytes):
        yield source
        return
    while piece := source.read(_PIECE):
        yield piece
