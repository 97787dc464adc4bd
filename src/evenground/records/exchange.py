"""A visit as a bundle and back: `readings.jsonl` holds the truth, everything else in it is for reading.

The bundle is the one that the command line fits, with three things more: the log, one JSON line a reading
after a line about the visit; signed cards with their PDF; every file under the name that readings give it.
"""

import json
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, BinaryIO, TypeVar
from uuid import UUID

from pydantic import BaseModel, ConfigDict, ValidationError

from evenground.capture.bundle_files import safe_name
from evenground.capture.bundle_writer import FolderTakenError, studio_toml, visit_toml
from evenground.capture.studio_file import studio_from
from evenground.errors import RecordsError
from evenground.records.assemble import assemble
from evenground.records.blobs import open_blob
from evenground.records.entries import Entry, EntryLine, canonical
from evenground.records.log import VisitNotFoundError, entries_of
from evenground.records.models import Blob, CardVersion, Visit
from evenground.records.visits import studio_file

__all__ = [
    "LOG",
    "CardLine",
    "DamagedLogError",
    "FileLine",
    "LogFile",
    "LogHead",
    "export_visit",
    "export_zip",
    "read_log",
]

LOG = "readings.jsonl"
Write = Callable[[str, Iterator[bytes]], None]


M = TypeVar("M", bound=BaseModel)


class DamagedLogError(RecordsError):
    """A `readings.jsonl` that is cut, edited or from something else."""

    do = "Export the visit again; the log may not be edited by hand."

    def __init__(self, line: int, why: str) -> None:
        super().__init__(line, why)
        self.where = f"{LOG}, line {line}"
        self.what = f"This line cannot be read: {why}."


class _Line(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class FileLine(_Line):
    """A file of the visit: its digest, what it is, and why it is gone if it was deleted."""

    sha256: str
    size: int
    media_type: str
    deleted_why: str | None = None


class LogHead(_Line):
    """The first line of `readings.jsonl`."""

    format: int
    visit: UUID
    player: UUID
    state: str
    readings: int
    files: dict[str, FileLine]
    stock: str | None = None
    cards: list[int]


class CardLine(_Line):
    """A signed card as `cards/card-N.json` holds it."""

    id: UUID
    number: int
    lines: list[Any]
    findings: dict[str, Any]
    input_hash: str
    signer: str
    signed_at: str
    pdf: str | None


class LogFile(_Line):
    """A whole `readings.jsonl`."""

    head: LogHead
    lines: tuple[EntryLine, ...]

    def entries(self) -> list[Entry]:
        """The readings in plain form."""
        return [Entry.from_line(line) for line in self.lines]


def export_visit(visit_id: UUID, folder: Path) -> None:
    """Write a visit as a bundle folder.

    Raises
    ------
    FolderTakenError
        When the folder holds something already.
    VisitNotFoundError
        When there is no such visit.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise FolderTakenError(str(folder))

    def write(name: str, pieces: Iterator[bytes]) -> None:
        path = folder / safe_name(folder.name, name)
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("wb") as out:
            out.writelines(pieces)

    _export(visit_id, write)


def export_zip(visit_id: UUID, out: BinaryIO) -> None:
    """Write the same bundle as a zip. Errors as in `export_visit`."""
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:

        def write(name: str, pieces: Iterator[bytes]) -> None:
            entry = zipfile.ZipInfo(safe_name("zip", name))  # with the same date for the same content
            entry.compress_type = zipfile.ZIP_DEFLATED
            with packed.open(entry, "w", force_zip64=True) as inside:
                for piece in pieces:
                    inside.write(piece)

        _export(visit_id, write)


def _export(visit_id: UUID, write: Write) -> None:
    visit = Visit.objects.select_related("snapshot").filter(pk=visit_id).first()
    if visit is None:
        raise VisitNotFoundError(str(visit_id))
    entries = entries_of(visit_id)
    studio = studio_from(studio_file(visit.snapshot))
    cards = list(visit.cards.filter(signed_at__isnull=False).select_related("pdf"))
    named = {name: sha256 for entry in entries for name, sha256 in sorted(entry.blobs.items())}
    if studio.stock is not None and visit.snapshot is not None and visit.snapshot.stock_id is not None:
        named[studio.stock] = visit.snapshot.stock_id
    named |= {f"cards/card-{c.number}.pdf": c.pdf_id for c in cards if c.pdf_id is not None}
    rows = Blob.objects.in_bulk(set(named.values()))
    head = LogHead(
        format=1,
        visit=visit.pk,
        player=visit.player_id,
        state=visit.state,
        readings=len(entries),
        files={name: _file_line(rows[sha256]) for name, sha256 in sorted(named.items())},
        stock=studio.stock if studio.stock in named else None,
        cards=[c.number for c in cards],
    )
    lines = [canonical(head.model_dump(mode="json")), *(entry.line() for entry in entries)]
    write("visit.toml", _text(visit_toml(assemble(entries))))
    write("studio.toml", _text(studio_toml(studio)))
    write(LOG, _text("\n".join(lines) + "\n"))
    for card in cards:
        write(f"cards/card-{card.number}.json", _text(_card_text(card)))
    for name, sha256 in sorted(named.items()):
        if rows[sha256].deleted_at is None:
            write(name, _stored(sha256))


def _file_line(blob: Blob) -> FileLine:
    why = blob.deleted_why if blob.deleted_at is not None else None
    return FileLine(sha256=blob.sha256, size=blob.size, media_type=blob.media_type, deleted_why=why)


def _card_text(card: CardVersion) -> str:
    line = CardLine(
        id=card.pk,
        number=card.number,
        lines=card.lines,
        findings=card.findings,
        input_hash=card.input_hash,
        signer=card.signer_name,
        signed_at="" if card.signed_at is None else card.signed_at.isoformat(),
        pdf=card.pdf_id,
    )
    return json.dumps(line.model_dump(mode="json"), indent=2, ensure_ascii=False, sort_keys=True) + "\n"


def _text(text: str) -> Iterator[bytes]:
    yield text.encode()


def _stored(sha256: str) -> Iterator[bytes]:
    with open_blob(sha256) as stream:
        while piece := stream.read(1024 * 1024):
            yield piece


def read_log(raw: bytes) -> LogFile:
    """Read a `readings.jsonl` and check that it is whole: every reading once, in order, as many as it says.

    Raises
    ------
    DamagedLogError
        At the first line that does not fit.
    """
    said = raw.decode("utf-8", errors="replace").split("\n")
    texts = said[:-1] if said[-1] == "" else said
    if not texts:
        raise DamagedLogError(1, "the file is empty")
    head = _parsed(LogHead, texts[0], 1)
    if head.format != 1:
        raise DamagedLogError(1, f"it has format {head.format}, this program reads format 1")
    lines: list[EntryLine] = []
    for number, text in enumerate(texts[1:], start=2):
        line = _parsed(EntryLine, text, number)
        if line.seq != len(lines) + 1:
            raise DamagedLogError(number, f"reading {len(lines) + 1} should stand here, not {line.seq}")
        lines.append(line)
    if len(lines) != head.readings:
        raise DamagedLogError(len(texts), f"{head.readings} readings should be there, not {len(lines)}")
    if len({line.id for line in lines}) != len(lines):
        raise DamagedLogError(len(texts), "two readings have the same id")
    return LogFile(head=head, lines=tuple(lines))


def _parsed(model: type[M], text: str, number: int) -> M:
    try:
        return model.model_validate_json(text)
    except ValidationError as exc:
        first = exc.errors(include_url=False)[0]
        where = " ".join(str(part) for part in first["loc"])
        raise DamagedLogError(number, f"{where}: {first['msg']}".removeprefix(": ")) from exc
