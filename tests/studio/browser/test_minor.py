"""A minor in the browser: no photo before a guardian agreed, and all the rest of the visit goes on."""

from datetime import date
from pathlib import Path
from uuid import UUID

import numpy as np
from PIL import Image
from playwright.sync_api import expect

from evenground.records.models import Player
from evenground.records.visits import start_visit
from evenground.simulate.hands import render_hand
from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Live
from tests.studio.browser.steps import saved


def young_visit() -> UUID:
    player = Player.objects.create(name="Wren Quillby", handed="right", birth_year=date.today().year - 14)
    return start_visit(player, day=date.today(), teacher="R. Tall").pk


def test_a_minors_photo_waits_for_the_guardian_and_the_visit_goes_on(
    live: Live, at: Opened, tmp_path: Path
) -> None:
    photo = tmp_path / "hand.jpg"
    hand = render_hand(np.random.default_rng(3), forearm=False)
    Image.fromarray(hand.rgb).save(photo, "JPEG", quality=90)
    visit = live.records(young_visit)
    page = at(visit, "hands")
    page.locator("#ph-photo").set_input_files(photo)
    page.locator("#ph-side").select_option(hand.side)
    page.get_by_role("button", name="Measure this hand").click()
    expect(page.locator("form.upload .say")).to_contain_text("no guardian's consent for photos")
    page.locator(f"#hand--{hand.side}--length_mm").fill("172")
    page.locator(f"#hand--{hand.side}--palm_length_mm").fill("99")
    page.keyboard.press("Enter")
    saved(page)
    player = live.records(lambda: str(Player.objects.get(name="Wren Quillby").pk))
    page.goto(f"{live.address}/players/{player}")
    page.locator("details", has=page.locator("[name=by_guardian]")).locator("summary").click()
    form = page.locator("form", has=page.locator("[name=by_guardian]"))
    form.locator("[name=kind]").select_option("photos")
    form.locator("[name=given_by]").fill("Hesper Quillby")
    form.locator("[name=by_guardian]").check()
    form.get_by_role("button").click()
    page.goto(f"{live.address}/visits/{visit}/hands/")
    page.locator("#ph-photo").set_input_files(photo)
    page.locator("#ph-side").select_option(hand.side)
    page.get_by_role("button", name="Measure this hand").click()
    expect(page.get_by_alt_text("with the points that were found")).to_be_visible()
