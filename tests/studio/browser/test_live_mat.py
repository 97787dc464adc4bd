"""The live mat in a real browser, the stream in another process: recorded, kept, let go, and found again."""

import io
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from uuid import UUID

import pytest
from playwright.sync_api import Page, expect

from evenground.capture.recording import read_recording
from evenground.measure.ground import Ground, describe
from evenground.records.blobs import open_blob
from evenground.records.entries import Entry
from tests.studio.browser.conftest import Opened
from tests.studio.browser.cuttable import Wire
from tests.studio.browser.live import Live
from tests.studio.browser.test_every_page import faults

PLAYED = ["--rows", "32", "--columns", "48", "--pitch-mm", "12", "--rate-hz", "50", "--duration-s", "90"]
LOAD = re.compile(r"5[2-9] percent on the left foot, 4[1-8] on the right, 7\d\d newtons")


@pytest.fixture(scope="module")
def mat() -> Iterator[None]:
    """A player who stands on a simulated mat, 56 % on the left foot, in a process of its own."""
    command = [sys.executable, "-m", "evenground", "simulate", "mat", "--live", "--load-left-percent", "56"]
    process = subprocess.Popen(
        [*command, *PLAYED, "--empty-s", "0"], env={**os.environ, "OMP_NUM_THREADS": "1"}
    )
    yield
    process.kill()
    process.wait()


@pytest.fixture
def wire(live: Live) -> Iterator[Wire]:
    """What the browser reaches the studio by."""
    between = Wire(live.port)
    yield between
    between.close()


def seen(page: Page) -> None:
    """Wait until the player is drawn, with the load beside the feet."""
    expect(page.locator(".mat-map")).to_have_attribute("aria-label", LOAD)


def shown(live: Live, at: Opened) -> tuple[UUID, Page]:
    """A new visit's ground page with the mat on it."""
    visit = live.visit()
    page = at(visit, "ground")
    page.get_by_role("button", name="Show the mat").click()
    seen(page)
    return visit, page


def record(page: Page, seconds: int) -> None:
    """Record until so many seconds are counted, and on."""
    page.locator("#mat-seconds").select_option("")
    page.get_by_role("button", name="Record", exact=True).click()
    counted = "|".join(rf"{n}\.\d" for n in range(seconds, seconds + 9))
    expect(page.locator(".mat-running")).to_have_text(re.compile(rf"Recording: ({counted}) of \d+ s"))


def placements(live: Live, visit: UUID) -> list[Entry]:
    return [e for e in live.log(visit).entries if e.kind == "placement"]


def measured(live: Live, entry: Entry) -> Ground:
    """The stored recording of a placement, read as any recording."""
    name = entry.payload["recording"]

    def raw() -> bytes:
        with open_blob(entry.blobs[name]) as file:
            return file.read()

    return describe(read_recording(io.BytesIO(live.records(raw)), file=name), handed="right")


def holds_the_truth(ground: Ground) -> bool:
    """Whether the load is that of the simulated player, 56 %, as far as a second or two of sway can tell.

    So short a recording is graded "short for a mean load": its error knows only the sway that it saw.
    """
    load = ground.feet.left.load_percent
    return load is not None and abs(load.value - 56.0) < 3.0


def journals(live: Live) -> list[str]:
    return [p.name for p in (live.folder / "live").iterdir()]


def test_one_recording_is_kept_and_one_let_go(live: Live, at: Opened, mat: None) -> None:
    visit, page = shown(live, at)
    expect(page.locator(".mat-reach")).to_contain_text("This machine only")
    record(page, 2)
    page.get_by_role("button", name="Stop", exact=True).click()
    waits = page.locator(".mat-kept")
    expect(waits).to_contain_text("this recording: usable")
    expect(waits).to_contain_text("short for a mean load")
    assert placements(live, visit) == []
    assert faults(page) == []
    page.get_by_role("button", name="Keep: as arrived, golf shoes").click()
    expect(page.get_by_role("heading", name="Placements so far")).to_be_visible()
    expect(waits).to_have_count(0)
    record(page, 1)
    page.get_by_role("button", name="Stop", exact=True).click()
    page.get_by_role("button", name="Discard").click()
    expect(waits).to_have_count(0)
    (kept,) = placements(live, visit)
    assert holds_the_truth(measured(live, kept))
    assert journals(live) == []


def test_the_recording_goes_on_when_the_connection_drops_and_when_nobody_looks(
    live: Live, at: Opened, mat: None, wire: Wire
) -> None:
    visit = live.visit()
    page = at(visit, "ground")
    page.goto(f"{wire.address}/visits/{visit}/ground/")
    page.get_by_role("button", name="Show the mat").click()
    seen(page)
    record(page, 1)
    wire.cut()
    expect(page.locator(".mat-says")).to_contain_text("The connection is lost")
    expect(page.get_by_role("button", name="Stop", exact=True)).to_be_disabled()
    wire.mend()
    seen(page)
    expect(page.locator(".mat-running")).to_have_text(re.compile(r"Recording: \d+\.\d of \d+ s"))
    page.close()
    again = at(visit, "ground")
    again.get_by_role("button", name="Show the mat").click()
    expect(again.locator(".mat-running")).to_have_text(re.compile(r"Recording: \d+\.\d of \d+ s"))
    again.get_by_role("button", name="Stop", exact=True).click()
    again.get_by_role("button", name=re.compile("^Keep")).click()
    expect(again.locator(".mat-kept")).to_have_count(0)
    (kept,) = placements(live, visit)
    assert {f.code for f in measured(live, kept).grade.flags}.isdisjoint({"uneven-times"})


def test_what_a_killed_app_was_recording_waits_at_the_next_start(live: Live, at: Opened, mat: None) -> None:
    visit, page = shown(live, at)
    record(page, 1)
    live.kill()
    expect(page.locator(".mat-says")).to_contain_text("The connection is lost")
    live.start()
    seen(page)
    waits = page.locator(".mat-kept")
    expect(waits).to_contain_text("cut off when the app ended")
    waits.get_by_role("button", name=re.compile("^Keep")).click()
    expect(waits).to_have_count(0)
    (kept,) = placements(live, visit)
    assert kept.payload["stance"] == "as arrived"
    assert holds_the_truth(measured(live, kept))
    assert journals(live) == []
