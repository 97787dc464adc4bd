"""Tokens by which a studio's own script sends readings of one visit: long, hashed, expiring, revocable."""

import hashlib
import secrets
from datetime import timedelta
from uuid import UUID

from django.utils import timezone

from evenground.errors import StudioError
from evenground.records.audit import note
from evenground.records.models import Person, Visit
from evenground.studio.models import DeviceToken
from evenground.studio.throttle import Throttle

__all__ = ["HOURS", "WRONG_TOKENS", "TokenRefusedError", "make_token", "revoke_token", "token_of"]

HOURS = 12
"""A token lasts for a working day (ours)."""
WRONG_TOKENS = Throttle(most=20, window_s=60.0)
_SEEN_EVERY = timedelta(seconds=30)


class TokenRefusedError(StudioError):
    """A token that was never made, has run out, was revoked, or is for another visit."""

    do = "Make a new token on the visit's page under Devices."

    def __init__(self, why: str) -> None:
        super().__init__(why)
        self.where = "token"
        self.what = f"This token cannot be used: {why}."


def make_token(person: Person, visit: Visit, name: str, *, hours: int = HOURS) -> str:
    """The secret of a new token for one visit; it is shown once and only its hash is kept."""
    secret = f"eg_{secrets.token_urlsafe(32)}"
    row = DeviceToken.objects.create(
        token_hash=_hash(secret),
        name=name or "device",
        visit=visit,
        person=person,
        expires_at=timezone.now() + timedelta(hours=hours),
    )
    note(person, "made token", what="token", object_id=str(row.pk), player_id=visit.player_id)
    return secret


def revoke_token(person: Person | None, token_id: UUID) -> None:
    """Stop a token from working; what it sent stays."""
    row = DeviceToken.objects.filter(pk=token_id, revoked_at__isnull=True).first()
    if row is not None:
        row.revoked_at = timezone.now()
        row.save(update_fields=["revoked_at"])
        note(person, "revoked token", what="token", object_id=str(row.pk), player_id=row.visit.player_id)


def token_of(secret: str, address: str) -> DeviceToken:
    """The token of a secret.

    Raises
    ------
    TooManyTriesError
        When secrets are being guessed from this address.
    TokenRefusedError
        When it does not work, or not any more.
    """
    WRONG_TOKENS.count(address)
    found = DeviceToken.objects.select_related("person", "visit").filter(token_hash=_hash(secret)).first()
    if found is None:
        raise TokenRefusedError("it is not one of this studio")
    now = timezone.now()
    if found.revoked_at is not None:
        raise TokenRefusedError("it was revoked")
    if found.expires_at <= now:
        raise TokenRefusedError("it has run out")
    if not found.person.is_active:
        raise TokenRefusedError("the person who made it does not work here any more")
    WRONG_TOKENS.give_back(address)
    if found.used_at is None or now - found.used_at > _SEEN_EVERY:
        DeviceToken.objects.filter(pk=found.pk).update(used_at=now)
    return found


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
