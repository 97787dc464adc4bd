"""An empty studio on a SQLite file of its own, and people of every role at its door."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from django.contrib.auth.hashers import Argon2PasswordHasher
from django.core.management import call_command
from django.test import Client
from pytest_django import DjangoDbBlocker, Settings

from evenground.records.models import Person, Role
from evenground.studio import pairing, signin
from tests.records.conftest import database, sqlite

As = Callable[[Role | None], Client]
PASSWORD = "a quiet green at dawn"  # noqa: S105 - an invented person's


@pytest.fixture(scope="session")
def empty_records(tmp_path_factory: pytest.TempPathFactory, django_db_blocker: DjangoDbBlocker) -> Path:
    """A SQLite file that the migrations made, copied for each test."""
    folder = tmp_path_factory.mktemp("studio")
    with django_db_blocker.unblock(), database(sqlite(folder)):
        call_command("migrate", verbosity=0)
    return folder / "records.sqlite3"


@pytest.fixture
def studio(
    empty_records: Path,
    tmp_path: Path,
    settings: Settings,
    django_db_blocker: DjangoDbBlocker,
    monkeypatch: pytest.MonkeyPatch,
) -> Iterator[Path]:
    """A data folder with empty records, nobody counted as trying to sign in, and passwords cheap to check."""
    monkeypatch.setattr(Argon2PasswordHasher, "memory_cost", 1024)
    monkeypatch.setattr(Argon2PasswordHasher, "time_cost", 1)
    (tmp_path / "blobs").mkdir()
    settings.BLOB_FOLDER = tmp_path / "blobs"
    shutil.copy(empty_records, tmp_path / "records.sqlite3")
    for throttle in (signin.BY_ADDRESS, signin.BY_NAME, signin.ALTOGETHER, pairing.TRIES, pairing.ALL_TRIES):
        throttle.forget()
    with django_db_blocker.unblock(), database(sqlite(tmp_path)):
        yield tmp_path


@pytest.fixture
def people(studio: Path) -> dict[Role, Person]:
    """One person of each role, without a password."""
    return {
        role: Person.objects.create_person(role.value, None, name=f"The {role.value}", role=role)
        for role in Role
    }


@pytest.fixture
def as_role(people: dict[Role, Person]) -> As:
    """A browser signed in as somebody of a role, or not signed in."""

    def signed_in(role: Role | None) -> Client:
        client = Client()
        if role is not None:
            client.force_login(people[role], backend="django.contrib.auth.backends.ModelBackend")
        return client

    return signed_in


@pytest.fixture
def owner(as_role: As) -> Client:
    """The owner's browser."""
    return as_role(Role.OWNER)
