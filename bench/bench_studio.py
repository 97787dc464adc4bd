"""The studio app at 20,000 visits: memory at rest, time of a page, ten hands on one visit, weight of a page.

The server runs in a process of its own, as at a bench; the clients are plain sockets here. The limit of
each promise stands in the issue it came from; beside it runs the address that asks nothing of the records.
"""

import contextlib
import gzip
import json
import os
import re
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from http.client import HTTPConnection
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4, uuid5

import numpy as np

__all__ = ["run"]

VISITS = 20_000
HANDS = 10
SECONDS = 120.0
PAGES = 15
TALL_MM = "1780"
SPACE = UUID(int=20_000)


@dataclass(slots=True)
class Served:
    """A running studio and a way to ask it."""

    port: int
    process: int
    visit: UUID
    player: UUID
    cookie: str = ""
    times_ms: list[float] = field(default_factory=list)

    def ask(self, path: str, body: dict[str, Any] | None = None, token: str = "") -> tuple[int, bytes, float]:
        """One request: status, body as sent over the line, and how long it took in ms."""
        link = HTTPConnection("127.0.0.1", self.port, timeout=60)
        headers = {"Cookie": self.cookie, "Accept-Encoding": "gzip"}
        started = time.perf_counter()
        if body is None:
            link.request("GET", path, headers=headers)
        else:
            headers |= {"Content-Type": "application/json", "Accept": "application/json"}
            headers["X-CSRFToken"] = token
            link.request("POST", path, json.dumps(body), headers)
        answer = link.getresponse()
        raw = answer.read()
        took = 1e3 * (time.perf_counter() - started)
        link.close()
        return answer.status, raw, took


def page_text(raw: bytes) -> str:
    """The body of a page that came packed."""
    return gzip.decompress(raw).decode() if raw[:2] == b"\x1f\x8b" else raw.decode()


def fill(visits: int) -> tuple[UUID, UUID, str]:
    """Players and visits, each with twelve readings; a teacher's session. Gives visit, player and cookie."""
    from django.conf import settings
    from django.core.management import call_command
    from django.test import Client

    from evenground.records.models import Person, Player, Reading, Role, Visit
    from evenground.records.visits import start_visit

    call_command("migrate", verbosity=0)
    teacher = Person.objects.create_person("tall", None, name="R. Tall", role=Role.TEACHER)
    players = [
        Player(id=uuid5(SPACE, f"p{n}"), name=f"Player {n:05d}", handed="right", birth_year=1980)
        for n in range(visits // 4)
    ]
    Player.objects.bulk_create(players, batch_size=500)
    today = date.today()
    rows = [
        Visit(
            id=uuid5(SPACE, f"v{n}"),
            player=players[n % len(players)],
            day=today - timedelta(days=1 + n % 900),
            last_seq=12,
        )
        for n in range(visits)
    ]
    Visit.objects.bulk_create(rows, batch_size=500)
    for start in range(0, visits, 1000):
        Reading.objects.bulk_create(
            (reading for visit in rows[start : start + 1000] for reading in _readings(visit)), batch_size=500
        )
    open_visit = start_visit(players[0], day=today, teacher="R. Tall", person=teacher)
    client = Client(SERVER_NAME="localhost")
    client.force_login(teacher, backend="django.contrib.auth.backends.ModelBackend")
    name = settings.SESSION_COOKIE_NAME
    return open_visit.pk, players[0].pk, f"{name}={client.cookies[name].value}"


def _readings(visit: Any) -> Iterator[Any]:
    from evenground.records.models import Reading

    at = datetime(2026, 1, 1, tzinfo=UTC)
    said = [
        ("visit", "visit", {"visit": str(visit.pk)[:8], "date": str(visit.day), "teacher": "R. Tall"}),
        ("visit", "player", {"name": visit.player.name, "handed": "right", "birth_year": 1980}),
        ("safety", "safety", {"screening": "cleared"}),
        ("hip line", "hip-line set-up", {"landmark": "belt line"}),
    ]
    said += [
        ("hip line", "hip-line trial", {"trial": n, "width_mm": 300.0 + 30 * n, "hip_line_deg": n - 4.0})
        for n in range(1, 9)
    ]
    for seq, (check, kind, payload) in enumerate(said, 1):
        yield Reading(
            id=uuid5(visit.pk, str(seq)),
            visit=visit,
            seq=seq,
            check_name=check,
            kind=kind,
            version=1,
            payload=payload,
            at=at,
        )


@contextlib.contextmanager
def served(visits: int) -> Iterator[Served]:
    """A studio with that many visits, running."""
    with tempfile.TemporaryDirectory(prefix="bench-studio-") as folder:
        os.environ["EVENGROUND_HOME"] = folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "evenground.studio.settings"
        import django

        from evenground.studio.settings import HOME

        if Path(folder).resolve() != HOME.folder.resolve():
            msg = "the settings were read before this benchmark began"
            raise RuntimeError(msg)
        HOME.prepare()
        django.setup()
        # The settings were made before the folder's secret was: a second process reads it from there.
        from django.conf import settings

        settings.SECRET_KEY = HOME.secret()
        visit, player, cookie = fill(visits)
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = int(free.getsockname()[1])
        command = [sys.executable, "-m", "uvicorn", "evenground.studio.asgi:application", "--port", str(port)]
        server = subprocess.Popen([*command, "--log-level", "warning", "--lifespan", "off"])
        try:
            yield _answering(Served(port=port, process=server.pid, visit=visit, player=player, cookie=cookie))
        finally:
            server.send_signal(signal.SIGKILL)
            server.wait()


def _answering(studio: Served) -> Served:
    for _ in range(300):
        with contextlib.suppress(OSError):
            if studio.ask("/sign-in")[0] < 500:
                return studio
        time.sleep(0.1)
    msg = "the studio did not answer"
    raise TimeoutError(msg)


def memory_mb(process: int) -> float:
    """Resident memory of a process."""
    status = Path(f"/proc/{process}/status").read_text("utf-8")
    found = re.search(r"VmRSS:\s+(\d+) kB", status)
    assert found is not None
    return int(found[1]) / 1024.0


def pages_ms(studio: Served) -> dict[str, list[float]]:
    """Each page asked for in turn, on visits that no page showed before; correctness first."""
    found: dict[str, list[float]] = {}
    for n in range(PAGES):
        visit = uuid5(SPACE, f"v{n}")
        paths = {
            "sign-in (asks no records)": "/fonts/sans-400.woff",
            "today": "/",
            "players": "/players",
            "player": f"/players/{studio.player}",
            "hip line": f"/visits/{visit}/hip-line/",
            "body": f"/visits/{visit}/body/",
            "news": f"/visits/{visit}/body/news/?since=0",
        }
        for name, path in paths.items():
            status, raw, took = studio.ask(path)
            assert status == 200, (name, status)
            assert raw
            if n:
                found.setdefault(name, []).append(took)
    return found


def token_of(studio: Served) -> tuple[str, str]:
    """The page's token against foreign forms, and the cookies that go with it."""
    link = HTTPConnection("127.0.0.1", studio.port, timeout=60)
    link.request("GET", f"/visits/{studio.visit}/body/", headers={"Cookie": studio.cookie})
    answer = link.getresponse()
    text = answer.read().decode()
    cookies = [c.split(";")[0] for c in answer.headers.get_all("Set-Cookie", [])]
    token = re.search(r'data-csrf="([^"]+)"', text)
    assert token is not None
    return token[1], "; ".join([studio.cookie, *cookies])


def many_hands(studio: Served, seconds: float, csrf: str, cookie: str) -> tuple[list[float], int, int]:
    """Ten clients on one visit, each asking for news every second and saving every third; times, saves."""
    times: list[float] = []
    saves: list[int] = []
    end = time.monotonic() + seconds

    def hand(number: int) -> None:
        mine = Served(studio.port, studio.process, studio.visit, studio.player, cookie)
        since, turn = 0, 0
        time.sleep(number / HANDS)  # browsers do not ask in step
        while time.monotonic() < end:
            began = time.monotonic()
            status, raw, took = mine.ask(
                f"/visits/{studio.visit}/posture/news/?since={since}&found=x&minute=0"
            )
            times.append(took)
            assert status in (200, 204), status
            stamp = re.search(r'"since": (\d+)', page_text(raw)) if status == 200 else None
            since = int(stamp[1]) if stamp is not None else since
            if turn % 3 == number % 3:
                body = _typed(number, turn)
                status, raw, took = mine.ask(f"/visits/{studio.visit}/send/field/", body, csrf)
                times.append(took)
                assert status == 200, raw
                saves.append(1)
            turn += 1
            time.sleep(max(0.0, 1.0 - (time.monotonic() - began)))

    threads = [threading.Thread(target=hand, args=(n,)) for n in range(HANDS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    from evenground.records.models import Reading

    stored = Reading.objects.filter(visit_id=studio.visit, kind="posture").count()
    return times, len(saves), stored


def appears_s(studio: Served, token: str, cookie: str, tries: int = 15) -> list[float]:
    """From the answer to one screen's save until another, which asks once a second, has been told of it."""
    mine = Served(studio.port, studio.process, studio.visit, studio.player, cookie)
    rng = np.random.default_rng(20_000)
    lags = []
    for turn in range(tries):
        next_poll = time.monotonic() + rng.uniform(0.0, 1.0)
        status, raw, _ = mine.ask(f"/visits/{studio.visit}/send/field/", _typed(0, turn), token)
        assert status == 200, raw
        seq, saved = json.loads(page_text(raw))["seq"], time.monotonic()
        told = 0
        while told < seq:
            time.sleep(max(0.0, next_poll - time.monotonic()))
            next_poll += 1.0
            _, raw, _ = mine.ask(f"/visits/{studio.visit}/posture/news/?since=0&found=x&minute=0")
            stamp = re.search(r'"since": (\d+)', page_text(raw))
            told = int(stamp[1]) if stamp is not None else 0
        lags.append(time.monotonic() - saved)
    return lags


def _typed(number: int, turn: int) -> dict[str, Any]:
    """What a hand types next: an angle of one of nine addresses, over whatever stood there."""
    families, angles = ("putter", "irons", "woods"), ("trunk_deg", "thigh_deg", "arm_hang_deg")
    return {
        "id": str(uuid4()),
        "kind": "posture",
        "keys": {"family": families[number % 3], "repeat": 1 + turn % 3},
        "field": angles[(number + turn) % 3],
        "text": str(10 + (number + turn) % 20),
    }


def first_page_bytes(studio: Served) -> int:
    """A visit's page with everything it loads, as sent."""
    path = f"/visits/{studio.visit}/hip-line/"
    raw = studio.ask(path)[1]
    wanted = set(re.findall(r'(?:href|src)="(/(?:static|fonts)/[^"]+)"', page_text(raw)))
    wanted |= {f"/fonts/{name}.woff" for name in ("sans-400", "sans-600", "serif-400", "serif-600")}
    return len(raw) + sum(len(studio.ask(asset)[1]) for asset in sorted(wanted))


def _p95(times: list[float]) -> float:
    return float(np.percentile(times, 95))


def _promise(promise: str, ours: str, beside: str, limit: str, *, held: bool) -> dict[str, Any]:
    return {"promise": promise, "ours": ours, "beside": beside, "limit": limit, "held": held}


def run(visits: int = VISITS, seconds: float = SECONDS) -> dict[str, Any]:
    """All four promises on one studio."""
    with served(visits) as studio:
        studio.ask("/")
        rest = memory_mb(studio.process)
        weight = first_page_bytes(studio)
        pages = pages_ms(studio)
        idle = pages.pop("sign-in (asks no records)")
        token, cookie = token_of(studio)
        times, saves, stored = many_hands(studio, seconds, token, cookie)
        assert stored == saves
        lags = appears_s(studio, token, cookie)
        after = memory_mb(studio.process)
    worst = max(pages, key=lambda name: _p95(pages[name]))
    beside = f"{np.median(idle):.0f} ms for a file"
    hands = f"{_p95(times):.0f} ms (median {np.median(times):.0f}), {saves} saves, {len(times)} requests"
    return {
        "pages_p95_ms": {name: round(_p95(found), 1) for name, found in pages.items()},
        "promises": [
            _promise(
                "server at rest", f"{rest:.0f} MB", f"{after:.0f} MB after", "150 MB", held=rest < 150.0
            ),
            _promise(
                f"slowest page, {worst}, p95 at {visits} visits",
                f"{_p95(pages[worst]):.0f} ms",
                beside,
                "150 ms",
                held=_p95(pages[worst]) < 150.0,
            ),
            _promise(
                f"{HANDS} hands on one visit for {seconds:.0f} s, p95",
                hands,
                beside,
                "200 ms",
                held=_p95(times) < 200.0,
            ),
            _promise(
                "another's reading is told, slowest of 15",
                f"{max(lags):.1f} s (median {np.median(lags):.1f})",
                "asking once a second",
                "2 s",
                held=max(lags) < 2.0,
            ),
            _promise("first page", f"{weight / 1000:.0f} kB", "-", "200 kB", held=weight < 200_000),
        ],
    }
