"""A first visit from an empty studio, typed with the keyboard alone, trial by trial as the app asks."""

import re
from pathlib import Path
from uuid import UUID

from playwright.sync_api import Page, expect

from evenground.example import example_bundle
from evenground.records.assessing import findings_of
from evenground.visit import CHECKS
from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Live

MOST_TABS = 90
MOST_TRIALS = 24


def hip_deg(width_mm: float) -> float:
    """An invented player: square at 420 mm, open below it, closed above."""
    return round((420.0 - width_mm) / 40.0, 1)


STEPS = """(wanted) => {
  const kinds = 'a[href], button, input, select, textarea, summary, [tabindex="0"]';
  const stops = [...document.querySelectorAll(kinds)]
    .filter((e) => e.checkVisibility() && !e.disabled && e.type !== 'hidden')
    .filter((e) => e.type !== 'radio' || e.checked);
  const steps = stops.findIndex((e) => e.matches(wanted)) - stops.indexOf(document.activeElement);
  return steps >= 0 ? steps : steps + stops.length + 1;
}"""


def tab_to(page: Page, wanted: str) -> None:
    """Press Tab until the element of that selector holds the cursor: as far as it looks, then one by one."""
    for _ in range(page.evaluate(STEPS, wanted) - 1):
        page.keyboard.press("Tab")
    for _ in range(MOST_TABS):
        if page.evaluate("s => document.activeElement.matches(s)", wanted):
            return
        page.keyboard.press("Tab")
    raise AssertionError(wanted, page.url)


def type_from(page: Page, first: str, *texts: str) -> None:
    """Type texts into fields one after another, Enter going on to the next."""
    tab_to(page, f"#{first}")
    for text in texts:
        page.keyboard.press("Control+A")
        page.keyboard.type(text)
        page.keyboard.press("Enter")


def choose(page: Page, field: str, word: str) -> None:
    tab_to(page, f"#{field}")
    page.keyboard.type(word)


def saved(page: Page) -> None:
    expect(page.locator("#saved")).to_have_text("saved")


def go_on(page: Page) -> None:
    """The link to the next check, once everything is saved."""
    saved(page)
    tab_to(page, ".after a")
    before = page.url
    page.keyboard.press("Enter")
    page.wait_for_url(lambda url: url != before)


def keep(page: Page, field: str, text: str, *, other_side: bool = False) -> None:
    """Type one trial's reading, choose its side with the arrow keys, and keep it."""
    tab_to(page, f"#{field}")
    if other_side:
        page.keyboard.press("Tab")
        page.keyboard.press("ArrowRight")
        page.keyboard.press("Shift+Tab")
    page.keyboard.type(text)
    page.keyboard.press("Enter")
    saved(page)


def walk_hip_line(page: Page) -> list[float]:
    """Set, read and keep whatever the app asks for, until it says that it is enough."""
    choose(page, "hip-line-set-up--landmark", "back")
    asked: list[float] = []
    while len(asked) < MOST_TRIALS:
        doing = page.locator("#part-doing .what")
        expect(doing).to_contain_text(re.compile(r"et the feet to|Enough"))
        found = re.search(r"feet to (\d+) mm", doing.inner_text())
        if found is None:
            break
        asked.append(float(found[1]))
        before = page.locator("#part-trials tbody tr").count()
        side = page.locator("input[name=side-hip_line_deg]:checked").get_attribute("value")
        wanted = "open" if hip_deg(asked[-1]) >= 0 else "closed"
        keep(page, "keep-hip_line_deg", str(abs(hip_deg(asked[-1]))), other_side=side != wanted)
        expect(page.locator("#part-trials tbody tr")).to_have_count(before + 1)
        expect(page.locator("#part-card")).not_to_contain_text("being worked on")
    return asked


def test_a_first_visit_is_typed_with_the_keyboard_alone(live: Live, at: Opened) -> None:
    visit = live.visit("Perrin Holloway")
    page = at(visit, "safety")
    choose(page, "safety--screening", "cleared")
    type_from(page, "shoes--name", "own golf shoes", "285", "66")
    go_on(page)
    type_from(
        page, "as-arrived--putter--width_mm", "258", "11", "3", "320", "21", "10", "15 5/8 in", "25", "9"
    )
    go_on(page)
    type_from(page, "body-size--stature--1--size_mm", "5 ft 10 in", "1780", "860", "862", "350", "352")
    type_from(page, "body-mass--mass_kg", "12 st 10 lb")
    go_on(page)
    for side in ("left", "right"):
        type_from(page, f"hand--{side}--length_mm", "193", "117")
    go_on(page)
    keep(page, "keep-mark", "7 iron")
    tab_to(page, "[aria-label='7 iron, butt, upper']")
    page.keyboard.type("15.1")
    page.keyboard.press("Enter")
    page.keyboard.type("13.9")
    page.keyboard.press("Enter")
    go_on(page)
    type_from(page, "ball--putter--1--inside_lead_heel_mm", *("130", "131", "380", "379") * 3)
    go_on(page)
    upload(page, sorted((example_bundle() / "mat").glob("*.parquet"))[:1])
    go_on(page)
    asked = walk_hip_line(page)
    go_on(page)
    type_from(page, "posture--irons--1--trunk_deg", *("36", "18", "24", "25", "4") * 3)
    go_on(page)
    for toward in ("lead", "trail"):
        for n, text in enumerate(("81", "83", "80"), 1):
            type_from(page, f"turn--{toward}--{n}--turn_deg", text)
    go_on(page)
    choose(page, "grip-set-up--glove", "yes")
    for n in (1, 2, 3):
        type_from(page, f"grip-trial--{n}--7-iron--own--hip_line_deg", f"{n}", f"{n - 1}")
    go_on(page)
    type_from(page, "aim-set-up--distance_m", "2 m")
    for offset in ("12", "20", "3", "5", "14", "22", "8", "6", "1", "9"):
        keep(page, "keep-offset_mm", offset)
    expect(page.locator(".checks .is-done")).to_have_count(
        len(CHECKS) - 1
    )  # one placement of nine on the mat
    check_findings(live, visit, asked)


def upload(page: Page, files: list[Path]) -> None:
    """Add placements; choosing a file is the system's own dialogue."""
    for n, file in enumerate(files, 1):
        page.locator("#up-recording").set_input_files(file)
        tab_to(page, ".upload button")
        page.keyboard.press("Enter")
        expect(page.locator("#part-trials tbody tr")).to_have_count(n)
    expect(page.locator("#part-facts")).to_contain_text("usable")


def check_findings(live: Live, visit: UUID, asked: list[float]) -> None:
    """What the app asked for led to the width at which this invented player is square."""
    findings = live.records(lambda: findings_of(visit))
    irons = findings.value("setup.irons")
    assert irons is not None
    assert irons.answer in ("square", "likely")
    assert abs(irons.width_heel_centres_mm.value - 420.0) < 40.0
    assert len(asked) >= 6
    assert len(set(asked[:3])) == 3
    confirmed = [f.value for f in findings.findings if f.kind.startswith("stance.confirm.")]
    assert [c.verdict for c in confirmed if c is not None] == ["confirmed"]
    assert findings.value("ground.as arrived.golf shoes") is not None
    assert findings.value("aim.as arrived") is not None


def test_a_trial_is_kept_by_touch_on_a_tablet(live: Live, at: Opened) -> None:
    visit = live.visit()
    page = at(visit, "hip-line", viewport={"width": 820, "height": 1180}, has_touch=True)
    page.locator("#hip-line-set-up--landmark").select_option("belt line")
    page.locator("#keep-width_mm").fill("410")
    page.locator("#keep-hip_line_deg").fill("1½")
    page.locator(".sides label", has_text="closed").tap()
    page.get_by_role("button", name="Keep this trial").tap()
    expect(page.locator("#hip-line-trial--1--hip_line_deg")).to_have_value("-1.5°")
    expect(page.locator("#keep-hip_line_deg")).to_have_value("")
