"""The date of this place: a visit belongs to the day on the studio's own calendar."""

from datetime import date

from django.utils import timezone

__all__ = ["today_here"]


def today_here() -> date:
    """The date on this machine's calendar."""
    return timezone.now().astimezone().date()
