"""A reading of the log in plain form, as the fold, the exchange file and the wire see it."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

__all__ = ["Entry", "EntryLine", "canonical"]


class EntryLine(BaseModel):
    """One line of `readings.jsonl`."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    id: UUID
    seq: int = Field(ge=1)
    kind: str = Field(min_length=1, max_length=40)
    version: int = Field(ge=1)
    payload: dict[str, Any]
    at: AwareDatetime
    by: str = Field(default="", max_length=120)
    device: str = Field(default="", max_length=80)
    supersedes: UUID | None = None
    void_reason: str | None = Field(default=None, min_length=1, max_length=400)
    moved_from: UUID | None = None
    blobs: dict[str, str] = Field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One reading: its kind and version, what was entered, by whom and when.

    `seq` is the place in the visit's server order, 0 before the server has given one. An entry with a
    `void_reason` takes back the entry that it supersedes. `blobs` maps each file named in the payload to its
    SHA-256. `moved_from` is the entry of another visit that this one was copied from.
    """

    id: UUID
    seq: int = 0
    kind: str
    version: int
    payload: Mapping[str, Any]
    at: datetime
    by: str = ""
    device: str = ""
    supersedes: UUID | None = None
    void_reason: str | None = None
    moved_from: UUID | None = None
    blobs: Mapping[str, str] = field(default_factory=dict)

    def content(self) -> str:
        """SHA-256 of what the entry says, whoever sent it and when: a resend has the same."""
        said = [
            self.kind,
            self.version,
            dict(self.payload),
            None if self.supersedes is None else str(self.supersedes),
            self.void_reason,
            dict(self.blobs),
        ]
        return hashlib.sha256(canonical(said).encode()).hexdigest()

    def line(self) -> str:
        """The entry as one line of JSON."""
        plain = {
            "id": str(self.id),
            "seq": self.seq,
            "kind": self.kind,
            "version": self.version,
            "payload": dict(self.payload),
            "at": self.at.astimezone(UTC).isoformat(),
            "by": self.by,
            "device": self.device,
            "supersedes": None if self.supersedes is None else str(self.supersedes),
            "void_reason": self.void_reason,
            "moved_from": None if self.moved_from is None else str(self.moved_from),
            "blobs": dict(self.blobs),
        }
        return canonical(plain)

    @classmethod
    def from_line(cls, line: EntryLine) -> "Entry":
        """The entry that a checked line describes."""
        return cls(**dict(line))


def canonical(plain: Any) -> str:
    """JSON with sorted keys and no blanks: the same content gives the same text."""
    return json.dumps(plain, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
