"""Every records test runs on a SQLite file and, marked `postgresql`, on a PostgreSQL server."""

import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection, connections
from pytest_django import DjangoDbBlocker, Settings

from evenground.studio.home import ConfigFile, Home
from tests.records.postgres import server

Use = Callable[[Path], Any]


@contextmanager
def database(settings: dict[str, object]) -> Iterator[None]:
    """Let Django's one connection point at another database for a while."""
    before = connections.settings["default"]
    _switch(connections.configure_settings({"default": settings})["default"])
    try:
        yield
    finally:
        _switch(before)


def _switch(settings: Any) -> None:
    connections["default"].close()
    del connections["default"]
    connections.settings["default"] = settings


def sqlite(folder: Path) -> dict[str, object]:
    """The settings that a studio has whose data folder this is."""
    return Home(folder=folder, config=ConfigFile()).database()


def postgresql(socket: str, name: str) -> dict[str, object]:
    """The settings of a studio that names a database on the test server."""
    address = f"postgresql:///{name}?host={socket}&user=studio"
    return Home(folder=Path(), config=ConfigFile(database=address)).database()


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory, django_db_blocker: DjangoDbBlocker) -> Path:
    """A SQLite file that the migrations made, copied for each test."""
    folder = tmp_path_factory.mktemp("template")
    with django_db_blocker.unblock(), database(sqlite(folder)):
        call_command("migrate", verbosity=0)
    return folder / "records.sqlite3"


@pytest.fixture(scope="session")
def postgresql_socket(django_db_blocker: DjangoDbBlocker) -> Iterator[str]:
    """A running server with a database `records` that the migrations made."""
    with server() as socket, django_db_blocker.unblock():
        with database(postgresql(socket, "postgres")), connection.cursor() as cursor:
            cursor.execute("CREATE DATABASE records")
        with database(postgresql(socket, "records")):
            call_command("migrate", verbosity=0)
        yield socket


@contextmanager
def _on_sqlite(request: pytest.FixtureRequest, folder: Path) -> Iterator[None]:
    shutil.copy(request.getfixturevalue("sqlite_template"), folder / "records.sqlite3")
    with database(sqlite(folder)):
        yield


@contextmanager
def _on_postgresql(request: pytest.FixtureRequest) -> Iterator[None]:
    socket = request.getfixturevalue("postgresql_socket")
    with database(postgresql(socket, "records")):
        try:
            yield
        finally:
            _empty()


def _empty() -> None:
    """Take every row out of every table, all at once; making a database anew takes ten times as long."""
    tables = set(connection.introspection.table_names()) - {"django_migrations", "django_content_type"}
    with connection.cursor() as cursor:
        cursor.execute(f"TRUNCATE {', '.join(sorted(tables))} RESTART IDENTITY CASCADE")


@pytest.fixture
def studio_folder(tmp_path: Path, settings: Settings) -> Path:
    """An empty data folder, its blobs inside."""
    folder = tmp_path / "home"
    (folder / "blobs").mkdir(parents=True)
    settings.BLOB_FOLDER = folder / "blobs"
    return folder


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def records(
    request: pytest.FixtureRequest, studio_folder: Path, django_db_blocker: DjangoDbBlocker
) -> Iterator[str]:
    """Empty migrated records, on either database; gives which."""
    with django_db_blocker.unblock():
        where = _on_sqlite(request, studio_folder) if request.param == "sqlite" else _on_postgresql(request)
        with where:
            yield request.param


@pytest.fixture
def sqlite_records(
    request: pytest.FixtureRequest, studio_folder: Path, django_db_blocker: DjangoDbBlocker
) -> Iterator[Path]:
    """Empty migrated records in a SQLite file, for what only a file can suffer; gives the data folder."""
    with django_db_blocker.unblock(), _on_sqlite(request, studio_folder):
        yield studio_folder
