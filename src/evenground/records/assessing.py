"""The findings of a visit, worked out by `assess` and kept under the hash of all they stand on."""

import hashlib
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from threading import Lock
from typing import Any, BinaryIO
from uuid import UUID

from evenground import __version__
from evenground.assess import assess
from evenground.capture.bundle_writer import studio_toml, visit_toml
from evenground.capture.studio_file import studio_from
from evenground.capture.visit_file import visit_from
from evenground.findings import Findings
from evenground.methods import METHODS
from evenground.plain import to_plain
from evenground.records.answers import answered
from evenground.records.assemble import fold
from evenground.records.blobs import BlobNotFoundError, open_blob
from evenground.records.entries import canonical
from evenground.records.log import VisitNotFoundError, entries_of
from evenground.records.models import Blob, FindingsRow, Visit
from evenground.records.visits import studio_file
from evenground.visit import StudioSnapshot
from evenground.visit import Visit as Measured

__all__ = ["Inputs", "findings_json", "findings_of", "inputs_of"]

_KEPT = 64
_kept: OrderedDict[str, Findings] = OrderedDict()
_latest: OrderedDict[UUID, Findings] = OrderedDict()
_lock = Lock()


@dataclass(frozen=True, slots=True, kw_only=True)
class Inputs:
    """All that the findings of a visit stand on; `digests` are its files by name, `erased` those deleted."""

    visit: Measured
    studio: StudioSnapshot
    digests: Mapping[str, str]
    erased: frozenset[str] = frozenset()

    def hash(self) -> str:
        """SHA-256 over visit, studio, files, the methods' versions and the program's."""
        texts = [visit_toml(self.visit), studio_toml(self.studio)]
        said = canonical([*texts, self.marks(), METHODS, __version__])
        return hashlib.sha256(said.encode()).hexdigest()

    def marks(self) -> dict[str, str]:
        """What stands for each file in a hash: its digest, and that it is gone when it was deleted."""
        return {
            name: f"erased {digest}" if name in self.erased else digest
            for name, digest in self.digests.items()
        }

    def open(self, name: str) -> BinaryIO:
        """Open a recording, layout or stock list by its name in the visit."""
        if name not in self.digests:
            raise BlobNotFoundError(name)
        return open_blob(self.digests[name])


def inputs_of(visit_id: UUID) -> Inputs:
    """What the findings of a visit are worked out from, as the log stands now.

    Raises
    ------
    VisitNotFoundError
        When there is no such visit.
    """
    row = Visit.objects.select_related("snapshot").filter(pk=visit_id).first()
    if row is None:
        raise VisitNotFoundError(str(visit_id))
    entries = entries_of(visit_id)
    visit = visit_from(fold(entries).file)
    studio = studio_from(studio_file(row.snapshot))
    stored = {name: sha256 for entry in entries for name, sha256 in entry.blobs.items()}
    if studio.stock is not None and row.snapshot is not None and row.snapshot.stock_id is not None:
        stored[studio.stock] = row.snapshot.stock_id
    named = {name for p in visit.ground for name in (p.recording, p.layout)} | {studio.stock}
    digests = {n: d for n, d in stored.items() if n in named}
    gone = Blob.objects.filter(sha256__in=digests.values(), deleted_at__isnull=False)
    lost = set(gone.values_list("sha256", flat=True))
    erased = frozenset(n for n, d in digests.items() if d in lost)
    return Inputs(visit=visit, studio=studio, digests=digests, erased=erased)


def findings_of(visit_id: UUID) -> Findings:
    """The findings of a visit as it stands now; worked out only when something they stand on changed."""
    inputs = inputs_of(visit_id)
    key = inputs.hash()
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            return _kept[key]
        earlier = _latest.get(visit_id)
    found = assess(
        inputs.visit, inputs.studio, partial(Inputs.open, inputs), digests=inputs.marks(), earlier=earlier
    )
    with _lock:
        _kept[key] = _latest[visit_id] = found
        _latest.move_to_end(visit_id)
        for known in (_kept, _latest):
            while len(known) > _KEPT:
                known.popitem(last=False)
    _store(visit_id, key, found)
    return found


def findings_json(visit_id: UUID) -> dict[str, Any]:
    """The findings as `findings.json` holds them, from the cache when nothing changed since."""
    key = inputs_of(visit_id).hash()
    row = FindingsRow.objects.filter(visit_id=visit_id, input_hash=key).first()
    plain: dict[str, Any] = row.body if row is not None else to_plain(findings_of(visit_id))
    return plain


def _store(visit_id: UUID, key: str, found: Findings) -> None:
    with answered():
        FindingsRow.objects.update_or_create(
            visit_id=visit_id, defaults={"input_hash": key, "body": to_plain(found)}
        )
