"""Findings as a cache, and setup cards, fixed once signed."""

import uuid
from typing import Any, ClassVar

from django.db import models
from django.utils import timezone

from evenground.errors import RecordsError
from evenground.records.models.people import Person
from evenground.records.models.visits import Blob, StudioSnapshot, Visit

__all__ = ["CardVersion", "FindingsRow", "SignedCardIsFixedError"]


class SignedCardIsFixedError(RecordsError):
    """A signed card was to be changed or deleted."""

    do = "Make a new version of the card and sign that."

    def __init__(self, visit: str, number: int) -> None:
        super().__init__(visit, number)
        self.where = f"visit {visit}, card {number}"
        self.what = "This card is signed and stays as it is."


class FindingsRow(models.Model):
    """What was last worked out of a visit, under the hash of all it stands on; a cache."""

    visit = models.OneToOneField(Visit, on_delete=models.CASCADE, primary_key=True, related_name="found")
    input_hash = models.CharField(max_length=64)
    body = models.JSONField()
    at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return f"{self.visit_id} {self.input_hash[:12]}"


class CardVersion(models.Model):
    """One version of a visit's setup card. A signed one embeds what it needs and is never written again."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="cards")
    number = models.IntegerField()
    lines = models.JSONField(default=list)
    findings = models.JSONField(default=dict)
    input_hash = models.CharField(max_length=64)
    snapshot = models.ForeignKey(StudioSnapshot, on_delete=models.PROTECT, null=True, related_name="+")
    signer = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="cards")
    signer_name = models.CharField(max_length=120, blank=True)
    signed_at = models.DateTimeField(null=True)
    pdf = models.ForeignKey(Blob, on_delete=models.PROTECT, null=True, related_name="+")
    created_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering: ClassVar[list[str]] = ["visit", "number"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["visit", "number"], name="card_number_once_a_visit")
        ]

    def __str__(self) -> str:
        return f"card {self.number}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write the card while it is a draft, and once more as it is signed.

        Raises
        ------
        SignedCardIsFixedError
            When the stored card is signed already.
        """
        self._refuse_if_signed()
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Delete a draft; erasing a whole player takes the signed cards with it.

        Raises
        ------
        SignedCardIsFixedError
            When the card is signed.
        """
        self._refuse_if_signed()
        return super().delete(*args, **kwargs)

    def _refuse_if_signed(self) -> None:
        if CardVersion.objects.filter(pk=self.pk, signed_at__isnull=False).exists():
            raise SignedCardIsFixedError(str(self.visit_id), self.number)
