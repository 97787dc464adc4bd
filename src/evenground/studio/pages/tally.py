"""How many values each field of a log ever had, counted in one pass and kept as long as the log is."""

from typing import Any
from weakref import WeakKeyDictionary

from evenground.records.merge import Merged
from evenground.records.reading_kinds import kind_named

__all__ = ["values_had", "who_wrote"]

Place = tuple[str, tuple[Any, ...], str]

_counted: WeakKeyDictionary[Merged, dict[Place, int]] = WeakKeyDictionary()
_writers: WeakKeyDictionary[Merged, dict[Any, str]] = WeakKeyDictionary()


def values_had(log: Merged, kind: str, key: tuple[Any, ...], field: str) -> int:
    """How many readings of the log gave this field a value, those taken back included."""
    found = _counted.get(log)
    if found is None:
        found = _counted[log] = _count(log)
    return found.get((kind, key, field), 0)


def who_wrote(log: Merged, reading: Any) -> str:
    """The name of whoever gave a reading."""
    found = _writers.get(log)
    if found is None:
        found = _writers[log] = {entry.id: entry.by for entry in log.entries}
    return found.get(reading, "")


def _count(log: Merged) -> dict[Place, int]:
    counts: dict[Place, int] = {}
    for entry in log.entries:
        if entry.void_reason is not None:
            continue
        kind = kind_named(entry.kind)
        payload = kind.upcast(entry.version, entry.payload)
        key = kind.key_of(payload)
        for name in payload:
            place = entry.kind, key, name
            counts[place] = counts.get(place, 0) + 1
    return counts
