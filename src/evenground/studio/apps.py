"""The studio app as a Django app: sessions, one-time links, pairing codes, devices, waiting recordings."""

from django.apps import AppConfig

__all__ = ["StudioConfig"]


class StudioConfig(AppConfig):
    """What the web app keeps besides the records: who is signed in, and from which device."""

    name = "evenground.studio"
    label = "studio"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Have recordings that wait forgotten with the visit that they were made in."""
        from django.db.models.signals import post_delete

        from evenground.records.models import Visit
        from evenground.studio.waiting import forget_visit

        post_delete.connect(forget_visit, sender=Visit, dispatch_uid="recordings that wait")
