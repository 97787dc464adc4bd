"""Setup cards: drafted as versions of a visit's card, and fixed from the moment of signing."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from evenground.errors import RecordsError
from evenground.records.answers import answered
from evenground.records.audit import note
from evenground.records.blobs import put_blob
from evenground.records.models import CardVersion, Person, Role, SignedCardIsFixedError, Visit

__all__ = ["CardNotFoundError", "MayNotSignError", "draft_card", "sign_card"]


class CardNotFoundError(RecordsError):
    """There is no such card."""

    do = "Open the card from its visit."

    def __init__(self, card: str) -> None:
        super().__init__(card)
        self.where = f"card {card}"
        self.what = "There is no such card."


class MayNotSignError(RecordsError):
    """Somebody wanted to sign a card whose role does not allow it."""

    do = "Ask a teacher or the owner to sign it."

    def __init__(self, person: str, role: str) -> None:
        super().__init__(person, role)
        self.where = "card"
        self.what = f"{person} is signed in as {role} and cannot sign cards."


def draft_card(
    visit_id: UUID, lines: Sequence[Mapping[str, Any]], findings: Mapping[str, Any], input_hash: str
) -> CardVersion:
    """The visit's draft with these lines: the open draft rewritten, or a new version after a signed one."""
    with answered(), transaction.atomic():
        visit = Visit.objects.select_for_update().get(pk=visit_id)
        last = visit.cards.order_by("-number").first()
        if last is None or last.signed_at is not None:
            last = CardVersion(visit=visit, number=1 if last is None else last.number + 1)
        last.lines = [dict(line) for line in lines]
        last.findings = dict(findings)
        last.input_hash = input_hash
        last.snapshot = visit.snapshot
        last.save()
        return last


def sign_card(card_id: UUID, person: Person, pdf: bytes) -> CardVersion:
    """Sign a draft: from here on neither the program nor the database lets it change.

    Raises
    ------
    MayNotSignError
        When the person is an assistant.
    CardNotFoundError, SignedCardIsFixedError
        When there is no such draft.
    """
    if person.role not in {Role.OWNER, Role.TEACHER}:
        raise MayNotSignError(person.name, person.role)
    blob = put_blob(pdf, "application/pdf")
    with answered(), transaction.atomic():
        card = CardVersion.objects.select_for_update().filter(pk=card_id).first()
        if card is None:
            raise CardNotFoundError(str(card_id))
        if card.signed_at is not None:
            raise SignedCardIsFixedError(str(card.visit_id), card.number)
        card.signer, card.signer_name, card.signed_at, card.pdf = person, person.name, timezone.now(), blob
        card.save()
        note(person, "signed", what="card", object_id=str(card.pk), player_id=card.visit.player_id)
        return card
