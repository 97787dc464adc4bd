"""A studio served by its own process, as it is at a bench, on a data folder that goes away."""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager
from datetime import date
from pathlib import Path
from typing import TypeVar
from uuid import UUID

from django.conf import settings
from django.core.management import call_command
from django.test import Client, override_settings

from evenground.records.log import entries_of
from evenground.records.merge import Merged, merged
from evenground.records.models import Person, Player, Role
from evenground.records.visits import start_visit
from tests.records.conftest import database, sqlite

__all__ = ["Kept", "Live"]

T = TypeVar("T")
START_S = 30.0


class Kept:
    """A data folder; what tests ask of its records runs in a thread, playwright keeps the main one."""

    def __init__(self, folder: Path, unblock: Callable[[], AbstractContextManager[None]]) -> None:
        self.folder = folder
        self._unblock = unblock
        self._desk = ThreadPoolExecutor(max_workers=1)

    def records(self, ask: Callable[[], T]) -> T:
        """Run something on the studio's records."""

        def asked() -> T:
            files = override_settings(BLOB_FOLDER=self.folder / "blobs")
            with self._unblock(), database(sqlite(self.folder)), files:
                return ask()

        return self._desk.submit(asked).result()

    def log(self, visit: UUID) -> Merged:
        """The readings of a visit as they show now."""
        return self.records(lambda: merged(entries_of(visit)))

    def close(self) -> None:
        """Ask nothing more."""
        self._desk.shutdown()


class Live(Kept):
    """The served studio of one teacher, with players and visits as tests need them."""

    def __init__(self, folder: Path, unblock: Callable[[], AbstractContextManager[None]]) -> None:
        super().__init__(folder, unblock)
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        (folder / "blobs").mkdir(parents=True)
        (folder / "secret.key").write_text(settings.SECRET_KEY)  # sessions are made here and read there
        self.records(lambda: call_command("migrate", verbosity=0))
        self.person = self.records(
            lambda: Person.objects.create_person("tall", None, name="R. Tall", role=Role.TEACHER)
        )
        self._server: subprocess.Popen[bytes] | None = None
        self.start()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def visit(self, name: str = "Wren Halloway", handed: str = "right") -> UUID:
        """Start a visit of a new player."""

        def started() -> UUID:
            player = Player.objects.create(name=name, handed=handed, birth_year=1988)
            return start_visit(player, day=date.today(), teacher="R. Tall").pk

        return self.records(started)

    def cookie(self, person: Person | None = None) -> str:
        """A session of the teacher's, or of somebody else's."""

        def signed_in() -> str:
            client = Client()
            client.force_login(person or self.person, backend="django.contrib.auth.backends.ModelBackend")
            return client.cookies[settings.SESSION_COOKIE_NAME].value

        return self.records(signed_in)

    def start(self) -> None:
        """Serve, and wait until it answers."""
        environ = {**os.environ, "EVENGROUND_HOME": str(self.folder), "OMP_NUM_THREADS": "1"}
        environ["DJANGO_SETTINGS_MODULE"] = "evenground.studio.settings"
        command = [sys.executable, "-m", "uvicorn", "evenground.studio.asgi:application"]
        options = ["--port", str(self.port), "--log-level", "warning", "--lifespan", "off"]
        self._server = subprocess.Popen([*command, *options], env=environ)
        end = time.monotonic() + START_S
        while time.monotonic() < end:
            try:
                with urllib.request.urlopen(f"{self.address}/sign-in", timeout=2):  # noqa: S310 - our own
                    return
            except (urllib.error.URLError, OSError):
                time.sleep(0.1)
        msg = f"the studio did not answer within {START_S:.0f} s"
        raise TimeoutError(msg)

    def kill(self) -> None:
        """End it as a pulled plug would."""
        assert self._server is not None
        self._server.send_signal(signal.SIGKILL)
        self._server.wait()
        self._server = None

    def close(self) -> None:
        if self._server is not None:
            self.kill()
        super().close()
