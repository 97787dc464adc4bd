"""Who saw and changed what: entries are only appended, and hold ids, never a player's name or sizes."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from evenground.records.models import AuditEntry, Person

__all__ = ["note"]


def note(
    person: Person | None,
    action: str,
    *,
    what: str = "",
    object_id: str = "",
    player_id: UUID | None = None,
    detail: Mapping[str, Any] | None = None,
) -> AuditEntry:
    """Append one entry, in the transaction of whatever it is about."""
    return AuditEntry.objects.create(
        person=person,
        action=action,
        what=what,
        object_id=object_id,
        player_id=player_id,
        detail=dict(detail or {}),
    )
