"""Chromium, a served studio, and a page at a visit's check."""

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, expect, sync_playwright
from pytest_django import DjangoDbBlocker

from evenground.records.models import Person
from tests.studio.browser.live import Live
from tests.studio.browser.world import World, filled

QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-quic",
    "--no-first-run",
)
Opened = Callable[..., Page]
# A machine that runs other tests beside is slow; speed is measured in bench/.
expect.set_options(timeout=30_000)


@pytest.fixture(scope="session")
def live(tmp_path_factory: pytest.TempPathFactory, django_db_blocker: DjangoDbBlocker) -> Iterator[Live]:
    """A served studio for all tests of this folder; each starts visits of its own."""
    studio = Live(tmp_path_factory.mktemp("live") / "home", django_db_blocker.unblock)
    yield studio
    studio.close()


@pytest.fixture(scope="session")
def world(live: Live) -> World:
    """Something on every page, made once in each process: either half of the walk may come first."""
    return live.records(lambda: filled(live))


@pytest.fixture(scope="module")
def played() -> Iterator[Playwright]:
    """Playwright, let go after each file: while it runs, Django takes this thread for an asynchronous one."""
    with sync_playwright() as playwright:
        yield playwright


@pytest.fixture(scope="module")
def chromium(played: Playwright) -> Iterator[Browser]:
    """Debian's Chromium, or the one that playwright brought."""
    found = shutil.which("chromium") or played.chromium.executable_path
    if not Path(found).exists():
        reason = "no Chromium on this machine: install the package chromium"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    browser = played.chromium.launch(executable_path=found, args=list(QUIET))
    yield browser
    browser.close()


@pytest.fixture
def browser_page(chromium: Browser) -> Iterator[Opened]:
    """Open a page in a browser of its own; errors of its scripts fail the test."""
    contexts: list[BrowserContext] = []
    errors: list[str] = []

    def opened(**options: Any) -> Page:
        options.setdefault("viewport", {"width": 1280, "height": 800})
        context = chromium.new_context(**options)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.set_default_timeout(30_000)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert errors == []


@pytest.fixture
def signed_in(live: Live, browser_page: Opened) -> Opened:
    """Open an address of the served studio as its teacher, or as `person`."""

    def opened(address: str, *, person: Person | None = None, **options: Any) -> Page:
        page = browser_page(**options)
        cookie = {"name": "evenground", "value": live.cookie(person), "url": live.address}
        page.context.add_cookies([cookie])  # type: ignore[list-item]
        page.goto(f"{live.address}{address}")
        return page

    return opened


@pytest.fixture
def at(signed_in: Opened) -> Opened:
    """Open a check of a visit."""

    def opened(visit: UUID, slug: str, **options: Any) -> Page:
        return signed_in(f"/visits/{visit}/{slug}/", **options)

    return opened
