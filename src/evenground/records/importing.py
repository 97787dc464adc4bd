"""A bundle taken into the records: read and checked whole first, then stored in one transaction.

With a log in it the log is the truth, and a `visit.toml` that tells another story is refused. Without one the
typed visit becomes readings. Importing the same bundle again changes nothing.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import datetime
from pathlib import Path
from uuid import UUID, uuid5

from django.db import transaction
from django.utils import timezone
from pydantic import ValidationError

from evenground.capture.bundle_files import BundleFiles, digest, open_files
from evenground.capture.fields import read_toml
from evenground.capture.studio_file import StudioFile
from evenground.capture.visit_file import VisitFile, visit_from
from evenground.errors import RecordsError
from evenground.records.answers import answered
from evenground.records.assemble import assemble
from evenground.records.audit import note
from evenground.records.blobs import put_blob
from evenground.records.entries import Entry
from evenground.records.exchange import LOG, CardLine, FileLine, LogHead, read_log
from evenground.records.from_file import entries_from
from evenground.records.log import ReadingConflictError, ReadingNotFoundError, insert
from evenground.records.models import Blob, CardVersion, Erasure, Person, Player, Reading, Visit, VisitState
from evenground.records.reading_kinds import kind_named
from evenground.records.visits import keep_snapshot
from evenground.visit import Visit as Measured

__all__ = [
    "CardConflictError",
    "ChangedFileError",
    "ContradictingVisitError",
    "OtherPlayerError",
    "Parcel",
    "PlayerErasedError",
    "import_bundle",
    "read_parcel",
]

_OURS = UUID("6f3c2f0e-1a52-4a0e-9d0a-0d6f0c9b7a11")
"""Names visits that come in without an id of their own, so that the same file is the same visit."""

_TYPES = {
    "parquet": "application/vnd.apache.parquet",
    "toml": "application/toml",
    "csv": "text/csv",
    "txt": "text/plain",
    "json": "application/json",
    "png": "image/png",
    "jpg": "image/jpeg",
    "jpeg": "image/jpeg",
    "pdf": "application/pdf",
}


class ContradictingVisitError(RecordsError):
    """A bundle whose `visit.toml` says something else than its log of readings."""

    do = f"Take the edited visit.toml out and export again, or remove {LOG} to import what was typed."

    def __init__(self, where: str, fields_differing: tuple[str, ...]) -> None:
        super().__init__(where, fields_differing)
        self.where = f"{where}/visit.toml"
        self.what = f"It does not say what {LOG} says: {', '.join(fields_differing)} differ."


class ChangedFileError(RecordsError):
    """A file of the bundle is not the one that the log names."""

    do = "Export the visit again; recordings may not be changed."

    def __init__(self, where: str, name: str) -> None:
        super().__init__(where, name)
        self.where = f"{where}/{name}"
        self.what = f"This is not the file that {LOG} names."


class OtherPlayerError(RecordsError):
    """The visit is here already, under another player."""

    do = "Move its readings to the right player instead."

    def __init__(self, visit: str) -> None:
        super().__init__(visit)
        self.where = f"visit {visit}"
        self.what = "This visit is stored under another player."


class PlayerErasedError(RecordsError):
    """The bundle belongs to a player whose data were erased on request."""

    do = "It cannot come back; start a new visit if the player wants to be measured again."

    def __init__(self, player: str) -> None:
        super().__init__(player)
        self.where = f"player {player}"
        self.what = "This player's data were erased."


class CardConflictError(RecordsError):
    """A signed card in the bundle has the number of another signed card here."""

    do = "Keep both apart: a signed card is never replaced."

    def __init__(self, visit: str, number: int) -> None:
        super().__init__(visit, number)
        self.where = f"visit {visit}, card {number}"
        self.what = "Another card with this number is stored already."


@dataclass(frozen=True, slots=True, kw_only=True)
class Parcel:
    """A bundle that was read and checked, ready to be stored; its log comes from the visit if it had none."""

    head: LogHead
    visit: Measured
    entries: list[Entry]
    studio: StudioFile
    cards: tuple[CardLine, ...]


def import_bundle(path: Path, *, player: Player | None = None, person: Person | None = None) -> Visit:
    """Take a bundle, folder or zip, into the records.

    Parameters
    ----------
    path
        The folder or the zip file.
    player
        Whose visit a bundle without a log is; a new player when None. A bundle with a log says so itself.
    person
        Who imports it.

    Raises
    ------
    CaptureError
        When the bundle or its `visit.toml` cannot be read.
    DamagedLogError, ContradictingVisitError, ChangedFileError
        When the bundle does not agree with itself; nothing is stored.
    ReadingConflictError, CardConflictError, OtherPlayerError, PlayerErasedError
        When it does not agree with what is here; nothing is stored.
    """
    files = open_files(path)
    parcel = read_parcel(files, player)
    _store_files(files, parcel.head.files)
    with answered(), transaction.atomic():
        visit = _visit_row(parcel, player)
        _store_entries(visit, parcel.entries)
        _store_cards(visit, parcel)
        note(person, "imported", what="visit", object_id=str(visit.pk), player_id=visit.player_id)
    return visit


def read_parcel(files: BundleFiles, player: Player | None = None) -> Parcel:
    """Read a bundle whole, and hold its visit, log, files and cards against each other.

    Raises
    ------
    CaptureError, DamagedLogError, ContradictingVisitError, ChangedFileError
        As in `import_bundle`.
    """
    with files.open("visit.toml") as stream:
        raw = stream.read()
    typed = read_toml(raw, VisitFile, file=f"{files.where}/visit.toml")
    measured = visit_from(typed, where=f"{files.where}/visit.toml")
    studio = _studio(files)
    if LOG not in files.names():
        return _typed_parcel(files, typed, measured, studio, player, raw)
    with files.open(LOG) as stream:
        log = read_log(stream.read())
    entries = log.entries()
    told = assemble(entries)
    differ = tuple(f.name for f in fields(Measured) if getattr(told, f.name) != getattr(measured, f.name))
    if differ:
        raise ContradictingVisitError(files.where, differ)
    _check_files(files, log.head.files)
    return Parcel(
        head=log.head, visit=told, entries=entries, studio=studio, cards=_cards(files, log.head.cards)
    )


def _studio(files: BundleFiles) -> StudioFile:
    if "studio.toml" not in files.names():
        return StudioFile(format=1)
    with files.open("studio.toml") as stream:
        return read_toml(stream.read(), StudioFile, file=f"{files.where}/studio.toml")


def _typed_parcel(
    files: BundleFiles,
    typed: VisitFile,
    measured: Measured,
    studio: StudioFile,
    player: Player | None,
    raw: bytes,
) -> Parcel:
    """A bundle without a log: its ids come from its content, so that it is the same visit each time."""
    named = {n: "visit.toml" for p in measured.ground for n in (p.recording, p.layout) if n is not None}
    named |= {n: "visit.toml" for pair in measured.held_load for n in pair.recordings}
    named |= {v.photo: "visit.toml" for v in measured.posture_views if v.photo is not None}
    named |= {} if studio.stock is None else {studio.stock: "studio.toml"}
    lines = {name: _line(files, name, wanted_by) for name, wanted_by in sorted(named.items())}
    whose = "" if player is None else str(player.pk)
    visit_id = uuid5(_OURS, f"{hashlib.sha256(raw).hexdigest()} {whose}")
    head = LogHead(
        format=1,
        visit=visit_id,
        player=player.pk if player is not None else uuid5(visit_id, "player"),
        state=VisitState.OPEN,
        readings=0,
        files=lines,
        stock=studio.stock,
        cards=[],
    )
    entries = entries_from(typed, visit_id, {name: line.sha256 for name, line in lines.items()})
    return Parcel(head=head, visit=measured, entries=entries, studio=studio, cards=())


def _line(files: BundleFiles, name: str, wanted_by: str) -> FileLine:
    with files.open(name, wanted_by=wanted_by) as stream:
        sha256 = digest(stream)
        size = stream.tell()
    kind = name.rpartition(".")[2].lower()
    return FileLine(sha256=sha256, size=size, media_type=_TYPES.get(kind, "application/octet-stream"))


def _check_files(files: BundleFiles, lines: Mapping[str, FileLine]) -> None:
    for name, line in lines.items():
        if line.deleted_why is not None:
            continue
        with files.open(name, wanted_by=LOG) as stream:
            if digest(stream) != line.sha256:
                raise ChangedFileError(files.where, name)


def _cards(files: BundleFiles, numbers: list[int]) -> tuple[CardLine, ...]:
    cards = []
    for number in numbers:
        name = f"cards/card-{number}.json"
        with files.open(name, wanted_by=LOG) as stream:
            try:
                card = CardLine.model_validate_json(stream.read())
                datetime.fromisoformat(card.signed_at)
            except (ValidationError, ValueError) as exc:
                raise ChangedFileError(files.where, name) from exc
        cards.append(card)
    return tuple(cards)


def _store_files(files: BundleFiles, lines: Mapping[str, FileLine]) -> None:
    """Files come first: a reading never names one that is not there."""
    for name, line in lines.items():
        if line.deleted_why is None:
            if not Blob.objects.filter(sha256=line.sha256).exists():  # a tombstone here stays one
                with files.open(name, wanted_by=LOG) as stream:
                    put_blob(stream, line.media_type)
        else:
            Blob.objects.get_or_create(
                sha256=line.sha256,
                defaults={
                    "size": line.size,
                    "media_type": line.media_type,
                    "deleted_at": timezone.now(),
                    "deleted_why": line.deleted_why,
                },
            )


def _visit_row(parcel: Parcel, player: Player | None) -> Visit:
    head, measured = parcel.head, parcel.visit
    if Erasure.objects.filter(player_id=head.player).exists():
        raise PlayerErasedError(str(head.player))
    whose = player or _player_row(head.player, measured)
    visit = Visit.objects.select_for_update().filter(pk=head.visit).first()
    if visit is not None:
        if visit.player_id != whose.pk:
            raise OtherPlayerError(str(visit.pk))
        return visit
    stock = None if head.stock is None else Blob.objects.get(sha256=head.files[head.stock].sha256)
    return Visit.objects.create(
        pk=head.visit,
        player=whose,
        day=measured.day,
        state=head.state,
        snapshot=keep_snapshot(parcel.studio, stock=stock),
    )


def _player_row(player_id: UUID, measured: Measured) -> Player:
    told = measured.player
    player, _ = Player.objects.get_or_create(
        pk=player_id,
        defaults={
            "name": told.name,
            "handed": told.handed,
            "birth_year": told.birth_year,
            "reference": told.reference or "",
        },
    )
    return player


def _store_entries(visit: Visit, entries: list[Entry]) -> None:
    """Append what is not here yet, in the order of the log; what is here has to say the same."""
    stored = {r.pk: r for r in Reading.objects.filter(pk__in=[e.id for e in entries])}
    known = set(Reading.objects.filter(visit=visit).values_list("pk", flat=True))
    for entry in entries:
        before = stored.get(entry.id)
        if before is not None:
            if before.visit_id != visit.pk or before.entry().content() != entry.content():
                raise ReadingConflictError(str(entry.id))
            continue
        _check(entry, known)
        insert(visit, entry, person=None)
        known.add(entry.id)


def _check(entry: Entry, known: set[UUID]) -> None:
    """A log from elsewhere is held to the same tables as what is typed here; it is stored as it was."""
    kind = kind_named(entry.kind)
    if entry.supersedes is not None and entry.supersedes not in known:
        raise ReadingNotFoundError(str(entry.supersedes))
    if entry.void_reason is None:
        kind.checked(kind.upcast(entry.version, entry.payload))


def _store_cards(visit: Visit, parcel: Parcel) -> None:
    for card in parcel.cards:
        row = CardVersion(
            id=card.id,
            visit=visit,
            number=card.number,
            lines=card.lines,
            findings=card.findings,
            input_hash=card.input_hash,
            snapshot=visit.snapshot,
            signer_name=card.signer,
            signed_at=datetime.fromisoformat(card.signed_at),
            pdf_id=card.pdf,
        )
        before = CardVersion.objects.filter(visit=visit, number=card.number).first()
        if before is None:
            row.save(force_insert=True)
        elif before.pk != card.id or before.pdf_id != card.pdf or before.lines != card.lines:
            raise CardConflictError(str(visit.pk), card.number)
