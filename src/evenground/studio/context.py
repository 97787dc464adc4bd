"""What every page's frame needs: who is here, where they may go, how it shall look."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse
from django.utils.functional import SimpleLazyObject

from evenground.records.visits import current_snapshot, studio_file
from evenground.studio.access import ACCESS, person_of, role_of
from evenground.visit import StudioSettings

__all__ = ["LOOKS", "PLACES", "frame"]

LOOKS = {"system": "as this device", "light": "light", "dark": "dark"}
LOOK_COOKIE = "evenground_look"
PLACES = (("today", "Today"), ("players", "Players"), ("schools", "School"), ("studio", "Studio"))
"""The app's places in the margin, in order; one that a role may not open is left out."""


def frame(request: HttpRequest) -> dict[str, Any]:
    """Give the frame's facts; the studio's name is asked for only when it shows."""
    person, role = person_of(request), role_of(request)
    awake = person is not None and not request.session.get("locked")
    match = getattr(request, "resolver_match", None)
    look = request.COOKIES.get(LOOK_COOKIE, "system")
    places = [
        {
            "name": name,
            "word": word,
            "address": reverse(name),
            "here": match is not None and name == here(match),
        }
        for name, word in PLACES
        if role in ACCESS[name].roles
    ]
    return {
        "studio_name": SimpleLazyObject(_studio_name),
        "person": person,
        "role": role,
        "awake": awake,
        "places": places if awake else [],
        "look": look if look in LOOKS else "system",
        "looks": LOOKS,
        "idle_minutes": settings.IDLE_LOCK_MINUTES if awake else 0,
        "paired_session": bool(request.session.get("paired")) if hasattr(request, "session") else False,
    }


def _studio_name() -> str:
    """The studio's own name; the program's until it has one."""
    name = studio_file(current_snapshot()).settings.name
    return "Evenground" if name == StudioSettings().name else name


_UNDER = {
    "schools": {"school", "school-scan"},
    "players": {"player", "player-new", "player-edit", "consent-new"},
    "studio": {
        "settings",
        "instruments",
        "instrument",
        "cameras",
        "camera-calibrate",
        "stock",
        "orders",
        "order",
        "order-step",
        "people",
        "studies",
        "study",
        "sessions",
        "audit",
        "person-link",
    },
}


def here(match: Any) -> str:
    """The place in the margin that an address belongs to."""
    name = str(match.view_name)
    return next((place for place, names in _UNDER.items() if name in names), name)
