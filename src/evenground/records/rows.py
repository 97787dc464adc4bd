"""A visit's log read straight into plain entries: two queries, no model made for each row."""

from uuid import UUID

from evenground.records.entries import Entry
from evenground.records.models import Reading, ReadingBlob

__all__ = ["entries_of"]

_FIELDS = (
    "id",
    "seq",
    "kind",
    "version",
    "payload",
    "at",
    "by",
    "device",
    "supersedes",
    "void_reason",
    "moved_from",
)


def entries_of(visit_id: UUID, *, kind: str | None = None) -> list[Entry]:
    """A visit's log in plain form, in server order: all of it, or the readings of one kind."""
    lines = Reading.objects.filter(visit_id=visit_id).order_by("seq")
    links = ReadingBlob.objects.filter(reading__visit_id=visit_id).order_by("id")
    if kind is not None:
        lines, links = lines.filter(kind=kind), links.filter(reading__kind=kind)
    files: dict[UUID, dict[str, str]] = {}
    for reading, name, sha256 in links.values_list("reading_id", "name", "blob_id"):
        files.setdefault(reading, {})[name] = sha256
    return [Entry(**row, blobs=files.get(row["id"], {})) for row in lines.values(*_FIELDS)]
