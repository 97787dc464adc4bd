"""A file is chosen, looked at, turned until the picture is right, and added with its layout."""

from pathlib import Path

import numpy as np
from playwright.sync_api import Page, expect

from evenground.simulate.mat import Mat, Standing, simulate_mat
from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Live


def export(folder: Path) -> Path:
    """A mat's text with its columns counted from the right: as a picture it shows the feet swapped."""
    made = simulate_mat(
        Standing(load_left_percent=58.0), Mat(rows=44, columns=60), None, rng=np.random.default_rng(4)
    )
    lines = ["\t".join(f"{v:.1f}" for v in row[::-1]) for row in made.recording.cells[0][::-1]]
    path = folder / "export.txt"
    path.write_text("pressure in kPa, pitch 8 mm\n" + "\n".join(lines))
    return path


def test_a_mirrored_export_is_put_right_by_its_picture_and_added(
    live: Live, at: Opened, tmp_path: Path
) -> None:
    visit = live.visit()
    page: Page = at(visit, "ground")
    look = page.locator("#mat-look")
    expect(look).to_be_hidden()
    page.locator("#up-recording").set_input_files(export(tmp_path))
    expect(look.locator("svg")).to_be_visible()
    expect(look).to_contain_text("lean on the left foot")
    drawn = look.locator("svg polygon").first.evaluate_all("all => all.length")
    assert drawn > 0
    before = look.locator("svg").inner_html()
    look.get_by_role("button", name="Mirror left and right").click()
    look.locator("summary").click()
    expect(look.locator(".look-reasons")).to_contain_text("as you turned it")
    assert look.locator("svg").inner_html() != before
    page.get_by_role("button", name="Add this placement").first.click()
    expect(page.locator("#part-trials tbody tr")).to_have_count(1)
    expect(look).to_be_hidden()
    placement = next(e for e in live.log(visit).entries if e.kind == "placement")
    assert placement.payload["layout"].endswith(".toml")
    expect(page.locator("#part-facts")).to_contain_text("usable")
