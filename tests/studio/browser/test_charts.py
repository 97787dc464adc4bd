"""Pages with charts outside the checks: axe, nothing beyond the edge of a phone, and pictures on request."""

import os
from pathlib import Path
from uuid import UUID

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client

from evenground.records.models import Person, Player, Role, Visit
from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Live
from tests.studio.pages.conftest import Desk
from tests.studio.pages.sample import TRIALS
from tests.studio.test_studies import TEXT, visited_twice

KEEP = os.environ.get("EVENGROUND_SCREENSHOTS")


@pytest.fixture(scope="module")
def addresses(live: Live) -> tuple[UUID, list[str]]:
    """A visit with trials, and the pages: its effects, a study, all studies, a player seen twice."""
    visit = live.visit()

    def fill() -> list[str]:
        client = Client(SERVER_NAME="localhost")
        client.force_login(live.person, backend="django.contrib.auth.backends.ModelBackend")
        desk = Desk(client=client, visit=Visit.objects.get(pk=visit))
        desk.type("hip-line set-up", "landmark", "back of the pelvis")
        for width, angle in TRIALS:
            desk.trial("hip-line trial", width_mm=width, hip_line_deg=angle, family="irons", phase="before")
        answer = client.post("/studio/studies", {"kind": "hip line", "text": TEXT})
        player = visited_twice(Player.objects.create(name="Hesper Quillby", handed="right"))
        study = answer.headers["Location"]
        return [f"/visits/{visit}/effects", study, "/studio/studies", f"/players/{player.pk}"]

    assert live.person.role == Role.TEACHER
    assert isinstance(live.person, Person)
    return visit, live.records(fill)


def test_pages_with_charts_are_for_everyone(
    live: Live, at: Opened, addresses: tuple[UUID, list[str]]
) -> None:
    visit, pages = addresses
    page = at(visit, "safety", viewport={"width": 390, "height": 844})
    found = {}
    for number, address in enumerate(pages):
        page.goto(live.address + address)
        assert page.evaluate("document.documentElement.scrollWidth") <= 390, address
        results = Axe().run(page)
        found[address] = [
            (v["id"], [n["target"] for n in v["nodes"]]) for v in results.response["violations"]
        ]
        if KEEP:
            page.screenshot(path=Path(KEEP) / f"charts-{number}-phone.png", full_page=True)
            page.set_viewport_size({"width": 1280, "height": 800})
            page.screenshot(path=Path(KEEP) / f"charts-{number}.png", full_page=True)
            page.set_viewport_size({"width": 390, "height": 844})
    assert {address: bad for address, bad in found.items() if bad} == {}
