"""Blind mode in a browser: what was read before is hidden until it is switched off, the next step stays."""

from playwright.sync_api import expect

from evenground.records.log import append
from tests.records.making import entry
from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Live


def test_a_blind_screen_hides_readings_curve_and_why_and_keeps_what_to_set(live: Live, at: Opened) -> None:
    visit = live.visit("Perrin Ashgrove")

    def twice() -> None:
        append(visit, entry("hip-line set-up", landmark="belt line"))
        for trial, angle in ((1, 1.0), (2, 9.0)):
            append(visit, entry("hip-line trial", trial=trial, width_mm=430.0, hip_line_deg=angle))

    live.records(twice)
    page = at(visit, "hip-line")
    why = page.locator("#part-doing .why.tells")
    hidden = [why, page.locator("#part-trials"), page.locator("#part-pictures")]
    expect(why).to_contain_text("The two readings differ by 8.0 deg")
    page.get_by_label("Blind: hide what was read before").check()
    for part in hidden:
        expect(part).to_be_hidden()
    expect(page.locator("#part-doing .what")).to_have_text("Repeat 430 mm.")
    page.reload()
    expect(why).to_be_hidden()
    page.get_by_label("Blind: hide what was read before").uncheck()
    for part in hidden:
        expect(part).to_be_visible()
