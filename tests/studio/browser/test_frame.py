"""The frame in a real browser, on the demo's invented studio: light, dark, three sizes, keyboard, weight."""

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page

from tests.studio.conftest import PASSWORD

SIZES = {"laptop": (1280, 800), "tablet": (820, 1180), "phone": (390, 844)}
PAGES = (
    "/",
    "/players",
    "/players/new",
    "/me",
    "/studio",
    "/studio/settings",
    "/studio/instruments",
    "/studio/stock",
    "/studio/orders",
    "/studio/people",
    "/studio/sessions",
    "/studio/audit",
)
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
SMALL_TEXT = """() => [...document.querySelectorAll('body *')]
  .filter(e => [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim()))
  .filter(e => e.checkVisibility() && !e.closest('.typed, .unseen, svg'))
  .filter(e => parseFloat(getComputedStyle(e).fontSize) < 16).map(e => e.outerHTML.slice(0, 80))"""
SMALL_TARGETS = """() =>
  [...document.querySelectorAll('button, .button, summary, input:not([type=hidden]), select')]
  .filter(e => e.checkVisibility() && !e.closest('.skip'))
  .map(e => [e.outerHTML.slice(0, 80), (e.closest('label, .tick') || e).getBoundingClientRect().height])
  .filter(([said, height]) => height < 43.5)"""
WALKS = (
    ("laptop", "light", True),
    ("laptop", "dark", True),
    ("tablet", "light", False),
    ("phone", "dark", False),
)
"""Size, theme, and whether axe runs: it takes a second a page, and themes do not move anything."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Demo:
    """The served demo, and what signs its owner in."""

    address: str
    state: Any
    problems: list[str] = field(default_factory=list)


@pytest.fixture(scope="module")
def demo(chromium: Browser) -> Iterator[Demo]:
    """`evenground demo` as it is started, signed in to by the printed link."""
    environment = {k: v for k, v in os.environ.items() if not k.startswith(("EVENGROUND_", "DJANGO_"))}
    command = [sys.executable, "-m", "evenground", "demo", "--port", "0"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment, bufsize=1)
    assert process.stdout is not None
    try:
        said = "".join(process.stdout.readline() for _ in range(3))
        link = re.search(r"(http://127\.0\.0\.1:\d+)/link/\S+", said)
        assert link is not None, said
        page = chromium.new_page()
        page.goto(link[0])
        page.get_by_role("button", name="Open the studio").click()
        page.wait_for_url(f"{link[1]}/")
        yield Demo(address=link[1], state=page.context.storage_state())
        page.context.close()
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(timeout=20)
        process.stdout.close()


def opened(
    chromium: Browser, demo: Demo, size: str = "laptop", scheme: Any = "light"
) -> tuple[BrowserContext, Page]:
    """A signed-in page; what its console says and what leaves the machine is kept."""
    wide, tall = SIZES[size]
    context = chromium.new_context(
        storage_state=demo.state, viewport={"width": wide, "height": tall}, color_scheme=scheme
    )
    page = context.new_page()
    page.set_default_timeout(15_000)
    page.on(
        "console", lambda said: demo.problems.append(said.text) if said.type in {"error", "warning"} else None
    )
    page.on("pageerror", lambda error: demo.problems.append(str(error)))
    page.on(
        "request",
        lambda asked: (
            None if asked.url.startswith((demo.address, "data:")) else demo.problems.append(asked.url)
        ),
    )
    return context, page


def faults(page: Page, address: str, *, axe: bool = True) -> list[str]:
    """What is wrong with a page as it stands."""
    violations = Axe().run(page, options={"runOnly": RULES}).response["violations"] if axe else []
    found = [f"{address}: {v['id']} {[n['html'][:90] for n in v['nodes'][:2]]}" for v in violations]
    over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    found += [f"{address}: {over} px wider than the screen"] if over > 0 else []
    found += [f"{address}: small text {e}" for e in page.evaluate(SMALL_TEXT)]
    return found + [f"{address}: small target {e}" for e in page.evaluate(SMALL_TARGETS)]


@pytest.mark.parametrize(("size", "scheme", "axe"), WALKS)
def test_every_page_is_readable_reachable_and_fits(
    size: str, scheme: str, axe: bool, chromium: Browser, demo: Demo
) -> None:
    context, page = opened(chromium, demo, size, scheme)
    found: list[str] = []
    for address in PAGES:
        page.goto(demo.address + address)
        page.evaluate("document.fonts.ready")
        found += faults(page, address, axe=axe)
    page.goto(f"{demo.address}/players")
    page.get_by_role("link", name="Maren Quillby").first.click()
    page.get_by_text("Keep a consent").click()
    found += faults(page, "a minor's page")
    context.close()
    assert found == []
    assert demo.problems == []


@pytest.mark.parametrize("address", ["/sign-in", "/pair", "/link/that-is-over", "/nowhere"])
def test_the_pages_at_the_door_are_as_readable(address: str, chromium: Browser, demo: Demo) -> None:
    context = chromium.new_context(viewport={"width": 390, "height": 844}, color_scheme="dark")
    page = context.new_page()
    page.goto(demo.address + address)
    found = faults(page, address)
    context.close()
    assert found == []


def test_the_paper_follows_the_device_until_a_look_is_chosen(chromium: Browser, demo: Demo) -> None:
    context, page = opened(chromium, demo, scheme="dark")
    paper = "getComputedStyle(document.body).backgroundColor"
    page.goto(demo.address)
    assert page.evaluate(paper) == "rgb(25, 24, 21)"
    page.get_by_text("Wren Aldercote").click()
    page.get_by_role("button", name="light", exact=True).click()
    assert page.evaluate(paper) == "rgb(244, 240, 230)"
    page.goto(f"{demo.address}/studio")
    assert page.evaluate(paper) == "rgb(244, 240, 230)"
    context.close()


def test_the_type_is_the_studios_own(chromium: Browser, demo: Demo) -> None:
    context, page = opened(chromium, demo)
    page.goto(demo.address)
    page.evaluate("document.fonts.ready")
    loaded = page.evaluate(
        "[...document.fonts].filter(f => f.status === 'loaded').map(f => f.family + f.weight)"
    )
    context.close()
    assert {name.replace('"', "") for name in loaded} >= {"Sheet Sans400", "Sheet Serif400"}


def test_a_first_page_weighs_under_200_kilobytes(chromium: Browser, demo: Demo) -> None:
    context, page = opened(chromium, demo)
    sizes: dict[str, int] = {}
    page.on("requestfinished", lambda asked: sizes.update({asked.url: asked.sizes()["responseBodySize"]}))
    page.goto(demo.address, wait_until="networkidle")
    context.close()
    assert {urlsplit(url).path for url in sizes} >= {"/", "/static/sheet/sheet.css", "/fonts/sans-400.woff"}
    assert sum(sizes.values()) < 200_000


def test_a_visit_is_started_for_a_new_player_by_keyboard_alone(chromium: Browser, demo: Demo) -> None:
    context, page = opened(chromium, demo)
    keys = page.keyboard
    page.goto(demo.address)
    keys.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the page"
    keys.press("Enter")
    tab_to(page, "New player")
    keys.press("Enter")
    page.wait_for_url("**/players/new")
    tab_to(page, "id_name")
    keys.type("Isolde Farrowby")
    tab_to(page, "Take into the records")
    keys.press("Enter")
    page.wait_for_url(re.compile(r"/players/[0-9a-f-]{36}$"))
    tab_to(page, "Start a visit")
    keys.press("Enter")
    page.wait_for_url(re.compile(r"/visits/[0-9a-f-]{36}/"))
    context.close()


def tab_to(page: Page, wanted: str) -> None:
    """Press Tab until what has the focus has this id or these words; it must be seen to have it."""
    says = "[document.activeElement.id, document.activeElement.innerText || '']"
    for _ in range(60):
        page.keyboard.press("Tab")
        if wanted in page.evaluate(says):
            width = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
            assert width == "2px"
            return
    pytest.fail(f"Tab never reaches {wanted}")


def test_the_menu_closes_by_escape_and_gives_the_focus_back(chromium: Browser, demo: Demo) -> None:
    context, page = opened(chromium, demo)
    page.goto(demo.address)
    page.get_by_text("Wren Aldercote").click()
    assert page.locator("details.menu").get_attribute("open") is not None
    page.keyboard.press("Escape")
    assert page.locator("details.menu").get_attribute("open") is None
    assert page.evaluate("document.activeElement.tagName") == "SUMMARY"
    context.close()


def test_players_are_found_as_one_types(chromium: Browser, demo: Demo) -> None:
    context, page = opened(chromium, demo, "tablet")
    page.goto(demo.address)
    page.get_by_label("Name").press_sequentially("quill", delay=20)
    page.locator("#found").get_by_role("link", name="Maren Quillby").wait_for()
    page.get_by_label("Name").fill("nobody at all")
    page.get_by_text("Nobody here is called “nobody at all”.").wait_for()
    context.close()


def test_a_page_left_alone_locks_and_opens_again_only_by_password(chromium: Browser, demo: Demo) -> None:
    context, owner = opened(chromium, demo)
    owner.goto(f"{demo.address}/studio/people")
    owner.get_by_label("Name", exact=True).fill("Juniper Ashwell")
    owner.get_by_label("Name they sign in with").fill("juniper")
    owner.get_by_role("button", name="Make the link").click()
    link = owner.get_by_label("Link").input_value()
    context.close()
    page = chromium.new_page()
    page.goto(link)
    page.get_by_label("New password").fill(PASSWORD)
    page.get_by_role("button", name="Keep this password").click()
    page.wait_for_url(f"{demo.address}/")
    page.clock.install()
    page.goto(f"{demo.address}/players?find=mar")
    page.clock.fast_forward("19:00")
    assert page.url.endswith("/players?find=mar")
    page.clock.fast_forward("02:00")
    page.wait_for_url("**/unlock?next=*")
    page.goto(f"{demo.address}/")
    assert "Maren" not in page.content()
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Go on").click()
    page.get_by_role("heading", name="Today").wait_for()
    page.context.close()


@pytest.mark.skipif(
    "EVENGROUND_SCREENSHOTS" not in os.environ, reason="names the folder that screenshots go to"
)
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", SIZES)
def test_screenshots_of_the_main_screens_are_made(
    size: str, scheme: str, chromium: Browser, demo: Demo
) -> None:
    context, page = opened(chromium, demo, size, scheme)
    folder = Path(os.environ["EVENGROUND_SCREENSHOTS"])
    for name, address in (("today", "/"), ("studio", "/studio")):
        page.goto(demo.address + address)
        page.evaluate("document.fonts.ready")
        page.screenshot(path=folder / f"{name}-{size}-{scheme}.png")
        assert (folder / f"{name}-{size}-{scheme}.png").stat().st_size > 10_000
    context.close()
