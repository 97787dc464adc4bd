"""An invented studio with one visit, signed in to, on a SQLite file of its own."""

import json
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.core.management import call_command
from django.test import Client
from pytest_django import DjangoDbBlocker, Settings

from evenground.records.log import entries_of
from evenground.records.merge import Merged, merged
from evenground.records.models import Person, Player, Role, Visit
from evenground.records.visits import start_visit
from evenground.studio.pages.scene import Scene, scene_of, visit_row
from evenground.studio.working import WORKBENCH
from tests.records.conftest import database, sqlite

DAY = date(2026, 5, 9)


@pytest.fixture(scope="session")
def migrated(tmp_path_factory: pytest.TempPathFactory, django_db_blocker: DjangoDbBlocker) -> Path:
    """A SQLite file that the migrations made, copied for each test."""
    folder = tmp_path_factory.mktemp("pages")
    with django_db_blocker.unblock(), database(sqlite(folder)):
        call_command("migrate", verbosity=0)
    return folder / "records.sqlite3"


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """A browser at a visit's pages, in test form: what it sends and what it gets."""

    client: Client
    visit: Visit

    @property
    def at(self) -> str:
        return f"/visits/{self.visit.pk}/"

    def page(self, slug: str) -> str:
        WORKBENCH.standing(self.visit.pk, self.seq)
        WORKBENCH.settle()
        answer = self.client.get(f"{self.at}{slug}/")
        assert answer.status_code == 200, answer.content
        return str(answer.content.decode())

    def send(self, to: str, **body: Any) -> Any:
        body.setdefault("id", str(uuid4()))
        return self.client.post(
            f"{self.at}send/{to}/",
            json.dumps(body),
            content_type="application/json",
            headers={"accept": "application/json"},
        )

    def type(self, kind: str, field: str, text: str, **more: Any) -> Any:
        """Type into one field; `more` holds its keys, and `seen`, `word` or `id`."""
        own = {name: more.pop(name) for name in ("seen", "word", "id", "label") if name in more}
        return self.send("field", kind=kind, field=field, text=text, keys=more, **own)

    def trial(self, kind: str, words: dict[str, str] | None = None, **values: str) -> Any:
        return self.send("trial", kind=kind, values=values, words=words or {})

    @property
    def seq(self) -> int:
        return Visit.objects.values_list("last_seq", flat=True).get(pk=self.visit.pk)

    @property
    def log(self) -> Merged:
        return merged(entries_of(self.visit.pk))

    def shown(self, kind: str, field: str, **keys: Any) -> Any:
        slot = self.log.slot(kind, keys)
        return None if slot is None else slot.values.get(field)

    @property
    def scene(self) -> Scene:
        WORKBENCH.standing(self.visit.pk, self.seq)
        WORKBENCH.settle()
        return scene_of(visit_row(self.visit.pk))


@pytest.fixture
def studio(
    migrated: Path, tmp_path: Path, settings: Settings, django_db_blocker: DjangoDbBlocker
) -> Iterator[Path]:
    """A data folder with empty records."""
    (tmp_path / "blobs").mkdir()
    settings.BLOB_FOLDER = tmp_path / "blobs"
    shutil.copy(migrated, tmp_path / "records.sqlite3")
    with django_db_blocker.unblock(), database(sqlite(tmp_path)):
        yield tmp_path
        WORKBENCH.close()


def visit_for(name: str = "Wren Halloway", handed: str = "right") -> Visit:
    player = Player.objects.create(name=name, handed=handed, birth_year=1988)
    return start_visit(player, day=DAY, teacher="R. Tall")


@pytest.fixture
def desk(studio: Path) -> Desk:
    """A teacher at the pages of a right-handed player's first visit."""
    teacher = Person.objects.create_person("tall", None, name="R. Tall", role=Role.TEACHER)
    client = Client()
    client.force_login(teacher)
    return Desk(client=client, visit=visit_for())
