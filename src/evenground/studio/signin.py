"""Signing in: tries are counted first, then the lock-out asked, and only then is a password hashed."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime

from django.contrib.auth import authenticate, login
from django.http import HttpRequest
from django.utils import timezone

from evenground.errors import StudioError
from evenground.records.audit import note
from evenground.records.models import Person, Role
from evenground.studio.models import PairedDevice
from evenground.studio.throttle import Throttle, TooManyTriesError

__all__ = [
    "LockedOutError",
    "WrongSignInError",
    "address_of",
    "browser_of",
    "check_password",
    "open_session",
    "seen_before",
]

BACKEND = "django.contrib.auth.backends.ModelBackend"
BY_ADDRESS = Throttle(most=10, window_s=60.0)
BY_NAME = Throttle(most=10, window_s=60.0)
ALTOGETHER = Throttle(most=60, window_s=60.0)
_HASHING = threading.BoundedSemaphore(2)
"""Two checks at once take some 200 MiB; a third waits (ours)."""
_WAIT_S = 5.0


class WrongSignInError(StudioError):
    """Name and password do not belong together; which of the two is wrong is not said."""

    do = "Try again; after five wrong tries this name rests for 15 minutes here."

    def __init__(self) -> None:
        super().__init__()
        self.what = "This name and this password do not belong together."


class LockedOutError(StudioError):
    """Too many wrong passwords."""

    do = "Wait 15 minutes, or have the owner make you a one-time link."

    def __init__(self) -> None:
        super().__init__()
        self.what = "After five wrong tries this name rests for 15 minutes here."


@contextmanager
def _one_of_two() -> Iterator[None]:
    if not _HASHING.acquire(timeout=_WAIT_S):
        raise TooManyTriesError(10)
    try:
        yield
    finally:
        _HASHING.release()


def address_of(request: HttpRequest) -> str:
    """Where the request comes from."""
    return str(request.META.get("REMOTE_ADDR", ""))[:45]


def browser_of(request: HttpRequest) -> str:
    """The browser and system in two words, as far as they say it."""
    said = request.META.get("HTTP_USER_AGENT", "")
    browsers = (("Firefox/", "Firefox"), ("Edg/", "Edge"), ("Chrome/", "Chromium"), ("Safari/", "Safari"))
    systems = (("iPad", "iPad"), ("iPhone", "iPhone"), ("Android", "Android"), ("Mac OS", "Mac"))
    more = (("Windows", "Windows"), ("Linux", "Linux"))
    browser = next((word for sign, word in browsers if sign in said), "a browser")
    system = next((word for sign, word in (*systems, *more) if sign in said), "")
    return f"{browser} on {system}" if system else browser


def check_password(request: HttpRequest, name: str, password: str) -> Person:
    """The person whose name and password these are.

    Raises
    ------
    TooManyTriesError
        Before anything is hashed, when this name, address or the studio was tried too often.
    LockedOutError
        Before anything is hashed, after five wrong passwords.
    WrongSignInError
        When they do not belong together, or the person was switched off.
    """
    wanted = name.strip().casefold()[:150]
    ALTOGETHER.count("all")
    BY_ADDRESS.count(address_of(request))
    BY_NAME.count(wanted)
    with _one_of_two():
        person = authenticate(request, username=wanted, password=password)
    if isinstance(person, Person):
        BY_ADDRESS.give_back(address_of(request))
        BY_NAME.give_back(wanted)
        return person
    locked = bool(getattr(request, "axes_locked_out", False))
    note(None, "locked out" if locked else "sign-in refused", detail={"address": address_of(request)})
    raise LockedOutError if locked else WrongSignInError


def open_session(
    request: HttpRequest, person: Person, *, device: PairedDevice | None = None, most: Role | None = None
) -> None:
    """Sign a person in, under a new session key."""
    request.session.flush()
    login(request, person, backend=BACKEND)
    now = timezone.now()
    request.session["opened_at"] = request.session["seen_at"] = now.astimezone(UTC).isoformat()
    request.session["address"], request.session["browser"] = address_of(request), browser_of(request)
    request.session["paired"] = None if device is None else str(device.pk)
    request.session["most"] = None if most is None else most.value
    note(person, "signed in", what="session", detail={"address": address_of(request)})


def seen_before(request: HttpRequest) -> datetime | None:
    """When this session was last touched by a person."""
    said = request.session.get("seen_at")
    return datetime.fromisoformat(said) if isinstance(said, str) else None
