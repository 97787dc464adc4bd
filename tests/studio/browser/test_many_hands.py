"""Many hands on one visit: nothing overwritten, nothing lost, everything stored once."""

import re
from uuid import UUID

from playwright.sync_api import Page, expect

from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Live

STATURE = "#body-size--stature--1--size_mm"


def saved(page: Page) -> None:
    expect(page.locator("#saved")).to_have_text("saved")


def readings(live: Live, visit: UUID, kind: str) -> int:
    return sum(e.kind == kind for e in live.log(visit).entries)


def test_what_is_typed_is_saved_without_a_button(live: Live, at: Opened) -> None:
    visit = live.visit()
    page = at(visit, "body")
    page.locator(STATURE).fill("5 ft 11 in")
    expect(page.locator("#n-body-size--stature--1--size_mm")).to_have_text("= 1803 mm")
    saved(page)
    page.reload()
    expect(page.locator(STATURE)).to_have_value("1803 mm")


def test_a_value_that_cannot_be_is_refused_beside_its_field(live: Live, at: Opened) -> None:
    visit = live.visit()
    page = at(visit, "body")
    page.locator(STATURE).fill("5 ft 11")
    expect(page.locator("#n-body-size--stature--1--size_mm")).to_contain_text("the 11 at the end has no unit")
    assert readings(live, visit, "body size") == 0


def test_anothers_reading_appears_by_itself(live: Live, at: Opened) -> None:
    visit = live.visit()
    here, there = at(visit, "body"), at(visit, "body")
    here.locator("#body-size--hip_breadth--1--size_mm").focus()
    there.locator(STATURE).fill("1780")
    there.locator(STATURE).press("Enter")
    saved(there)
    expect(here.locator(STATURE)).to_have_value("1780 mm")  # within two seconds: bench/bench_studio.py
    expect(here.locator("#body-size--hip_breadth--1--size_mm")).to_be_focused()


def test_two_screens_on_one_field_keep_both_and_show_the_later(live: Live, at: Opened) -> None:
    visit = live.visit()
    first, second = at(visit, "body"), at(visit, "body")
    second.locator(STATURE).focus()
    first.locator(STATURE).fill("1700")
    first.locator(STATURE).press("Enter")
    saved(first)
    second.locator(STATURE).fill("1712")
    expect(second.locator("#n-body-size--stature--1--size_mm")).to_contain_text("R. Tall wrote 1700 mm here")
    expect(first.locator(STATURE)).to_have_value("1712 mm")
    first.get_by_role("button", name=re.compile("stature, reading 1: 1 earlier value")).click()
    lines = first.locator("#history li")
    expect(lines).to_have_count(2)
    expect(lines.nth(0)).to_contain_text("1712 mm")
    expect(lines.nth(1)).to_contain_text("1700 mm")


def test_ten_screens_write_at_once_and_nothing_is_overwritten(live: Live, at: Opened) -> None:
    visit = live.visit()
    pages = [at(visit, "aim") for _ in range(10)]
    pages[0].locator("#aim-set-up--distance_m").fill("2 m")
    for round_ in range(2):
        for n, page in enumerate(pages):
            page.locator("#keep-offset_mm").fill(str(10 * n + round_ + 1))
            page.get_by_role("button", name="Keep this aim").click(no_wait_after=True)
    for page in pages:
        saved(page)
    offsets = sorted(s.values["offset_mm"] for s in live.log(visit).of("aim trial"))
    assert offsets == sorted(float(10 * n + r + 1) for n in range(10) for r in range(2))


def test_a_dropped_connection_keeps_what_was_typed_and_stores_it_once(live: Live, at: Opened) -> None:
    visit = live.visit()
    page = at(visit, "body")
    page.context.set_offline(True)
    page.locator(STATURE).fill("1801")
    page.locator("#body-mass--mass_kg").fill("80 kg")
    page.locator("#body-mass--mass_kg").press("Enter")
    expect(page.locator("#saved")).to_contain_text("2 not saved yet")
    assert readings(live, visit, "body size") == 0
    page.context.set_offline(False)
    saved(page)
    assert (readings(live, visit, "body size"), readings(live, visit, "body mass")) == (1, 1)


def test_a_killed_server_and_a_closed_page_lose_nothing(live: Live, at: Opened) -> None:
    visit = live.visit()
    page = at(visit, "body")
    live.kill()
    page.locator(STATURE).fill("1802")
    page.locator(STATURE).press("Enter")
    expect(page.locator("#saved")).to_contain_text("1 not saved yet")
    live.start()
    page.goto(f"{live.address}/visits/{visit}/body/")  # as after a closed lid
    saved(page)
    expect(page.locator(STATURE)).to_have_value("1802 mm")
    assert readings(live, visit, "body size") == 1


def test_an_answer_that_got_lost_is_not_stored_twice(live: Live, at: Opened) -> None:
    visit = live.visit()
    page = at(visit, "body")
    lost: list[str] = []

    def lose_first(route: object) -> None:
        if lost:
            route.continue_()  # type: ignore[attr-defined]
            return
        answer = route.fetch()  # type: ignore[attr-defined]
        lost.append(answer.text())
        route.abort()  # type: ignore[attr-defined]

    page.route("**/send/field/", lose_first)
    page.locator(STATURE).fill("1799")
    page.locator(STATURE).press("Enter")
    saved(page)
    assert len(lost) == 1
    assert readings(live, visit, "body size") == 1


def test_typing_on_over_ones_own_saved_value_is_nobodys_overlap(live: Live, at: Opened) -> None:
    visit = live.visit()
    page = at(visit, "body")
    for text in ("1700", "1710", "1720"):
        page.locator(STATURE).fill(text)
        expect(page.locator("#n-body-size--stature--1--size_mm")).to_have_text(f"= {text} mm")
    saved(page)
    expect(page.locator("#check")).not_to_contain_text("meanwhile")
    assert readings(live, visit, "body size") == 3
