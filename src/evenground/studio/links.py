"""Links that work once: the first owner's, a sign-in, a new password. Only hashes are kept."""

import hashlib
import secrets
from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from evenground.errors import StudioError
from evenground.records.models import Person, Role
from evenground.studio.models import LinkPurpose, OneTimeLink

__all__ = ["LinkUsedUpError", "first_owner_wanted", "make_link", "open_link", "use_link"]


class LinkUsedUpError(StudioError):
    """A one-time link that was used, has run out, or never was."""

    do = "Ask the owner for a new one; the first owner's link is printed when the app starts."

    def __init__(self) -> None:
        super().__init__()
        self.what = "This link works once and for a limited time, and that is over."


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def first_owner_wanted() -> bool:
    """Whether nobody owns this studio yet."""
    return not Person.objects.filter(role=Role.OWNER, is_active=True).exists()


def make_link(purpose: LinkPurpose, *, person: Person | None = None, minutes: int = 60) -> str:
    """The secret of a new link; older links for the same person and purpose stop working."""
    token = secrets.token_urlsafe(32)
    with transaction.atomic():
        OneTimeLink.objects.filter(purpose=purpose, person=person, used_at__isnull=True).delete()
        OneTimeLink.objects.create(
            token_hash=_hash(token),
            purpose=purpose,
            person=person,
            expires_at=timezone.now() + timedelta(minutes=minutes),
        )
    return token


def open_link(token: str) -> OneTimeLink:
    """Look at a link without using it up.

    Raises
    ------
    LinkUsedUpError
        When it does not work any more.
    """
    link = (
        OneTimeLink.objects.select_related("person")
        .filter(token_hash=_hash(token), used_at__isnull=True, expires_at__gt=timezone.now())
        .first()
    )
    if link is None or (link.purpose == LinkPurpose.FIRST_OWNER and not first_owner_wanted()):
        raise LinkUsedUpError
    if link.person is not None and not link.person.is_active:
        raise LinkUsedUpError
    return link


def use_link(link: OneTimeLink) -> None:
    """Use a link up; of two at once only one gets through.

    Raises
    ------
    LinkUsedUpError
        When somebody was faster.
    """
    taken = OneTimeLink.objects.filter(pk=link.pk, used_at__isnull=True).update(used_at=timezone.now())
    if not taken:
        raise LinkUsedUpError
