"""Every page of the app for everyone: axe in both themes, targets to touch, nothing beyond the edge.

Which pages there are is asked of the app itself: whatever answers with a whole page to somebody who may open
everything is walked, so that a new page cannot be left out.
"""

from collections.abc import Iterator
from typing import Any

import httpx
import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import Page

from evenground.studio.pages.checks import slug_of
from evenground.visit import CHECKS
from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Live
from tests.studio.browser.world import World
from tests.studio.test_access import patterns

SIZES = ((1280, 800), (820, 1180), (390, 844))
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
COLOURS = ["color-contrast", "link-in-text-block"]
"""What a theme can break: it changes colours and moves nothing."""
SMALL_TEXT = """() => [...document.querySelectorAll('body *')]
  .filter(e => [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim()))
  .filter(e => e.checkVisibility() && !e.closest('.typed, .unseen, svg'))
  .filter(e => parseFloat(getComputedStyle(e).fontSize) < 16).map(e => e.outerHTML.slice(0, 80))"""
SMALL_TARGETS = """() =>
  [...document.querySelectorAll('button, .button, summary, input:not([type=hidden]), select, nav a')]
  .filter(e => e.checkVisibility() && !e.closest('.skip') && !e.matches('.earlier'))
  .map(e => [e.outerHTML.slice(0, 80), (e.closest('label, .tick') || e).getBoundingClientRect().height])
  .filter(([said, height]) => height < 43.5)"""
NO_PAGES = {"font", "api:api-root"}
"""A file by its own name, and a place where nothing is."""
SURELY = {"today", "player", "visit:check", "card", "card-signed", "school", "school-scan", "studio", "audit"}
"""Some pages that have to be among those found."""


def addresses(holds: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Name and address of everything that the app has; a check's page once for each check."""
    for name, sample in patterns():
        kwargs = {key: holds.get(key, value) for key, value in sample.items()}
        slugs = [slug_of(check) for check in CHECKS] if name == "visit:check" else [kwargs.get("slug")]
        for slug in slugs:
            yield name, reverse(name, kwargs=kwargs | ({"slug": slug} if slug else {}))


def whole_pages(live: Live, world: World) -> dict[str, str]:
    """Address and name of whatever answers with a whole page."""
    cookies = {"evenground": live.cookie(world.owner)}
    found, lost = {}, []
    with httpx.Client(base_url=live.address, cookies=cookies, timeout=60.0) as client:
        for name, address in addresses(world.holds):
            with client.stream("GET", address) as answer:  # some of them go on for good
                lost += [address] if answer.status_code == 404 and name not in NO_PAGES else []
                if answer.status_code == 200 and _whole(answer):
                    found[address] = name
    assert lost == [], "the sample world lacks what these addresses ask for"
    assert set(found.values()) >= SURELY
    return found


def _whole(answer: httpx.Response) -> bool:
    if not answer.headers.get("content-type", "").startswith("text/html"):
        return False
    return answer.read().lstrip()[:15].lower() == b"<!doctype html>"


def violations(page: Page, rules: list[str]) -> list[str]:
    found = Axe().run(page, options={"runOnly": rules}).response["violations"]
    return [f"{v['id']} {[n['html'][:90] for n in v['nodes'][:2]]}" for v in found]


def faults(page: Page) -> list[str]:
    """What is wrong with a page as it stands, in every theme and size."""
    page.eval_on_selector_all("main details", "all => all.forEach(d => { d.open = true })")
    page.emulate_media(color_scheme="light")
    found = violations(page, RULES)
    page.emulate_media(color_scheme="dark")
    found += [f"dark: {said}" for said in violations(page, COLOURS)]
    for wide, tall in SIZES:
        page.set_viewport_size({"width": wide, "height": tall})
        over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        found += [f"{wide}: {over} px wider than the screen"] if over > 0 else []
        found += [f"{wide}: small text {e}" for e in page.evaluate(SMALL_TEXT)]
        found += [f"{wide}: small target {e}" for e in page.evaluate(SMALL_TARGETS)]
    page.set_viewport_size({"width": SIZES[0][0], "height": SIZES[0][1]})
    return found


def walked(live: Live, world: World, signed_in: Opened, *, first: int) -> list[str]:
    """Open every second page, from the first or second on: what is wrong, and what the browser says."""
    page = signed_in("/", person=world.owner)
    said: list[str] = []
    page.on("console", lambda line: said.append(line.text) if line.type in {"error", "warning"} else None)
    page.on("request", lambda asked: said.append(asked.url) if not _own(asked.url, live) else None)
    found: list[str] = []
    for address in sorted(whole_pages(live, world))[first::2]:
        page.goto(live.address + address)
        page.evaluate("document.fonts.ready")
        found += [f"{address}: {fault}" for fault in faults(page)]
    return found + said


def test_every_page_is_open_to_everyone_in_both_themes_and_three_sizes(
    live: Live, world: World, signed_in: Opened
) -> None:
    # the other half: test_every_second_page.py, beside this one
    assert walked(live, world, signed_in, first=0) == []


def _own(url: str, live: Live) -> bool:
    return url.startswith((live.address, "data:"))


@pytest.mark.parametrize("address", ["/sign-in", "/link/that-is-over", "/nowhere"])
def test_the_pages_at_the_door_are_as_open(address: str, live: Live, browser_page: Opened) -> None:
    page = browser_page()
    page.goto(live.address + address)
    assert faults(page) == []
