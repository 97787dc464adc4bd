"""A studio's records opened without serving them: for the commands that look after them."""

import os
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from evenground.studio.home import Home, find_home

if TYPE_CHECKING:
    from evenground.records.backup import Backup

__all__ = ["Restored", "back_up_studio", "home_in", "open_desk", "open_records", "restore_studio", "set_up"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """What a restore did: when the backup was made, where the records from before are, who was erased."""

    made_at: str
    aside: Path | None
    files: int
    missing: tuple[str, ...]
    erased_again: int


def home_in(folder: Path | None) -> Home:
    """The data folder named, or this person's own."""
    if folder is not None:
        os.environ["EVENGROUND_HOME"] = str(folder)
    return find_home(os.environ)


def set_up() -> None:
    """Make the records' tables known; nothing is opened or written."""
    import django

    os.environ["DJANGO_SETTINGS_MODULE"] = "evenground.studio.settings"
    django.setup()


def open_records() -> int:
    """Set Django up on the data folder and bring its records up to date.

    Gives how many players were erased anew, since a restore had brought them back.
    """
    set_up()
    from django.core.management import call_command

    from evenground.records.blobs import sweep
    from evenground.records.privacy import erase_again

    call_command("migrate", verbosity=0)
    call_command("clearsessions", verbosity=0)
    sweep()
    return erase_again()


def open_desk(folder: Path | None) -> Home:
    """The records of a data folder, ready for a command."""
    home = home_in(folder)
    home.prepare()
    open_records()
    return home


def back_up_studio(data: Path | None, folder: Path, *, now: datetime) -> "Backup":
    """Write a backup and note it, so that the Studio page can tell of it. Errors as in `back_up`."""
    home = open_desk(data)
    from evenground.records.audit import note
    from evenground.records.backup import BackupNotSqliteError, back_up

    if home.config.database is not None:
        raise BackupNotSqliteError("PostgreSQL")
    done = back_up(home.folder, folder, now=now)
    note(None, "backed up", what="records", detail={"sha256": done.sha256, "size": done.size})
    return done


def restore_studio(data: Path | None, file: Path, *, now: datetime) -> Restored:
    """Put a backup in the place of a studio's records.

    What is worked out again is thrown away; everybody signs in anew and devices are paired anew, so that no
    session that was ended since the backup comes back.

    Raises
    ------
    StudioRunningError
        When the app serves these records.
    BackupNotSqliteError
        When the records lie in PostgreSQL.
    RecordsError
        As `put_back` has them.
    """
    home = home_in(data)
    home.prepare()
    from evenground.records.backup import BackupNotSqliteError, check_backup, put_back

    if home.config.database is not None:
        raise BackupNotSqliteError("PostgreSQL")
    with home.held(alone=True):
        backup = check_backup(file)
        known = _known_migrations()
        _close_connections()
        aside = put_back(backup, home.folder, known, now=now)
        again = open_records()
        _let_nobody_in(now)
        from evenground.records.audit import note

        note(None, "restored", what="records", detail={"sha256": backup.sha256, "made_at": backup.made_at})
    return Restored(
        made_at=backup.made_at,
        aside=aside,
        files=backup.files,
        missing=backup.missing,
        erased_again=again,
    )


def _known_migrations() -> set[str]:
    set_up()
    from django.db.migrations.loader import MigrationLoader

    return {f"{app}.{name}" for app, name in MigrationLoader(None).disk_migrations}


def _close_connections() -> None:
    """Let go of the database before another one takes its place."""
    from django.db import connections

    connections.close_all()


def _let_nobody_in(now: datetime) -> None:
    """End every session, link, code, token and pairing that came back, and drop the findings cache."""
    from django.db import transaction

    from evenground.records.models import FindingsRow
    from evenground.studio.models import DeskSession, DeviceToken, OneTimeLink, PairedDevice, PairingCode

    with transaction.atomic():
        for table in (FindingsRow, DeskSession, OneTimeLink, PairingCode):
            table.objects.all().delete()
        for door in (PairedDevice, DeviceToken):
            door.objects.filter(revoked_at__isnull=True).update(revoked_at=now)
