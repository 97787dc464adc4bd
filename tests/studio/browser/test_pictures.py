"""The pictures of the README and the manual, made from the demo's invented studio.

EVENGROUND_SCREENSHOTS names the folder that they go to, such as `docs/pictures`; without it nothing is made.
"""

import io
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from tests.studio.browser.test_frame import Demo, demo, opened

__all__ = ["demo"]

LARGEST = 150_000
PALETTE = 128
"""Ink, paper, one accent and what lies between them: more colours cannot be told apart."""
EXAMPLE, HALF_WAY = "Ilvy Tarrowmere", "Odo Fennimark"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """One picture: its file, whose pages, which address of theirs, and how wide and dark."""

    name: str
    whose: str = ""
    at: str = ""
    size: str = "laptop"
    scheme: Any = "light"


SHOTS = (
    Shot(name="today", at="/"),
    Shot(name="player", whose=EXAMPLE, at="player"),
    Shot(name="hip-line", whose=EXAMPLE, at="hip-line/"),
    Shot(name="ground", whose=EXAMPLE, at="ground/"),
    Shot(name="card-page", whose=EXAMPLE, at="card"),
    Shot(name="school", at="/schools"),
    Shot(name="studio", at="/studio"),
    Shot(name="hip-line-dark", whose=EXAMPLE, at="hip-line/", scheme="dark"),
    Shot(name="as-arrived-tablet", whose=HALF_WAY, at="as-arrived/", size="tablet"),
    Shot(name="hip-line-phone", whose=HALF_WAY, at="hip-line/", size="phone"),
)


def go_to(page: Page, address: str, shot: Shot) -> None:
    """Follow the links to a page as somebody would."""
    if not shot.whose:
        page.goto(address + shot.at)
    else:
        page.goto(f"{address}/players?find={shot.whose.split()[0]}")
        page.get_by_role("link", name=shot.whose).first.click()
        expect(page.get_by_role("heading", name=shot.whose)).to_be_visible()
    if shot.at == "/schools":
        page.get_by_role("link", name="Short school").click()
    if shot.whose and shot.at != "player":
        visit = page.locator(".row-name[href^='/visits/']").first.get_attribute("href") or ""
        page.goto(f"{address}{visit[:45]}{shot.at}")


@pytest.mark.skipif(
    "EVENGROUND_SCREENSHOTS" not in os.environ, reason="names the folder that screenshots go to"
)
@pytest.mark.parametrize("shot", SHOTS, ids=lambda shot: shot.name)
def test_a_picture_is_made(shot: Shot, chromium: Browser, demo: Demo) -> None:
    context, page = opened(chromium, demo, shot.size, shot.scheme)
    go_to(page, demo.address, shot)
    page.wait_for_timeout(500)
    expect(page.locator("body")).not_to_contain_text("being worked on", timeout=60_000)
    page.evaluate("document.fonts.ready")
    drawn = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    context.close()
    file = Path(os.environ["EVENGROUND_SCREENSHOTS"]) / f"{shot.name}.png"
    drawn.quantize(PALETTE, dither=Image.Dither.NONE).save(file, optimize=True)
    assert 10_000 < file.stat().st_size < LARGEST
