"""A club list pasted into the page, and a slip of the tape told while the next size is typed."""

from pathlib import Path

from playwright.sync_api import expect

from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Live

PAGE = (Path(__file__).parents[3] / "docs" / "formats" / "clubs.md").read_text("utf-8")
CSV = PAGE.partition("```csv\n")[2].partition("```")[0]


def test_a_pasted_club_list_becomes_the_bag_and_a_slip_is_told_at_once(live: Live, at: Opened) -> None:
    visit = live.visit()
    page = at(visit, "own-clubs")
    page.locator("summary", has_text="Paste a table").click()
    page.locator("#paste-text").fill(CSV)
    page.get_by_role("button", name="Save every line").click()
    expect(page.get_by_text("2 lines saved.")).to_be_visible()
    expect(page.locator("table.figures").get_by_role("row", name="7 iron")).to_contain_text("940 ± 3 mm")
    expect(page.locator("svg.is-bag")).to_be_visible()
    page.goto(f"{live.address}/visits/{visit}/body/")
    page.get_by_label("Compared with").select_option("men")
    for label, size in (("stature, reading 1", "1800"), ("wrist height, reading 1", "780")):
        page.get_by_label(label).fill(size)
        page.get_by_label(label).press("Tab")
    expect(page.get_by_text("Wrist height 780 mm is 4.0 SD too short")).to_be_visible()
    expect(page.get_by_label("wrist height, reading 2")).to_be_focused()  # and the cursor stayed
    expect(page.locator("svg.is-body")).to_be_visible()
