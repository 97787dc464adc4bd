"""People who work in the studio, and the record of who saw and changed what."""

import uuid
from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.utils import timezone

from evenground.errors import RecordsError

__all__ = ["AuditEntry", "OnlyAppendedError", "Person", "Role"]


class OnlyAppendedError(RecordsError):
    """Something tried to change or delete a row of a table that only grows."""

    do = "Append a new entry instead; the history has to stay as it was."

    def __init__(self, table: str) -> None:
        super().__init__(table)
        self.where = table
        self.what = "An entry that was written once cannot be changed."


class Role(models.TextChoices):
    """What a person may do in the studio."""

    OWNER = "owner"
    TEACHER = "teacher"
    ASSISTANT = "assistant"


class PersonManager(BaseUserManager["Person"]):
    """Makes people; a password is hashed before it reaches the table."""

    def create_person(
        self, sign_in: str, password: str | None, *, name: str = "", role: Role = Role.ASSISTANT
    ) -> "Person":
        """A new person; without a password they cannot sign in until they have set one."""
        person = self.model(sign_in=sign_in.strip().casefold(), name=name or sign_in, role=role)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def get_by_natural_key(self, username: str | None) -> "Person":
        """Find a person by the name they sign in with, however it is capitalised."""
        return self.get(sign_in=(username or "").strip().casefold())


class Person(AbstractBaseUser):
    """Someone who works here; switched off when they leave, never deleted, so that `by` keeps its meaning."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    sign_in = models.CharField(max_length=150, unique=True)
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=20, choices=Role, default=Role.ASSISTANT)
    is_active = models.BooleanField(default=True)
    created_at = models.DateTimeField(default=timezone.now)

    USERNAME_FIELD = "sign_in"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]

    objects = PersonManager()

    def __str__(self) -> str:
        return self.name


class AuditEntry(models.Model):
    """Who saw or changed what, and when. Holds ids, never names or measurements of a player."""

    at = models.DateTimeField(default=timezone.now, db_index=True)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="audit")
    action = models.CharField(max_length=60)
    what = models.CharField(max_length=60, blank=True)
    object_id = models.CharField(max_length=80, blank=True)
    player_id = models.UUIDField(null=True, db_index=True)
    detail = models.JSONField(default=dict)

    class Meta:
        ordering: ClassVar[list[str]] = ["id"]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.action} {self.what} {self.object_id}".strip()

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write a new entry.

        Raises
        ------
        OnlyAppendedError
            When the entry is there already.
        """
        if not self._state.adding:
            raise OnlyAppendedError(self._meta.db_table)
        super().save(*args, **kwargs)

    def delete(self, *_args: Any, **_kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refuse: the audit only grows."""
        raise OnlyAppendedError(self._meta.db_table)
