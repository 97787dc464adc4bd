"""Save in a process that is killed again and again; run by `test_crash.py` as a program of its own.

`python -m tests.records.crash COUNT`, with EVENGROUND_HOME set, prints the ids of every save that was
answered. Half of the savers are killed from outside at a random moment, the others kill themselves at a place
inside a save.
"""

import itertools
import json
import os
import random
import select
import signal
import sys
from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID, uuid4

import django
from django.core.management import call_command
from django.db import connection


def die(*_: Any, **__: Any) -> Any:
    """Go at once, without any handler or exit code having its say."""
    os.kill(os.getpid(), signal.SIGKILL)


def before_the_commit_of_a_reading() -> None:
    """The line of the log is written, its transaction open."""
    from evenground.records import log

    log._lacks = die


def between_the_line_and_its_files() -> None:
    """The line of the log is written, the names of its files are not."""
    from evenground.records.models import ReadingBlob

    type(ReadingBlob.objects).bulk_create = die  # type: ignore[method-assign] # a dying process is past typing


def before_a_file_has_its_name() -> None:
    """The bytes lie in a temporary file."""
    from evenground.records import blobs

    blobs.path_of = die


def between_a_file_and_its_row() -> None:
    """The file lies under its digest, the row that makes it count is not there."""
    from evenground.records import blobs

    blobs.sync_folder = die  # type: ignore[attr-defined]


def before_the_commit_of_a_file() -> None:
    """The row of the file is written, its transaction open."""
    from django.db.models.query import QuerySet

    made = QuerySet.get_or_create

    def and_die(*args: Any, **kwargs: Any) -> Any:
        made(*args, **kwargs)
        die()

    QuerySet.get_or_create = and_die  # type: ignore[method-assign] # the same


PLACES: tuple[Callable[[], None], ...] = (
    before_the_commit_of_a_reading,
    between_the_line_and_its_files,
    before_a_file_has_its_name,
    between_a_file_and_its_row,
    before_the_commit_of_a_file,
)


def save_for_ever(visit_id: UUID, answers: int, place: Callable[[], None] | None) -> None:
    """Save a file and a reading that names it, over and over; say each id once its save was answered."""
    from evenground.records.blobs import put_blob
    from evenground.records.entries import Entry
    from evenground.records.log import append

    for number in itertools.count():
        if place is not None and number == 2:
            place()
        blob = put_blob(os.urandom(3000), "application/octet-stream")
        name = f"mat/{blob.sha256[:16]}.parquet"
        reading = Entry(
            id=uuid4(),
            kind="placement",
            version=1,
            payload={"recording": name, "footwear": "barefoot", "stance": "fitted"},
            at=datetime.now(UTC),
            blobs={name: blob.sha256},
        )
        append(visit_id, reading)
        os.write(answers, reading.id.bytes)


def one_life(visit_id: UUID, place: Callable[[], None] | None, rng: random.Random) -> list[str]:
    """Fork a saver, have it killed, and give the ids of what it said was saved."""
    heard, said = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(heard)
        save_for_ever(visit_id, said, place)
    os.close(said)
    ids = os.read(heard, 16)
    if place is None:
        select.select([], [], [], rng.uniform(0.0, 0.04))
        os.kill(child, signal.SIGKILL)
    while piece := os.read(heard, 4096):
        ids += piece
    os.close(heard)
    _, status = os.waitpid(child, 0)
    if not os.WIFSIGNALED(status):
        raise SystemExit(f"a saver ended by itself with status {status}")
    return [str(UUID(bytes=ids[i : i + 16])) for i in range(0, len(ids) - len(ids) % 16, 16)]


def main(count: int) -> None:
    """Make a studio with one visit, and let `count` savers die on it."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "evenground.studio.settings"
    django.setup()
    from evenground.records.models import Player
    from evenground.records.visits import start_visit
    from evenground.studio.settings import HOME

    HOME.prepare()
    call_command("migrate", verbosity=0)
    whose = Player.objects.create(name="Wren Halloway", handed="left")
    visit = start_visit(whose, day=date(2026, 5, 9))
    connection.close()
    rng = random.Random(20260509)  # noqa: S311 - moments of dying, no secret
    answered: list[str] = []
    for life in range(count):
        place = PLACES[life // 2 % len(PLACES)] if life % 2 else None
        answered += one_life(visit.pk, place, rng)
    print(json.dumps({"visit": str(visit.pk), "answered": answered}))


if __name__ == "__main__":
    main(int(sys.argv[1]))
