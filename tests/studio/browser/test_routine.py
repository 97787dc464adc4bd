"""The timed routine in a browser: it counts down by itself, pauses, and a stop is kept without a reason."""

from playwright.sync_api import Page, expect

from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Live


def opened(live: Live, at: Opened) -> Page:
    visit = live.visit()
    page = at(visit, "safety")
    page.get_by_label("Screening", exact=True).select_option("cleared")
    expect(page.locator("#saved")).to_have_text("saved")
    page.wait_for_timeout(800)  # the field is sent after a pause
    page.clock.install()
    page.goto(f"{live.address}/visits/{visit}/routine/")
    return page


def test_the_clock_counts_down_pauses_eases_and_ends_with_a_kept_run(live: Live, at: Opened) -> None:
    page = opened(live, at)
    left, name = page.locator("#clock-left"), page.locator("#clock-name")
    expect(left).to_have_text("20")
    page.get_by_role("button", name="Start").click()
    page.clock.run_for(5_000)
    expect(left).to_have_text("15")
    page.get_by_role("button", name="Pause").click()
    page.clock.run_for(60_000)
    expect(left).to_have_text("15")
    page.get_by_role("button", name="Easier").click()
    expect(page.locator("#clock-how")).to_contain_text("Rock from one foot")
    page.get_by_role("button", name="Go on").click()
    page.clock.run_for(15_500)
    expect(name).to_have_text("Tip the pelvis")
    page.clock.run_for(150_000)
    expect(name).to_have_text("Done.")
    page.clock.run_for(3_000)
    expect(page.locator("#part-runs")).to_contain_text("easier, 2.7 minutes")


def test_a_stop_at_pain_ends_it_and_asks_nothing(live: Live, at: Opened) -> None:
    page = opened(live, at)
    page.get_by_role("button", name="Start").click()
    page.clock.run_for(30_000)
    page.get_by_role("button", name="Stop").click()
    expect(page.locator("#clock-name")).to_have_text("Ended here.")
    page.clock.run_for(3_000)
    expect(page.locator("#part-runs")).to_contain_text("Ended early")
    expect(page.locator("#part-runs")).to_contain_text("0.5 minutes")
