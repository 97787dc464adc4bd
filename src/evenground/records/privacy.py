"""A player's data exported whole and erased whole; an erasure outlasts a restore from backup.

Erasing first writes the player's id and the digests of their files to `erased.jsonl` in the data folder,
outside the database, and only then deletes. A restored backup, or a start after a crash half-way, goes
through that list again.
"""

import json
import os
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import connection, transaction
from django.forms.models import model_to_dict
from django.utils import timezone
from pydantic import AwareDatetime, BaseModel, ConfigDict, ValidationError

from evenground.capture.bundle_writer import FolderTakenError
from evenground.errors import RecordsError
from evenground.records.answers import answered, no_room
from evenground.records.audit import note
from evenground.records.blobs import path_of
from evenground.records.exchange import export_visit
from evenground.records.models import Blob, CardVersion, Erasure, Order, Person, Player, ReadingBlob

__all__ = [
    "ErasedLine",
    "PlayerNotFoundError",
    "erase_again",
    "erase_player",
    "erased_file",
    "export_player",
    "remembered",
]


class PlayerNotFoundError(RecordsError):
    """There is no such player."""

    do = "Pick the player from the list; an erased player is not in it any more."

    def __init__(self, player: str) -> None:
        super().__init__(player)
        self.where = f"player {player}"
        self.what = "There is no such player."


class ErasedLine(BaseModel):
    """One line of `erased.jsonl`."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    player: UUID
    at: AwareDatetime
    by: str
    blobs: list[str]


def export_player(player_id: UUID, folder: Path, *, person: Person | None = None) -> None:
    """Write all that is kept of a player into a new folder: `player.json`, `orders.json`, a bundle a visit.

    Raises
    ------
    PlayerNotFoundError, FolderTakenError
        When there is no such player; when the folder holds something already.
    """
    player = _player(player_id)
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise FolderTakenError(str(folder))
    folder.mkdir(parents=True, exist_ok=True)
    for visit in player.visits.order_by("day", "created_at"):
        export_visit(visit.pk, folder / f"visit-{visit.day.isoformat()}-{visit.pk.hex[:6]}")
    said = json.dumps(_said_of(player), indent=2, ensure_ascii=False, sort_keys=True)
    (folder / "player.json").write_text(f"{said}\n", "utf-8")
    (folder / "orders.json").write_text(f"{json.dumps(_orders_of(player), indent=2)}\n", "utf-8")
    note(person, "exported", what="player", object_id=str(player.pk), player_id=player.pk)


def _said_of(player: Player) -> dict[str, Any]:
    """The player's row and consents, as plain JSON."""
    own = model_to_dict(player, exclude=["created_at"])
    consents = [
        {
            "kind": c.kind,
            "given_on": c.given_on.isoformat(),
            "text_version": c.text_version,
            "given_by": c.given_by,
            "by_guardian": c.by_guardian,
            "withdrawn_on": None if c.withdrawn_on is None else c.withdrawn_on.isoformat(),
        }
        for c in player.consents.all()
    ]
    return {
        "player": str(player.pk),
        "created_at": player.created_at.isoformat(),
        **own,
        "consents": consents,
    }


def _orders_of(player: Player) -> list[dict[str, Any]]:
    """What was ordered for the player, and every step of it, as plain JSON."""
    orders = Order.objects.filter(card__visit__player=player).order_by("created_at")
    return [
        {
            "order": str(order.pk),
            "visit": str(order.card.visit_id),
            "card": order.card.number,
            "created_at": order.created_at.isoformat(),
            "clubs": order.lines,
            "steps": [{"state": e.state, "at": e.at.isoformat(), **e.body} for e in order.events.all()],
        }
        for order in orders.select_related("card").prefetch_related("events")
    ]


def erase_player(player_id: UUID, *, by: str, person: Person | None = None) -> Erasure:
    """Erase a player: visits, readings, signed cards, files, consents and contact.

    What stays is the bare id with the digests of the erased files, and the audit, which holds ids only.

    Raises
    ------
    PlayerNotFoundError
        When there is no such player.
    """
    player = _player(player_id)
    line = ErasedLine(player=player.pk, at=timezone.now(), by=by, blobs=_own_files(player))
    _remember(line)
    _erase(line, person)
    return Erasure.objects.get(pk=player_id)


def erase_again() -> int:
    """Erase whoever the list names and the database still knows; for a start and after a restore.

    Gives how many players were erased anew.
    """
    again = 0
    for line in remembered():
        again += Player.objects.filter(pk=line.player).exists()
        _erase(line, None)
    return again


def erased_file() -> Path:
    """The list of erasures in the data folder; a backup takes it along and a restore adds to it."""
    return Path(settings.BLOB_FOLDER).parent / "erased.jsonl"


def _player(player_id: UUID) -> Player:
    player = Player.objects.filter(pk=player_id).first()
    if player is None:
        raise PlayerNotFoundError(str(player_id))
    return player


def _own_files(player: Player) -> list[str]:
    """Files that only this player's readings and cards name."""
    mine = set(ReadingBlob.objects.filter(reading__visit__player=player).values_list("blob_id", flat=True))
    theirs = ReadingBlob.objects.exclude(reading__visit__player=player).filter(blob_id__in=mine)
    cards = CardVersion.objects.filter(pdf__isnull=False)
    mine |= set(cards.filter(visit__player=player).values_list("pdf_id", flat=True))
    others = set(theirs.values_list("blob_id", flat=True))
    others |= set(cards.exclude(visit__player=player).values_list("pdf_id", flat=True))
    return sorted(str(sha256) for sha256 in mine - others)


def _remember(line: ErasedLine) -> None:
    with no_room(), erased_file().open("a", encoding="utf-8") as out:
        out.write(line.model_dump_json() + "\n")
        out.flush()
        os.fsync(out.fileno())


def remembered() -> Iterator[ErasedLine]:
    """The list of erasures as it stands, the oldest first."""
    if not erased_file().is_file():
        return
    for text in erased_file().read_text("utf-8").splitlines():
        with suppress(ValidationError):  # the last line may be cut by a crash before anything was erased
            yield ErasedLine.model_validate_json(text)


def _erase(line: ErasedLine, person: Person | None) -> None:
    with answered(), transaction.atomic():
        player = Player.objects.filter(pk=line.player).first()
        files = set(line.blobs)
        if player is not None:
            files |= set(_own_files(player))
            player.delete()
            note(person, "erased", what="player", object_id=str(line.player), player_id=line.player)
        Erasure.objects.get_or_create(
            player_id=line.player, defaults={"at": line.at, "by": line.by, "blobs": sorted(files)}
        )
        gone = Blob.objects.filter(sha256__in=files, reading_links__isnull=True)
        gone.update(deleted_at=timezone.now(), deleted_why="player erased")
        erased = Blob.objects.filter(sha256__in=files, deleted_at__isnull=False)
        names = list(erased.values_list("sha256", flat=True))
    for sha256 in names:
        path_of(sha256).unlink(missing_ok=True)
    _forget_pages()


def _forget_pages() -> None:
    """Have SQLite write its log back, so that nothing erased stays readable in it."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
