"""The studio app as a Django app: its sessions, one-time links, pairing codes and paired devices."""

from django.apps import AppConfig

__all__ = ["StudioConfig"]


class StudioConfig(AppConfig):
    """What the web app keeps besides the records: who is signed in, and from which device."""

    name = "evenground.studio"
    label = "studio"
    default_auto_field = "django.db.models.BigAutoField"
