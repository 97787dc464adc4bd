"""Every page of a visit for everyone: axe in both themes, targets to touch, nothing beyond the edge."""

from uuid import UUID

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from playwright.sync_api import Page

from evenground.records.models import Visit
from evenground.studio.pages.checks import slug_of
from evenground.visit import CHECKS
from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Live
from tests.studio.pages.conftest import Desk
from tests.studio.pages.sample import type_in

SLUGS = [slug_of(check) for check in CHECKS]
SIZES = ((1280, 800), (820, 1180), (390, 844))
SMALL = """() => [...document.querySelectorAll(
    'button, select, summary, input:not([type=hidden], [type=radio], [type=checkbox]), nav a, '
    + '.sides span, label.blind')]
  .filter((e) => e.offsetParent !== null && !e.closest('.menu-leaf, details:not([open]) > :not(summary)'))
  .filter((e) => e.getBoundingClientRect().height < 43.5 && !e.matches('.earlier'))
  .map((e) => `${e.tagName} ${e.id || e.textContent.trim()} ${e.getBoundingClientRect().height}`)"""


@pytest.fixture(scope="module")
def typed(live: Live) -> UUID:
    """A visit with something on every page."""
    visit = live.visit()

    def fill() -> None:
        client = Client(SERVER_NAME="localhost")
        client.force_login(live.person, backend="django.contrib.auth.backends.ModelBackend")
        type_in(Desk(client=client, visit=Visit.objects.get(pk=visit)))

    live.records(fill)
    return visit


@pytest.fixture(params=["light", "dark"])
def themed(request: pytest.FixtureRequest, at: Opened, typed: UUID) -> Page:
    return at(typed, "safety", color_scheme=request.param)


def test_axe_finds_nothing_on_any_check(live: Live, themed: Page, typed: UUID) -> None:
    found = {}
    for slug in SLUGS:
        themed.goto(f"{live.address}/visits/{typed}/{slug}/")
        themed.locator("#part-card dl").wait_for()
        results = Axe().run(themed)
        found[slug] = [(v["id"], [n["target"] for n in v["nodes"]]) for v in results.response["violations"]]
    assert {slug: bad for slug, bad in found.items() if bad} == {}


def test_nothing_runs_over_the_edge_and_every_target_can_be_touched(
    live: Live, at: Opened, typed: UUID
) -> None:
    page = at(typed, "safety", has_touch=True)
    over, small = {}, {}
    for slug in SLUGS:
        page.goto(f"{live.address}/visits/{typed}/{slug}/")
        page.locator("#part-card dl").wait_for()
        for wide, tall in SIZES:
            page.set_viewport_size({"width": wide, "height": tall})
            over[slug, wide] = page.evaluate("document.documentElement.scrollWidth - innerWidth")
            small[slug, wide] = page.evaluate(SMALL)
    assert {at_: by for at_, by in over.items() if by > 0} == {}
    assert {at_: few for at_, few in small.items() if few} == {}


def test_no_request_leaves_the_machine_and_the_first_page_is_light(
    live: Live, at: Opened, typed: UUID
) -> None:
    page = at(typed, "safety")
    asked: list[str] = []
    weighed: list[int] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("requestfinished", lambda request: weighed.append(request.sizes()["responseBodySize"]))
    page.goto(f"{live.address}/visits/{typed}/hip-line/")
    page.wait_for_load_state("load")
    assert asked
    assert [url for url in asked if not url.startswith(live.address)] == []
    assert sum(weighed) < 200_000
