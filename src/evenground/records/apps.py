"""The records as a Django app."""

from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate

__all__ = ["RecordsConfig"]


def _guard(using: str, **_: Any) -> None:
    from evenground.records.guards import set_guards

    set_guards(using)


class RecordsConfig(AppConfig):
    """Tables of the records; after each migration the database itself guards what may never change."""

    name = "evenground.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Have the guards set again whenever tables were made or changed."""
        post_migrate.connect(_guard, sender=self, dispatch_uid="records.guards")
