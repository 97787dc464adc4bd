"""The log of readings: one use case a function, one transaction each; lines are only ever appended."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import IntegrityError, transaction

from evenground.records.answers import answered
from evenground.records.assemble import whole
from evenground.records.audit import note
from evenground.records.blobs import BlobErasedError, BlobNotFoundError
from evenground.records.entries import Entry
from evenground.records.log_errors import (
    BlobNameTakenError,
    FileNotGivenError,
    NotMovableError,
    OtherKindError,
    ReadingConflictError,
    ReadingNotFoundError,
    ReasonMissingError,
    VisitNotFoundError,
    WidthsAlreadyTypedError,
)
from evenground.records.merge import HistoryLine, Merged, merged
from evenground.records.models import Blob, Person, Reading, ReadingBlob, Visit
from evenground.records.reading_kinds import Kind, kind_named
from evenground.records.rows import entries_of

__all__ = [
    "Appended",
    "BlobNameTakenError",
    "FileNotGivenError",
    "NotMovableError",
    "OtherKindError",
    "ReadingConflictError",
    "ReadingNotFoundError",
    "ReasonMissingError",
    "VisitNotFoundError",
    "WidthsAlreadyTypedError",
    "append",
    "correct",
    "entries_of",
    "history",
    "move",
    "readings_since",
    "void",
]

WIDTH_KINDS = ("as arrived", "hip-line trial", "turn")
STAYS = frozenset({"visit", "player", "card line"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Appended:
    """What became of a reading that was sent: stored now or before, and what its entry still lacks."""

    reading: Reading
    is_new: bool
    unfinished: str | None = None


def append(visit_id: UUID, entry: Entry, *, person: Person | None = None) -> Appended:
    """Add a reading to a visit's log; the same reading sent again changes nothing.

    Raises
    ------
    UnreadableFieldError, UnknownKindError, DataFromNewerVersionError
        When the payload is not one of its kind; nothing is stored.
    ReadingConflictError
        When the id is taken by another content.
    VisitNotFoundError, ReadingNotFoundError, OtherKindError
        When the visit or the corrected reading is not there.
    FileNotGivenError, BlobNotFoundError, BlobErasedError, BlobNameTakenError
        When a named file is not stored, or under another name.
    WidthsAlreadyTypedError
        When it would change what widths typed before mean.
    NoRoomError, BusyError
        When the records cannot take it now.
    """
    kind = kind_named(entry.kind)
    entry = _normalised(kind, entry)
    with answered(), transaction.atomic():
        visit = _locked(visit_id)
        before = _stored_before(visit, entry)
        if before is not None:
            return Appended(reading=before, is_new=False, unfinished=_lacks(visit, kind, before.entry()))
        _check_target(visit, entry)
        _check_files(visit, kind, entry)
        _check_convention(visit, entry)
        reading = insert(visit, entry, person=person)
        return Appended(reading=reading, is_new=True, unfinished=_lacks(visit, kind, entry))


def correct(
    visit_id: UUID,
    reading_id: UUID,
    payload: Mapping[str, Any],
    *,
    new_id: UUID,
    at: datetime,
    by: str = "",
    device: str = "",
    person: Person | None = None,
) -> Appended:
    """Append a correction of a reading: the new one shows, the old one stays in the history."""
    with answered(), transaction.atomic():
        old = _reading(visit_id, reading_id)
        entry = Entry(
            id=new_id,
            kind=old.kind,
            version=kind_named(old.kind).version,
            payload=payload,
            at=at,
            by=by,
            device=device,
            supersedes=old.id,
            blobs={link.name: link.blob_id for link in old.blob_links.all()},
        )
        done = append(visit_id, entry, person=person)
        if done.is_new:
            _note(person, "corrected", old, {"by": str(new_id)})
        return done


def void(
    visit_id: UUID,
    reading_id: UUID,
    reason: str,
    *,
    new_id: UUID,
    at: datetime,
    by: str = "",
    device: str = "",
    person: Person | None = None,
) -> Appended:
    """Take a reading back and say why; it stays in the history, and nothing older comes back in its place."""
    with answered(), transaction.atomic():
        old = _reading(visit_id, reading_id)
        entry = _void_entry(old.entry(), reason, new_id=new_id, at=at, by=by, device=device)
        done = append(visit_id, entry, person=person)
        if done.is_new:
            _note(person, "voided", old, {"by": str(new_id)})
        return done


def move(
    visit_id: UUID,
    reading_ids: Sequence[UUID],
    to_visit_id: UUID,
    reason: str,
    *,
    move_id: UUID,
    at: datetime,
    by: str = "",
    device: str = "",
    person: Person | None = None,
) -> tuple[Reading, ...]:
    """Move readings that belong to another player: taken back here with the reason, copied there.

    Each copy names the reading it came from, so that both histories tell what happened. An entry that only
    has a number (trial 3) takes the next free number there when its own is taken. The same `move_id` sent
    again changes nothing.

    Raises
    ------
    NotMovableError
        For what says whose visit it is, and for a move to the same visit.
    """
    with answered(), transaction.atomic():
        for visit in sorted(
            {visit_id, to_visit_id}, key=str
        ):  # one order of locking, so that two moves never wait
            _locked(visit)
        olds = [_reading(visit_id, reading_id) for reading_id in reading_ids]
        for old in olds:
            if old.kind in STAYS or visit_id == to_visit_id:
                raise NotMovableError(old.kind)
        plain = [old.entry() for old in olds]
        done = Reading.objects.filter(id__in=[uuid5(move_id, f"copy {e.id}") for e in plain])
        if olds and done.count() == len(olds):
            return tuple(done)
        payloads = _renumbered(plain, merged(entries_of(to_visit_id)))
        copies = []
        for old, entry, payload in zip(olds, plain, payloads, strict=True):
            taken = _void_entry(
                entry, reason, new_id=uuid5(move_id, f"void {entry.id}"), at=at, by=by, device=device
            )
            append(visit_id, taken, person=person)
            copy = replace(
                entry,
                id=uuid5(move_id, f"copy {entry.id}"),
                version=kind_named(entry.kind).version,
                payload=payload,
                supersedes=None,
                moved_from=entry.id,
            )
            copies.append(append(to_visit_id, copy, person=person).reading)
            _note(person, "moved", old, {"to visit": str(to_visit_id), "as": str(copy.id)})
        return tuple(copies)


def history(
    visit_id: UUID, kind: str, field: str, keys: Mapping[str, Any] | None = None
) -> tuple[HistoryLine, ...]:
    """Every value that a field of one entry had, the latest first, and what became of each."""
    return merged(entries_of(visit_id)).history(kind, keys or {}, field)


def readings_since(visit_id: UUID, seq: int) -> list[Reading]:
    """Readings after a place in the server's order, for whoever wants to follow a visit as it grows.

    Places are given while the visit is locked, so a lower one never appears after a higher one.
    """
    newer = Reading.objects.filter(visit_id=visit_id, seq__gt=seq).order_by("seq")
    return list(newer.prefetch_related("blob_links"))


def insert(visit: Visit, entry: Entry, *, person: Person | None) -> Reading:
    """Write a checked entry as the next line of a visit that this transaction has locked."""
    visit.last_seq += 1
    visit.save(update_fields=["last_seq"])
    reading = Reading(
        id=entry.id,
        visit=visit,
        seq=visit.last_seq,
        check_name=kind_named(entry.kind).check,
        kind=entry.kind,
        version=entry.version,
        payload=dict(entry.payload),
        at=entry.at,
        by=entry.by or (person.name if person is not None else ""),
        person=person,
        device=entry.device,
        supersedes_id=entry.supersedes,
        void_reason=entry.void_reason,
        moved_from=entry.moved_from,
    )
    try:
        with transaction.atomic():
            reading.save()
    except IntegrityError as exc:  # the id is taken by a reading of another visit
        raise ReadingConflictError(str(entry.id)) from exc
    ReadingBlob.objects.bulk_create(
        ReadingBlob(reading=reading, blob_id=sha256, name=name) for name, sha256 in entry.blobs.items()
    )
    return reading


def _normalised(kind: Kind, entry: Entry) -> Entry:
    """The entry as it is stored: a void holds nothing, an older version stays in its own form."""
    if entry.void_reason is not None:
        if not entry.void_reason.strip() or entry.supersedes is None:
            raise ReasonMissingError
        return replace(entry, payload={})
    current = kind.checked(kind.upcast(entry.version, entry.payload))
    return entry if entry.version != kind.version else replace(entry, payload=current)


def _locked(visit_id: UUID) -> Visit:
    visit = Visit.objects.select_for_update().filter(pk=visit_id).first()
    if visit is None:
        raise VisitNotFoundError(str(visit_id))
    return visit


def _reading(visit_id: UUID, reading_id: UUID) -> Reading:
    reading = Reading.objects.filter(visit_id=visit_id, pk=reading_id).first()
    if reading is None:
        raise ReadingNotFoundError(str(reading_id))
    return reading


def _stored_before(visit: Visit, entry: Entry) -> Reading | None:
    stored = Reading.objects.filter(pk=entry.id).first()
    if stored is None:
        return None
    if stored.visit_id != visit.pk or stored.entry().content() != entry.content():
        raise ReadingConflictError(str(entry.id))
    return stored


def _check_target(visit: Visit, entry: Entry) -> None:
    if entry.supersedes is None:
        return
    target = _reading(visit.pk, entry.supersedes)
    if target.kind != entry.kind:
        raise OtherKindError(entry.kind, target.kind)


def _check_files(visit: Visit, kind: Kind, entry: Entry) -> None:
    for name in kind.files_in(entry.payload):
        if name not in entry.blobs:
            raise FileNotGivenError(name)
    for name, sha256 in entry.blobs.items():
        blob = Blob.objects.filter(sha256=sha256).first()
        if blob is None:
            raise BlobNotFoundError(sha256)
        if blob.deleted_at is not None and entry.moved_from is None:
            raise BlobErasedError(sha256, blob.deleted_why)
        others = ReadingBlob.objects.filter(reading__visit=visit, name=name).exclude(blob_id=sha256)
        if others.exists():
            raise BlobNameTakenError(name)


def _check_convention(visit: Visit, entry: Entry) -> None:
    wanted = entry.payload.get("width_convention")
    if entry.kind != "visit" or wanted is None:
        return
    log = merged(entries_of(visit.pk))
    head = log.slot("visit")
    now = "heel centres" if head is None else head.values.get("width_convention", "heel centres")
    typed = sum("width_mm" in slot.values for kind in WIDTH_KINDS for slot in log.of(kind))
    if wanted != now and typed:
        raise WidthsAlreadyTypedError(str(now), typed)


def _lacks(visit: Visit, kind: Kind, entry: Entry) -> str | None:
    """What the entry that a reading belongs to still lacks, in words."""
    if entry.void_reason is not None:
        return None
    payload = kind.upcast(entry.version, entry.payload)
    slot = merged(entries_of(visit.pk, kind=kind.name)).slot(kind.name, payload)
    said = None if slot is None else whole(slot)
    return said if isinstance(said, str) else None


def _void_entry(old: Entry, reason: str, *, new_id: UUID, at: datetime, by: str, device: str) -> Entry:
    return Entry(
        id=new_id,
        kind=old.kind,
        version=kind_named(old.kind).version,
        payload={},
        at=at,
        by=by,
        device=device,
        supersedes=old.id,
        void_reason=reason,
    )


def _renumbered(entries: Sequence[Entry], there: Merged) -> list[dict[str, Any]]:
    """Payloads in the current version, numbers that are taken there replaced by the next free ones."""
    new: dict[tuple[str, int], int] = {}
    payloads = []
    for entry in entries:
        kind = kind_named(entry.kind)
        payload = kind.upcast(entry.version, entry.payload)
        if kind.number is not None:
            old = int(payload[kind.number])
            taken = {int(slot.values[kind.number]) for slot in there.of(kind.name)}
            taken |= {n for (name, _), n in new.items() if name == kind.name}
            if (kind.name, old) not in new:
                new[kind.name, old] = max(taken) + 1 if old in taken else old
            payload[kind.number] = new[kind.name, old]
        payloads.append(payload)
    return payloads


def _note(person: Person | None, action: str, reading: Reading, detail: dict[str, Any]) -> None:
    note(
        person,
        action,
        what="reading",
        object_id=str(reading.pk),
        player_id=reading.visit.player_id,
        detail={"visit": str(reading.visit_id), **detail},
    )
