"""Players: how to reach them, who looks after a minor, what they agreed to."""

import uuid
from datetime import date
from typing import ClassVar

from django.db import models
from django.utils import timezone

from evenground.records.models.people import Person

__all__ = ["ADULT_AFTER_YEARS", "Consent", "ConsentKind", "Erasure", "Player"]

ADULT_AFTER_YEARS = 18
"""A player counts as a minor through the whole year of turning 18: only the birth year is kept (ours)."""


class Player(models.Model):
    """Someone who was or will be measured. What a visit uses of this is copied into its log of readings."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    name = models.CharField(max_length=120)
    handed = models.CharField(max_length=5, choices=[("right", "right"), ("left", "left")])
    birth_year = models.IntegerField(null=True, blank=True)
    reference = models.CharField(max_length=10, blank=True, choices=[("women", "women"), ("men", "men")])
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    guardian_name = models.CharField(max_length=120, blank=True)
    guardian_email = models.EmailField(blank=True)
    note = models.TextField(blank=True)
    created_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering: ClassVar[list[str]] = ["name", "id"]
        indexes: ClassVar[list[models.Index]] = [models.Index(fields=["name"])]

    def __str__(self) -> str:
        return self.name

    def is_minor(self, day: date) -> bool | None:
        """Whether the player is a minor on a day; None when the birth year is not known."""
        return None if self.birth_year is None else day.year - self.birth_year <= ADULT_AFTER_YEARS


class ConsentKind(models.TextChoices):
    """What a player, or a minor's guardian, agreed to."""

    MEASURING = "measuring"
    PHOTOS = "photos"
    MAIL = "mail"
    STUDY = "study"


class Consent(models.Model):
    """One agreement: to which text, on which day, by whom. Taking it back is written, not deleted."""

    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="consents")
    kind = models.CharField(max_length=20, choices=ConsentKind)
    given_on = models.DateField()
    text_version = models.CharField(max_length=40)
    given_by = models.CharField(max_length=120)
    by_guardian = models.BooleanField(default=False)
    withdrawn_on = models.DateField(null=True, blank=True)
    recorded_at = models.DateTimeField(default=timezone.now)
    recorded_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering: ClassVar[list[str]] = ["id"]

    def __str__(self) -> str:
        return f"{self.kind} {self.given_on}"


class Erasure(models.Model):
    """That a player was erased: the bare id and the digests of their files; no restore brings them back."""

    player_id = models.UUIDField(primary_key=True)
    at = models.DateTimeField(default=timezone.now)
    by = models.CharField(max_length=120, blank=True)
    blobs = models.JSONField(default=list)

    def __str__(self) -> str:
        return f"{self.player_id} erased {self.at:%Y-%m-%d}"
