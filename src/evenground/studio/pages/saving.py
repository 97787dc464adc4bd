"""What a page sends, put into the log: a field as it is typed, a whole trial, a row of a table, a skip.

Everything carries an id that the page made, so that it may be sent again whenever no answer came.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Any
from uuid import UUID, uuid5

from django.db import transaction
from django.utils import timezone
from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

from evenground.errors import RecordsError
from evenground.records import log as records_log
from evenground.records.answers import answered
from evenground.records.entries import Entry
from evenground.records.log import Appended, ReadingConflictError, append, void
from evenground.records.merge import Merged
from evenground.records.models import Person, Reading, Visit
from evenground.records.reading_kinds import Kind, kind_named
from evenground.records.series import append_next
from evenground.studio.values import value_from
from evenground.units import LengthSystem

__all__ = [
    "PartOfTrialError",
    "Saved",
    "Sender",
    "SentField",
    "SentSkip",
    "SentTakeBack",
    "SentTrial",
    "save_field",
    "save_rows",
    "save_skip",
    "save_trial",
    "save_with_files",
    "saved_before",
    "take_back",
]

Text = Annotated[str, Field(max_length=400)]
CLEARED = "cleared"


class PartOfTrialError(RecordsError):
    """A field of a whole trial was emptied."""

    do = "Type the right value, or take the whole trial back."

    def __init__(self, field: str) -> None:
        super().__init__(field)
        self.where = field
        self.what = "This value was kept together with others and cannot be emptied alone."


class _Sent(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    id: UUID
    at: AwareDatetime | None = None


class SentField(_Sent):
    """One field: its place in the log, what was typed, and the reading that the page showed there."""

    kind: Annotated[str, Field(max_length=40)]
    keys: dict[str, str | int] = Field(default_factory=dict)
    field: Annotated[str, Field(max_length=60)]
    text: Text
    word: Annotated[str, Field(max_length=10)] = ""
    label: Annotated[str, Field(max_length=120)] = ""
    seen: Annotated[str, Field(max_length=40)] = ""


class SentTrial(_Sent):
    """All fields of one trial, kept together; the log gives the number."""

    kind: Annotated[str, Field(max_length=40)]
    values: dict[str, Text]
    words: dict[str, str] = Field(default_factory=dict)
    labels: dict[str, str] = Field(default_factory=dict)


class SentSkip(_Sent):
    """A check that is left out with its reason; without a reason it is asked again."""

    check: Text
    why: Text = ""


class SentTakeBack(_Sent):
    """Readings that are taken back, and why."""

    readings: list[UUID] = Field(min_length=1, max_length=20)
    why: Text


@dataclass(frozen=True, slots=True, kw_only=True)
class Sender:
    """Who sends, from which device."""

    person: Person | None
    device: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Saved:
    """What became of a field: the reading that now shows there and its value, nothing when it was emptied.

    `overlap` is the reading that somebody else put there since the page was drawn.
    """

    seq: int
    reading: str
    value: float | int | str | bool | None = None
    overlap: Entry | None = None
    unfinished: str | None = None


def _at(sent: datetime | None) -> datetime:
    """When it was typed; a clock that runs ahead is not believed."""
    now = timezone.now()
    return now if sent is None or sent > now else sent


def _entry(sent: _Sent, kind: Kind, payload: Mapping[str, Any], sender: Sender) -> Entry:
    return Entry(
        id=sent.id,
        kind=kind.name,
        version=kind.version,
        payload=payload,
        at=_at(sent.at),
        by="" if sender.person is None else sender.person.name,
        device=sender.device,
    )


def _stored(visit_id: UUID, reading_id: UUID) -> Reading | None:
    """The reading of an id that was sent before; its text is not read again, the units may have changed."""
    reading = Reading.objects.filter(pk=reading_id).first()
    if reading is not None and reading.visit_id != visit_id:
        raise ReadingConflictError(str(reading_id))
    return reading


def saved_before(row: Visit, sent_id: UUID) -> Saved | None:
    """What was saved under an id that came before, None when it is new.

    Raises
    ------
    ReadingConflictError
        When the id belongs to another visit.
    """
    before = _stored(row.pk, sent_id)
    return None if before is None else Saved(seq=before.seq, reading=str(before.pk))


def save_with_files(
    row: Visit,
    sent_id: UUID,
    read: tuple[str, Mapping[str, Any]],
    files: Mapping[str, str],
    sender: Sender,
    *,
    at: datetime | None = None,
) -> Saved:
    """Append a reading that names stored files, or none.

    Parameters
    ----------
    row, sent_id, sender
        Whose visit, the id that the page made, who sends.
    read
        Name of the kind, and the payload; one of a numbered kind without its number takes the next one.
    files
        Digest of each stored file by its name in the visit.
    at
        When it was taken; now unless said.
    """
    kind = kind_named(read[0])
    entry = Entry(
        id=sent_id,
        kind=kind.name,
        version=kind.version,
        payload=read[1],
        at=_at(at),
        by="" if sender.person is None else sender.person.name,
        device=sender.device,
        blobs=files,
    )
    counted = kind.number is not None and kind.number not in read[1]
    done = (append_next if counted else append)(row.pk, entry, person=sender.person)
    return Saved(seq=done.reading.seq, reading=str(done.reading.pk), unfinished=done.unfinished)


def save_field(row: Visit, sent: SentField, log: Merged, system: LengthSystem, sender: Sender) -> Saved:
    """Append what was typed into one field; an emptied field takes its reading back.

    Raises
    ------
    EvengroundError
        When the text is not what the field holds; nothing is stored.
    """
    kind = kind_named(sent.kind)
    before = _stored(row.pk, sent.id)
    if before is not None:
        return Saved(seq=before.seq, reading=str(before.pk), value=before.payload.get(sent.field))
    slot = log.slot(sent.kind, sent.keys)
    shown = None if slot is None else slot.shown.get(sent.field)
    seen_other = shown is not None and str(shown.reading) != sent.seen
    overlap = next((e for e in log.entries if seen_other and shown and e.id == shown.reading), None)
    if not sent.text.strip():
        return _emptied(row, sent, log, sender)
    value = value_from(kind, sent.field, sent.text, system, label=sent.label, word=sent.word)
    done = append(row.pk, _entry(sent, kind, {**sent.keys, sent.field: value}, sender), person=sender.person)
    return Saved(
        seq=done.reading.seq,
        reading=str(done.reading.pk),
        value=value,
        overlap=overlap,
        unfinished=done.unfinished,
    )


def _emptied(row: Visit, sent: SentField, log: Merged, sender: Sender) -> Saved:
    slot = log.slot(sent.kind, sent.keys)
    shown = None if slot is None else slot.shown.get(sent.field)
    if shown is None:
        return Saved(seq=row.last_seq, reading="")
    entry = next(e for e in log.entries if e.id == shown.reading)
    if set(entry.payload) - set(kind_named(sent.kind).keys) != {sent.field}:
        raise PartOfTrialError(sent.label or sent.field)
    done = void(
        row.pk,
        shown.reading,
        CLEARED,
        new_id=sent.id,
        at=_at(sent.at),
        by="" if sender.person is None else sender.person.name,
        device=sender.device,
        person=sender.person,
    )
    return Saved(seq=done.reading.seq, reading="")


def save_trial(row: Visit, sent: SentTrial, system: LengthSystem, sender: Sender) -> Saved:
    """Append one whole trial under the next free number.

    Raises
    ------
    EvengroundError
        When a field of it cannot be read; nothing is stored.
    """
    kind = kind_named(sent.kind)
    before = _stored(row.pk, sent.id)
    if before is not None:
        return Saved(seq=before.seq, reading=str(before.pk))
    payload = {
        name: value_from(
            kind, name, text, system, label=sent.labels.get(name, ""), word=sent.words.get(name, "")
        )
        for name, text in sent.values.items()
        if text.strip()
    }
    if kind.name == "own club":  # told apart by what the page made up, however often the mark is corrected
        payload["club"] = sent.id.hex[:12]
    return _kept(append_next(row.pk, _entry(sent, kind, payload, sender), person=sender.person))


def _kept(done: Appended) -> Saved:
    return Saved(seq=done.reading.seq, reading=str(done.reading.pk), unfinished=done.unfinished)


def save_rows(
    row: Visit, table_id: UUID, rows: Sequence[tuple[str, Mapping[str, Any]]], sender: Sender
) -> int:
    """Append every row of a pasted or uploaded table, all or none; gives how many were new.

    Raises
    ------
    EvengroundError
        When a row cannot be stored; then none is.
    """
    new = 0
    with answered(), transaction.atomic():
        for number, (name, payload) in enumerate(rows):
            sent = _Sent(id=uuid5(table_id, str(number)))
            entry = _entry(sent, kind_named(name), payload, sender)
            new += append_next(row.pk, entry, person=sender.person).is_new
    return new


def save_skip(row: Visit, sent: SentSkip, log: Merged, sender: Sender) -> Saved:
    """Leave a check out with a reason, or ask it again after all."""
    kind = kind_named("skip")
    if sent.why.strip():
        entry = _entry(sent, kind, {"check": sent.check, "why": sent.why.strip()[:120]}, sender)
        return _kept(append(row.pk, entry, person=sender.person))
    slot = log.slot("skip", {"check": sent.check})
    if slot is None:
        return Saved(seq=row.last_seq, reading="")
    return take_back(
        row, SentTakeBack(id=sent.id, readings=list(slot.readings), why="asked after all"), sender
    )


def take_back(row: Visit, sent: SentTakeBack, sender: Sender) -> Saved:
    """Take readings back and say why; sent again it changes nothing.

    Raises
    ------
    RecordsError
        When a reading is not there, or no reason is given.
    """
    seq = row.last_seq
    with answered(), transaction.atomic():
        for number, reading in enumerate(sent.readings):
            done = records_log.void(
                row.pk,
                reading,
                sent.why,
                new_id=uuid5(sent.id, str(number)),
                at=_at(sent.at),
                by="" if sender.person is None else sender.person.name,
                device=sender.device,
                person=sender.person,
            )
            seq = done.reading.seq
    return Saved(seq=seq, reading="")
