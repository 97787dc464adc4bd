"""Visits, their log of readings, and the files that readings name."""

import uuid
from typing import Any, ClassVar

from django.db import models
from django.utils import timezone

from evenground.records.entries import Entry
from evenground.records.models.people import OnlyAppendedError, Person
from evenground.records.models.players import Player

__all__ = ["Blob", "Reading", "ReadingBlob", "StudioSnapshot", "Visit", "VisitState"]


class Blob(models.Model):
    """A stored file under its digest. A deleted one leaves this row as its tombstone."""

    sha256 = models.CharField(max_length=64, primary_key=True)
    size = models.BigIntegerField()
    media_type = models.CharField(max_length=100)
    created_at = models.DateTimeField(default=timezone.now)
    deleted_at = models.DateTimeField(null=True, blank=True)
    deleted_why = models.CharField(max_length=200, blank=True)

    def __str__(self) -> str:
        return f"{self.sha256[:12]} {self.media_type}"


class StudioSnapshot(models.Model):
    """What an assessment needs from the studio besides the visit, under the digest of its content."""

    digest = models.CharField(max_length=64, primary_key=True)
    body = models.JSONField()
    stock = models.ForeignKey(Blob, on_delete=models.PROTECT, null=True, related_name="+")
    in_use_since = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.digest[:12]


class VisitState(models.TextChoices):
    """Where a visit stands."""

    PLANNED = "planned"
    OPEN = "open"
    CLOSED = "closed"


class Visit(models.Model):
    """One player on one day. What was measured stands in the log; the row only helps to find it."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="visits")
    day = models.DateField(db_index=True)
    state = models.CharField(max_length=10, choices=VisitState, default=VisitState.OPEN)
    snapshot = models.ForeignKey(StudioSnapshot, on_delete=models.PROTECT, null=True, related_name="+")
    last_seq = models.IntegerField(default=0)
    created_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering: ClassVar[list[str]] = ["-day", "-created_at"]

    def __str__(self) -> str:
        return f"{self.day} {self.player_id}"


class Reading(models.Model):
    """One line of the log: appended once, never changed. `seq` counts a visit's lines in server order."""

    id = models.UUIDField(primary_key=True, editable=False)
    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="readings")
    seq = models.IntegerField()
    check_name = models.CharField(max_length=20)
    kind = models.CharField(max_length=40)
    version = models.IntegerField()
    payload = models.JSONField()
    at = models.DateTimeField()
    saved_at = models.DateTimeField(default=timezone.now)
    by = models.CharField(max_length=120, blank=True)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="readings")
    device = models.CharField(max_length=80, blank=True)
    supersedes = models.ForeignKey("self", on_delete=models.RESTRICT, null=True, related_name="superseded_by")
    void_reason = models.CharField(max_length=400, null=True)
    moved_from = models.UUIDField(null=True, db_index=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["visit", "seq"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["visit", "seq"], name="reading_seq_once_a_visit"),
            models.CheckConstraint(condition=models.Q(seq__gt=0), name="reading_seq_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.seq}"

    def entry(self) -> Entry:
        """The reading in its plain form."""
        return Entry(
            id=self.id,
            seq=self.seq,
            kind=self.kind,
            version=self.version,
            payload=self.payload,
            at=self.at,
            by=self.by,
            device=self.device,
            supersedes=self.supersedes_id,
            void_reason=self.void_reason,
            moved_from=self.moved_from,
            blobs={link.name: link.blob_id for link in self.blob_links.all()},
        )

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write a new reading.

        Raises
        ------
        OnlyAppendedError
            When the reading is there already.
        """
        if not self._state.adding:
            raise OnlyAppendedError(self._meta.db_table)
        kwargs["force_insert"] = True
        super().save(*args, **kwargs)


class ReadingBlob(models.Model):
    """That a reading names a file; `name` is the file's path in an exported bundle."""

    reading = models.ForeignKey(Reading, on_delete=models.CASCADE, related_name="blob_links")
    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, related_name="reading_links")
    name = models.CharField(max_length=120)

    class Meta:
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["reading", "name"], name="blob_name_once_a_reading")
        ]

    def __str__(self) -> str:
        return self.name
