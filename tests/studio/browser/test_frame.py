"""The frame in a real browser, on the demo's invented studio: light, dark, three sizes, keyboard, weight."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.studio.conftest import PASSWORD
from tests.studio.serving import served

SIZES = {"laptop": (1280, 800), "tablet": (820, 1180), "phone": (390, 844)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Demo:
    """The served demo, and what signs its owner in."""

    address: str
    state: Any


@pytest.fixture(scope="module")
def demo(chromium: Browser) -> Iterator[Demo]:
    """`evenground demo` as it is started, signed in to by the printed link."""
    with served("demo", "--port", "0", until="Ctrl-C") as (said, _):
        link = re.search(r"(http://127\.0\.0\.1:\d+)/link/\S+", said)
        assert link is not None, said
        page = chromium.new_page()
        page.goto(link[0])
        page.get_by_role("button", name="Open the studio").click()
        page.wait_for_url(f"{link[1]}/")
        yield Demo(address=link[1], state=page.context.storage_state())
        page.context.close()


def opened(
    chromium: Browser, demo: Demo, size: str = "laptop", scheme: Any = "light"
) -> tuple[BrowserContext, Page]:
    """A signed-in page."""
    wide, tall = SIZES[size]
    context = chromium.new_context(
        storage_state=demo.state, viewport={"width": wide, "height": tall}, color_scheme=scheme
    )
    page = context.new_page()
    page.set_default_timeout(15_000)
    return context, page


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
    found = page.locator("#found")
    expect(found.locator(".row-name")).to_have_text(["Maren Quillby"])
    page.get_by_label("Name").fill("nobody at all")
    expect(found).to_contain_text("Nobody here is called “nobody at all”.")
    expect(found.get_by_role("link")).to_have_text(["New player “nobody at all”"])
    expect(found.locator(".row-name")).to_have_count(0)
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
