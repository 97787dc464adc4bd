"""Readings merged entry by entry: what shows of each field, and every earlier value behind it.

The readings are taken in server order. A reading sets the fields that it holds. One that supersedes another
first takes away whatever still shows of that reading and of its other corrections; a void takes it away and
sets nothing. So the later always shows, nothing older comes back by itself, and all stay in the log.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal
from uuid import UUID

from evenground.records.entries import Entry
from evenground.records.reading_kinds import Kind, kind_named

__all__ = ["HistoryLine", "Merged", "Shown", "Slot", "merged"]

Key = tuple[str, tuple[Any, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A value that shows, and the reading it comes from."""

    value: Any
    reading: UUID


@dataclass(slots=True, kw_only=True)
class Slot:
    """One entry of a kind (a trial, a size, a hand) with the fields that show of it."""

    kind: Kind
    key: tuple[Any, ...]
    shown: dict[str, Shown] = field(default_factory=dict)

    @property
    def values(self) -> dict[str, Any]:
        """Field -> value, keys included."""
        keys = dict(zip(self.kind.keys, self.key, strict=True))
        return keys | {name: s.value for name, s in self.shown.items()}

    @property
    def readings(self) -> tuple[UUID, ...]:
        """The readings that something shows of."""
        return tuple(dict.fromkeys(s.reading for s in self.shown.values()))


@dataclass(frozen=True, slots=True, kw_only=True)
class HistoryLine:
    """One value that a field had: what it was, who gave it when, and what became of it."""

    entry: Entry
    value: Any
    became: Literal["shown", "replaced", "voided"]
    why: str | None = None


class Merged:
    """All entries of a visit's log, merged."""

    def __init__(self, entries: Iterable[Entry]) -> None:
        self.entries = tuple(sorted(entries, key=lambda e: (e.seq, str(e.id))))
        self._slots: dict[Key, Slot] = {}
        self._root: dict[UUID, UUID] = {}
        self._void: dict[UUID, str] = {}
        for entry in self.entries:
            self._take(entry)

    def _take(self, entry: Entry) -> None:
        kind = kind_named(entry.kind)
        if entry.supersedes is not None:
            self._clear(self._root.get(entry.supersedes, entry.supersedes), entry)
        self._root[entry.id] = self._root.get(entry.supersedes or entry.id, entry.supersedes or entry.id)
        if entry.void_reason is not None:
            return
        payload = kind.upcast(entry.version, entry.payload)
        slot = self._slot(kind, kind.key_of(payload))
        for name, value in payload.items():
            if name not in kind.keys:
                slot.shown[name] = Shown(value=value, reading=entry.id)

    def _slot(self, kind: Kind, key: tuple[Any, ...]) -> Slot:
        return self._slots.setdefault((kind.name, key), Slot(kind=kind, key=key))

    def _clear(self, root: UUID, by: Entry) -> None:
        for slot in self._slots.values():
            for name in [n for n, s in slot.shown.items() if self._root[s.reading] == root]:
                if by.void_reason is not None:
                    self._void[slot.shown[name].reading] = by.void_reason
                del slot.shown[name]

    def of(self, kind: str) -> list[Slot]:
        """The entries of a kind that something shows of, in the order in which they were begun."""
        return [s for (name, _), s in self._slots.items() if name == kind and s.shown]

    def slot(self, kind: str, keys: Mapping[str, Any] | None = None) -> Slot | None:
        """One entry, or None when nothing shows of it."""
        found = self._slots.get((kind, kind_named(kind).key_of(keys or {})))
        return found if found is not None and found.shown else None

    def history(self, kind: str, keys: Mapping[str, Any], field: str) -> tuple[HistoryLine, ...]:
        """Every value that a field of one entry had, the latest first."""
        which = kind_named(kind)
        key = which.key_of(keys)
        slot = self._slots.get((kind, key))
        shows = slot.shown[field].reading if slot is not None and field in slot.shown else None
        lines = []
        for entry in self.entries:
            if entry.kind != kind or entry.void_reason is not None:
                continue
            payload = which.upcast(entry.version, entry.payload)
            if field in payload and which.key_of(payload) == key:
                lines.append(self._line(entry, payload[field], shows))
        return tuple(reversed(lines))

    def _line(self, entry: Entry, value: Any, shows: UUID | None) -> HistoryLine:
        if entry.id == shows:
            return HistoryLine(entry=entry, value=value, became="shown")
        if entry.id in self._void:
            return HistoryLine(entry=entry, value=value, became="voided", why=self._void[entry.id])
        return HistoryLine(entry=entry, value=value, became="replaced")


def merged(entries: Iterable[Entry]) -> Merged:
    """Merge a visit's readings, in whatever order they come."""
    return Merged(entries)
