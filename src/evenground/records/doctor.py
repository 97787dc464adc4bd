"""Whether a studio's records are sound: the database, the files that it names, erasures, the room left."""

import hashlib
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import connection

from evenground.records.blobs import path_of
from evenground.records.models import Blob, Player, Visit
from evenground.records.privacy import remembered
from evenground.sourced import Sourced

__all__ = ["ROOM_WANTED", "Complaint", "examine"]

ROOM_WANTED = Sourced(2.0, "GB", "ours: some hundred visits with their recordings and photos")


@dataclass(frozen=True, slots=True, kw_only=True)
class Complaint:
    """One thing that was looked at; `wrong` is empty when it is sound, else what is wrong and what to do."""

    looked_at: str
    found: str
    wrong: str = ""


def examine(*, every_byte: bool = False) -> tuple[Complaint, ...]:
    """Look at the records, the files, the erasures and the disk.

    Parameters
    ----------
    every_byte
        Read every stored file against its digest, which takes as long as reading them all.
    """
    looks: tuple[Callable[[], Iterator[Complaint]], ...] = (_database, _room, _erasures)
    found = [complaint for look in looks for complaint in look()]
    return (*found, _files(every_byte=every_byte))


def _database() -> Iterator[Complaint]:
    visits = Visit.objects.count()
    yield Complaint(looked_at="database", found=f"{connection.vendor}, {visits} visits")
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as rows:
        rows.execute("PRAGMA integrity_check(5)")
        said = [str(line) for (line,) in rows.fetchall()]
        rows.execute("PRAGMA foreign_key_check")
        loose = len(rows.fetchall())
    broken = "" if said == ["ok"] else f"{'; '.join(said)}. Restore the newest backup."
    yield Complaint(looked_at="integrity of the database", found="" if broken else "sound", wrong=broken)
    dangling = f"{loose} rows point nowhere. Restore the newest backup." if loose else ""
    yield Complaint(looked_at="references", found="" if dangling else "sound", wrong=dangling)


def _room() -> Iterator[Complaint]:
    left_gb = shutil.disk_usage(settings.BLOB_FOLDER).free / 1e9
    wrong = "" if left_gb > ROOM_WANTED.value else "Make room before the next visit."
    yield Complaint(looked_at="room on the disk", found=f"{left_gb:.1f} GB left", wrong=wrong)


def _erasures() -> Iterator[Complaint]:
    erased = {line.player for line in remembered()}
    back = Player.objects.filter(pk__in=erased).count()
    wrong = f"{back} are there all the same. Start the app once: it erases them again." if back else ""
    yield Complaint(looked_at="erased players", found=f"{len(erased)} on the list", wrong=wrong)


def _files(*, every_byte: bool) -> Complaint:
    rows = Blob.objects.filter(deleted_at__isnull=True)
    lost, changed = [], []
    for sha256, size in rows.values_list("sha256", "size").iterator():
        path = path_of(sha256)
        if not path.is_file():
            lost.append(sha256)
        elif path.stat().st_size != size or (every_byte and _digest(path) != sha256):
            changed.append(sha256)
    wrong = [
        f"{len(some)} {what} ({', '.join(s[:12] for s in some[:5])})."
        for some, what in ((lost, "are missing"), (changed, "are not what was stored"))
        if some
    ]
    if wrong:
        wrong.append(
            "Restore the newest backup; visits that do not name these files are not touched by this."
        )
    return Complaint(looked_at="stored files", found=f"{rows.count()} named", wrong=" ".join(wrong))


def _digest(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
