"""Sessions that can be listed and revoked: Django's database sessions with their person in a column."""

from datetime import datetime
from typing import Any

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore as DatabaseSessions

from evenground.studio.models import DeskSession

__all__ = ["SessionStore"]


def _time(text: Any) -> datetime | None:
    return datetime.fromisoformat(text) if isinstance(text, str) else None


class SessionStore(DatabaseSessions):
    """Keeps who, since when, from where beside the session's data, so that a person can see and end it."""

    @classmethod
    def get_model_class(cls) -> type[DeskSession]:
        """Give the table."""
        return DeskSession

    def create_model_instance(self, data: dict[str, Any]) -> DeskSession:
        """Give the row for this session's data."""
        row = super().create_model_instance(data)
        assert isinstance(row, DeskSession)  # noqa: S101 - what get_model_class promises
        row.person_id = data.get(SESSION_KEY)
        row.paired_id = data.get("paired")
        row.opened_at = _time(data.get("opened_at"))
        row.seen_at = _time(data.get("seen_at"))
        row.address = str(data.get("address", ""))[:45]
        row.browser = str(data.get("browser", ""))[:80]
        row.locked = bool(data.get("locked", False))
        return row
