"""What the web app keeps besides the records: sessions, one-time links, pairing codes, paired devices."""

import hashlib
import uuid
from typing import ClassVar

from django.contrib.sessions.base_session import AbstractBaseSession, BaseSessionManager
from django.db import models
from django.utils import timezone

from evenground.records.models import Person, Role, Visit

__all__ = [
    "DeskSession",
    "DeskSessionManager",
    "DeviceToken",
    "LinkPurpose",
    "LivePart",
    "LiveRecording",
    "OneTimeLink",
    "PairedDevice",
    "PairingCode",
    "School",
    "SchoolEvent",
    "SchoolMember",
]


class PairedDevice(models.Model):
    """A tablet or phone let in from the studio's network by a pairing code, until it is revoked."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    token_hash = models.CharField(max_length=64, unique=True)
    name = models.CharField(max_length=80)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="devices")
    paired_at = models.DateTimeField(default=timezone.now)
    address = models.CharField(max_length=45, blank=True)
    revoked_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["-paired_at"]

    def __str__(self) -> str:
        return self.name


class DeskSessionManager(BaseSessionManager["DeskSession"]):
    """Finds sessions; `evenground.studio.sessions` fills in whose they are."""


class DeskSession(AbstractBaseSession):
    """A signed-in browser: whose, since when, last seen when and where. Deleting the row signs it out."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, null=True, related_name="sessions")
    paired = models.ForeignKey(PairedDevice, on_delete=models.CASCADE, null=True, related_name="sessions")
    opened_at = models.DateTimeField(null=True)
    seen_at = models.DateTimeField(null=True)
    address = models.CharField(max_length=45, blank=True)
    browser = models.CharField(max_length=80, blank=True)
    locked = models.BooleanField(default=False)

    objects: ClassVar[DeskSessionManager] = DeskSessionManager()

    @property
    def mark(self) -> str:
        """What names the session on a page, without giving its key away."""
        return hashlib.sha256(self.session_key.encode()).hexdigest()[:16]

    class Meta(AbstractBaseSession.Meta):
        abstract = False
        ordering: ClassVar[list[str]] = ["-seen_at"]


class LinkPurpose(models.TextChoices):
    """What a one-time link lets somebody do."""

    FIRST_OWNER = "first owner"
    SIGN_IN = "sign in"
    SET_PASSWORD = "set password"  # noqa: S105 - a purpose, not a password


class OneTimeLink(models.Model):
    """A link that works once; only the hash of its secret is kept."""

    token_hash = models.CharField(max_length=64, primary_key=True)
    purpose = models.CharField(max_length=20, choices=LinkPurpose)
    person = models.ForeignKey(Person, on_delete=models.CASCADE, null=True, related_name="links")
    made_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"{self.purpose}, until {self.expires_at:%Y-%m-%d %H:%M}"


class PairingCode(models.Model):
    """A code that lets one device in within two minutes; only its hash is kept."""

    code_hash = models.CharField(max_length=64, primary_key=True)
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="pairing_codes")
    role = models.CharField(max_length=20, choices=Role, default=Role.ASSISTANT)
    made_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"pairing code of {self.made_at:%Y-%m-%d %H:%M}"


class DeviceToken(models.Model):
    """What a studio's own script shows when it sends readings of one visit; only the hash is kept."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    token_hash = models.CharField(max_length=64, unique=True)
    name = models.CharField(max_length=80)
    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="device_tokens")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="device_tokens")
    made_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True)
    used_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["-made_at"]

    def __str__(self) -> str:
        return f"{self.name}, until {self.expires_at:%Y-%m-%d %H:%M}"


class LiveRecording(models.Model):
    """A recording that comes in piece by piece; once whole it becomes a file and a reading like any other."""

    id = models.UUIDField(primary_key=True, editable=False)
    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="live_recordings")
    head = models.JSONField()
    begun_at = models.DateTimeField(default=timezone.now)
    done_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return str(self.id)


class LivePart(models.Model):
    """Some frames of a live recording, from frame `first` on, as they came; never changed."""

    recording = models.ForeignKey(LiveRecording, on_delete=models.CASCADE, related_name="parts")
    first = models.IntegerField()
    count = models.IntegerField()
    digest = models.CharField(max_length=64)
    time_s = models.JSONField()
    cells = models.BinaryField()

    class Meta:
        ordering: ClassVar[list[str]] = ["first"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["recording", "first"], name="live_part_once_a_frame")
        ]

    def __str__(self) -> str:
        return f"{self.recording_id} from frame {self.first}"


class School(models.Model):
    """Several players on one day, measured at stations that they walk between."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    name = models.CharField(max_length=80)
    day = models.DateField(db_index=True)
    made_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering: ClassVar[list[str]] = ["-day", "-made_at"]

    def __str__(self) -> str:
        return self.name


class SchoolMember(models.Model):
    """One player of a school: their visit, the code on their badge, and when they have to leave."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    school = models.ForeignKey(School, on_delete=models.CASCADE, related_name="members")
    visit = models.OneToOneField(Visit, on_delete=models.CASCADE, related_name="school_member")
    code = models.CharField(max_length=8)
    leaves_at = models.DateTimeField(null=True)

    class Meta:
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["school", "code"], name="badge_once_a_school")
        ]

    def __str__(self) -> str:
        return self.code


class SchoolEvent(models.Model):
    """That a player came, went to a station, finished there, or left; only appended."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    member = models.ForeignKey(SchoolMember, on_delete=models.CASCADE, related_name="events")
    what = models.CharField(max_length=10, choices=[(w, w) for w in ("came", "at", "done", "left")])
    station = models.CharField(max_length=40, blank=True)
    at = models.DateTimeField(default=timezone.now)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering: ClassVar[list[str]] = ["at", "id"]

    def __str__(self) -> str:
        return f"{self.what} {self.station}".strip()
