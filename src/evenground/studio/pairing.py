"""Letting a tablet or phone in: a code that works once, for two minutes, and a device that can be revoked."""

import hashlib
import secrets
from datetime import timedelta

from django.db import transaction
from django.http import HttpRequest
from django.utils import timezone

from evenground.errors import StudioError
from evenground.records.models import Person, Role
from evenground.studio.models import PairedDevice, PairingCode
from evenground.studio.throttle import Throttle

__all__ = [
    "CODE_SECONDS",
    "DEVICE_COOKIE",
    "PairingCodeError",
    "device_of",
    "from_this_machine",
    "make_code",
    "pair",
    "show_code",
]

CODE_SECONDS = 120
ALPHABET = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Thirty signs that nobody takes for another: eight of them are 39 bits, for two minutes."""
CODE_LENGTH = 8
DEVICE_COOKIE = "evenground_device"
TRIES = Throttle(most=6, window_s=60.0)
ALL_TRIES = Throttle(most=30, window_s=60.0)


class PairingCodeError(StudioError):
    """A pairing code that was used, has run out, or was mistyped."""

    do = "Make a new code on the laptop and enter it within two minutes."

    def __init__(self) -> None:
        super().__init__()
        self.what = "This code does not open the door."


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _plain(code: str) -> str:
    """The code as made, however it was typed."""
    return "".join(c for c in code.upper() if c in ALPHABET)


def show_code(code: str) -> str:
    """The code in two groups, as it is read out.

    Examples
    --------
    >>> show_code("7KQ2MXP4")
    '7KQ2 MXP4'
    """
    return f"{code[:4]} {code[4:]}"


def make_code(person: Person, most: Role = Role.ASSISTANT) -> str:
    """A new code for one device; an older one that was not used stops working."""
    code = "".join(secrets.choice(ALPHABET) for _ in range(CODE_LENGTH))
    with transaction.atomic():
        PairingCode.objects.filter(person=person, used_at__isnull=True).delete()
        PairingCode.objects.create(
            code_hash=_hash(code),
            person=person,
            role=most,
            expires_at=timezone.now() + timedelta(seconds=CODE_SECONDS),
        )
    return code


def pair(code: str, *, name: str, address: str) -> tuple[PairedDevice, str, Role]:
    """Take a code and give the device, the secret its cookie holds, and what it may do at most.

    Raises
    ------
    TooManyTriesError
        When codes are being guessed.
    PairingCodeError
        When the code is not one that works now.
    """
    TRIES.count(address)
    ALL_TRIES.count("all")
    now = timezone.now()
    with transaction.atomic():
        fresh = PairingCode.objects.filter(code_hash=_hash(_plain(code)), used_at__isnull=True)
        if not fresh.filter(expires_at__gt=now, person__is_active=True).update(used_at=now):
            raise PairingCodeError
        row = PairingCode.objects.select_related("person").get(code_hash=_hash(_plain(code)))
        token = secrets.token_urlsafe(32)
        device = PairedDevice.objects.create(
            token_hash=_hash(token), name=name or "tablet", person=row.person, address=address
        )
    return device, token, Role(row.role)


def device_of(request: HttpRequest) -> PairedDevice | None:
    """The paired device that sent this request, None when it is not paired or was revoked."""
    token = request.COOKIES.get(DEVICE_COOKIE)
    if not token:
        return None
    return PairedDevice.objects.filter(token_hash=_hash(token), revoked_at__isnull=True).first()


def from_this_machine(request: HttpRequest) -> bool:
    """Whether the request comes over loopback."""
    return request.META.get("REMOTE_ADDR", "") in {"127.0.0.1", "::1", "::ffff:127.0.0.1"}
