"""Steps through a visit, each taken with the keyboard alone or by touch."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Page, expect

__all__ = ["Hand", "Keys", "Touch", "go_on", "saved", "sign", "upload", "walk_hip_line"]

MOST_TABS = 90
MOST_TRIALS = 24
STEPS = """(wanted) => {
  const kinds = 'a[href], button, input, select, textarea, summary, [tabindex="0"]';
  const stops = [...document.querySelectorAll(kinds)]
    .filter((e) => e.checkVisibility() && !e.disabled && e.type !== 'hidden')
    .filter((e) => e.type !== 'radio' || e.checked);
  return stops.findIndex((e) => e.matches(wanted)) - stops.indexOf(document.activeElement);
}"""


@dataclass(frozen=True, slots=True)
class Keys:
    """Somebody without a mouse: Tab to get there, Enter to press, letters to choose."""

    page: Page

    def reach(self, wanted: str) -> None:
        """Press Tab, or Tab back, until the element of a selector holds the cursor.

        As far as it looks at once, then one by one.
        """
        steps = self.page.evaluate(STEPS, wanted)
        key = "Tab" if steps >= 0 else "Shift+Tab"
        for _ in range(abs(steps) - 1):
            self.page.keyboard.press(key)
        for _ in range(MOST_TABS):
            if self.page.evaluate("s => document.activeElement.matches(s)", wanted):
                return
            self.page.keyboard.press(key)
        raise AssertionError(wanted, self.page.url)

    def press(self, wanted: str) -> None:
        self.reach(wanted)
        self.page.keyboard.press("Enter")

    def choose(self, wanted: str, word: str) -> None:
        self.reach(wanted)
        self.page.keyboard.type(word)

    def side(self, name: str, wanted: str) -> None:
        """Choose one of two sides beside a figure with the arrow keys."""
        self.reach(f"input[name={name}]")
        if self.page.locator(f"input[name={name}]:checked").get_attribute("value") != wanted:
            self.page.keyboard.press("ArrowRight")

    def write(self, wanted: str, text: str) -> None:
        self.reach(wanted)
        self.page.keyboard.press("Control+A")
        self.page.keyboard.type(text)

    def type(self, first: str, *texts: str) -> None:
        """Type texts into fields one after another, Enter going on to the next."""
        self.reach(first)
        for text in texts:
            self.page.keyboard.press("Control+A")
            self.page.keyboard.type(text)
            self.page.keyboard.press("Enter")


@dataclass(frozen=True, slots=True)
class Touch:
    """Somebody at a tablet: a tap to get there and to press, the screen's keyboard to type."""

    page: Page

    def press(self, wanted: str) -> None:
        self.page.locator(wanted).tap()

    def choose(self, wanted: str, word: str) -> None:
        self.page.locator(wanted).select_option(word)

    def side(self, name: str, wanted: str) -> None:
        self.page.locator("label", has=self.page.locator(f"input[name={name}][value={wanted}]")).tap()

    def write(self, wanted: str, text: str) -> None:
        self.page.locator(wanted).tap()
        self.page.locator(wanted).fill(text)

    def type(self, first: str, *texts: str) -> None:
        """Tap into a field and type; the screen's keyboard has an Enter that goes on to the next."""
        self.page.locator(first).tap()
        for text in texts:
            self.page.locator(":focus").fill(text)
            self.page.keyboard.press("Enter")


Hand = Keys | Touch


def saved(page: Page) -> None:
    """Wait until nothing waits to be saved."""
    expect(page.locator("#saved")).to_have_text("saved")


def go_on(hand: Hand) -> None:
    """Follow the link to the next check, once everything is saved."""
    saved(hand.page)
    before = hand.page.url
    hand.press(".onward a")
    hand.page.wait_for_url(lambda url: url != before)


def upload(hand: Hand, files: list[Path], stance: str) -> None:
    """Add placements; choosing a file is the system's own dialogue."""
    lines = hand.page.locator("#part-trials tbody tr")
    for file in files:
        before = lines.count()
        hand.page.locator("#up-recording").set_input_files(file)
        hand.choose("#up-stance", stance)
        hand.press(".upload button")
        expect(lines).to_have_count(before + 1)


def walk_hip_line(hand: Hand, hips_deg: Callable[[float], float]) -> list[float]:
    """Set, read and keep whatever the app asks for, until it says that it is enough; gives the widths."""
    page, asked = hand.page, list[float]()
    hand.choose("#hip-line-set-up--landmark", "back of the pelvis")
    while len(asked) < MOST_TRIALS:
        doing = page.locator("#part-doing .what")
        expect(doing).to_contain_text(re.compile(r"et the feet to|Enough"))
        found = re.search(r"feet to (\d+) mm", doing.inner_text())
        if found is None:
            break
        asked.append(float(found[1]))
        before = page.locator("#part-trials tbody tr").count()
        reading = hips_deg(asked[-1])
        hand.side("side-hip_line_deg", "open" if reading >= 0 else "closed")
        hand.type("#keep-hip_line_deg", str(abs(reading)))
        expect(page.locator("#part-trials tbody tr")).to_have_count(before + 1)
        expect(page.locator("#part-card")).not_to_contain_text("being worked on")
    return asked


def sign(hand: Hand, *, line: str, text: str, reason: str) -> bytes:
    """Set one line of the card, accept the rest, sign; gives the setup card as a file."""
    page = hand.page
    hand.press("#part-card .button")
    page.wait_for_url("**/card")
    hand.press(f"#{line} details.fold:not(.evidence) summary")
    hand.write(f"#{line}-text", "460")
    hand.write(f"#{line}-reason", reason)
    hand.press(f"#{line} .line-set button")
    expect(page.locator(f"#{line}")).to_contain_text("is not a range")  # and what was typed is still there
    expect(page.locator(f"#{line}-reason")).to_have_value(reason)
    hand.write(f"#{line}-text", text)
    hand.press(f"#{line} .line-set button")
    expect(page.locator(f"#{line}")).to_contain_text("teacher's choice")
    hand.press("#signing form[action$=accept-rest] button")
    expect(page.locator("#signing")).to_contain_text("Every line is decided")
    hand.press("#signing button.next")
    page.wait_for_url("**/card/1")
    paper = page.request.get(f"{page.url}/setup-card.pdf")
    assert paper.ok
    return paper.body()
