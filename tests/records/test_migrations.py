"""Migrations three ways: from nothing, from each release's saved database, and against the models."""

from collections.abc import Iterator
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import IntegrityError, connection
from django.db.migrations.executor import MigrationExecutor
from pytest_django import DjangoDbBlocker

from evenground.records.assemble import assemble
from evenground.records.guards import GUARDS
from evenground.records.log import entries_of, history
from evenground.records.models import (
    AuditEntry,
    Blob,
    CardVersion,
    Consent,
    Person,
    Player,
    Reading,
    StudioSnapshot,
    Visit,
)
from tests.records.conftest import database, sqlite
from tests.records.saved import VISIT, load

SAVED = sorted((Path(__file__).parent / "samples" / "databases").glob("*.sql"))


def triggers() -> set[str]:
    catalogue = {
        "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
        "postgresql": "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal",
    }
    with connection.cursor() as cursor:
        cursor.execute(catalogue[connection.vendor])
        return {row[0] for row in cursor.fetchall()}


def test_an_empty_database_reaches_the_newest_state_with_its_guards(records: str) -> None:
    executor = MigrationExecutor(connection)
    assert executor.migration_plan(executor.loader.graph.leaf_nodes()) == []
    assert {guard.name for guard in GUARDS} <= triggers()
    for model in (Player, Visit, Reading, Blob, CardVersion, StudioSnapshot):
        assert model.objects.count() == 0


def test_the_migrations_make_what_the_models_say(sqlite_records: Path) -> None:
    said = StringIO()
    call_command("makemigrations", "records", check=True, dry_run=True, stdout=said)  # exits when they differ
    assert "No changes detected" in said.getvalue()


def test_migrating_again_changes_nothing_and_keeps_the_guards(records: str) -> None:
    call_command("migrate", verbosity=0)
    assert {guard.name for guard in GUARDS} <= triggers()


@pytest.fixture(params=SAVED, ids=lambda p: p.stem)
def saved(
    request: pytest.FixtureRequest, studio_folder: Path, django_db_blocker: DjangoDbBlocker
) -> Iterator[str]:
    """The saved database of a release, brought to the newest state."""
    load(request.param.read_text("utf-8"), studio_folder / "records.sqlite3")
    with django_db_blocker.unblock(), database(sqlite(studio_folder)):
        call_command("migrate", verbosity=0)
        yield request.param.stem


def test_there_is_a_saved_database_of_this_release() -> None:
    from evenground import __version__

    assert f"records-{__version__}" in {path.stem for path in SAVED}


def test_a_saved_database_keeps_every_row(saved: str) -> None:
    counted = {
        model.__name__: model._default_manager.count()
        for model in (Person, Player, Consent, Visit, Reading, Blob, CardVersion, StudioSnapshot)
    }
    assert counted == {
        "Person": 1,
        "Player": 2,
        "Consent": 1,
        "Visit": 2,
        "Reading": 13,
        "Blob": 2,
        "CardVersion": 1,
        "StudioSnapshot": 1,
    }
    assert AuditEntry.objects.filter(action__in=["corrected", "voided", "moved", "signed"]).count() == 4


def test_a_saved_visit_reads_as_it_did(saved: str) -> None:
    told = assemble(entries_of(VISIT))
    assert (told.player.name, told.teacher, told.day.isoformat()) == (
        "Wren Halloway",
        "R. Tall",
        "2026-05-09",
    )
    assert told.hip_line is not None
    assert [(t.trial, t.width_mm, t.hip_line_deg) for t in told.hip_line.trials] == [
        (1, 381.5, 3.25),
        (2, 400.0, -1.0),
    ]
    assert told.body is None  # the mass was taken back
    (mass,) = history(VISIT, "body mass", "mass_kg")
    assert (mass.value, mass.why) == (17.0, "scales tilted")


def test_a_saved_signed_card_stays_signed(saved: str) -> None:
    card = CardVersion.objects.get()
    assert (card.signer_name, card.lines) == ("O. Underhill", [{"key": "irons", "now": "375 to 390 mm"}])
    with pytest.raises(IntegrityError, match="never changed"):
        CardVersion.objects.update(lines=[])


def test_sqlite_syncs_every_commit_and_guards_its_references(sqlite_records: Path) -> None:
    wanted = {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "secure_delete": 1,
        "busy_timeout": 20000,
    }
    with connection.cursor() as cursor:
        found = {}
        for name in wanted:
            cursor.execute(f"PRAGMA {name}")
            found[name] = cursor.fetchone()[0]
    assert found == wanted
