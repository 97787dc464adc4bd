"""The bar's photo way in a browser: refused with a sentence, kept unseen in blind mode, then looked at."""

import io
from datetime import date
from uuid import UUID

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import FilePayload, expect

from evenground.records.models import Consent, Visit
from evenground.simulate.tags import render_scene
from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Live


def photo(*, hidden: tuple[int, ...] = ()) -> FilePayload:
    scene = render_scene(np.random.default_rng(4), tilt_deg=6.0, hidden=hidden)
    stream = io.BytesIO()
    Image.fromarray(scene.rgb).reduce(2).save(stream, "JPEG", quality=92)
    return {"name": "IMG_0007.jpg", "mimeType": "image/jpeg", "buffer": stream.getvalue()}


@pytest.fixture
def agreed(live: Live) -> UUID:
    visit_id = live.visit("Oona Marrable")

    def agree() -> None:
        said = {"text_version": "1", "given_by": "the player", "given_on": date(2026, 1, 1)}
        Consent.objects.create(player=Visit.objects.get(pk=visit_id).player, kind="photos", **said)

    live.records(agree)
    return visit_id


def test_a_bars_photo_is_kept_unseen_in_blind_mode_and_shows_when_it_is_left(
    live: Live, agreed: UUID, at: Opened
) -> None:
    page = at(agreed, "hip-line")
    page.get_by_label("Blind: hide what was read before").check()
    form = page.locator("form.upload", has_text="Read the bar from a photo")
    form.get_by_label("photo", exact=True).set_input_files(photo(hidden=(1,)))
    form.get_by_role("button", name="keep it").click()
    expect(form.get_by_role("alert")).to_contain_text("Tag 1 (the other end of the bar) is not")
    form.get_by_label("photo", exact=True).set_input_files(photo())
    form.get_by_label("set the feet to").fill("41 cm")
    form.get_by_role("button", name="keep it").click()
    expect(form.get_by_role("alert")).to_have_text("The photo is read and saved.")
    drawn = page.get_by_alt_text("Trial 1: the photo with its tags, the line and the number")
    expect(drawn).to_be_attached()
    expect(drawn).to_be_hidden()
    expect(page.locator("form.upload .say")).not_to_contain_text("°")
    page.get_by_label("Blind: hide what was read before").uncheck()
    expect(drawn).to_be_visible()
    (trial,) = live.log(agreed).of("hip-line trial")
    assert trial.values["width_mm"] == 410.0
    assert trial.values["se_deg"] > 0.0
