"""Players for whom an hour is different: one arm and a seat, a minor, readings under the wrong name."""

import re
from datetime import date
from uuid import UUID

from playwright.sync_api import expect

from evenground.records.log import append
from evenground.records.models import Player, Visit
from evenground.records.visits import start_visit
from evenground.studio.models import School, SchoolMember
from tests.records.making import entry
from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Live
from tests.studio.browser.steps import saved
from tests.studio.browser.test_whole_visit import words

STANDING = ("as arrived", "ball", "ground", "hip line", "posture", "grip")


def test_a_one_armed_seated_player_gets_a_card_without_invented_feet(live: Live, at: Opened) -> None:
    visit = live.visit("Ruan Sedgecomb")
    page = at(visit, "safety")
    page.locator("#safety--screening").select_option("measuring only")
    saved(page)
    page.goto(f"{live.address}/visits/{visit}/body/")
    page.locator("#seated--seated").select_option("yes")
    page.locator("#check summary", has_text="Absent, prosthetic").click()
    page.locator("#limb--left-arm--state").select_option("absent")
    saved(page)
    for check in STANDING:
        expect(page.locator(".checks li", has_text=check)).to_contain_text("not asked")
    page.goto(f"{live.address}/visits/{visit}/hands/")
    expect(page.locator("#hand--left--length_mm")).to_have_count(0)
    page.locator("#hand--right--length_mm").fill("184")
    page.locator("#hand--right--palm_length_mm").fill("105")
    page.keyboard.press("Enter")
    saved(page)
    page.goto(f"{live.address}/visits/{visit}/card")
    assert page.locator(".line-picture").count() == 0
    assert "the player is seated" in page.inner_text("#line-irons-width")
    page.get_by_role("button", name="Sign card 1").click()
    page.wait_for_url("**/card/1")
    first, *_ = words(page.request.get(f"{page.url}/setup-card.pdf").body())
    assert first.count("No stance between two feet:") == 3  # the reason stands on the next line
    assert "Keep your own stance" not in first
    assert not re.search(r"\d mm", first)


WREN = ((300.0, -1.0), (400.0, 4.5), (500.0, -1.5), (340.0, 2.5), (470.0, 1.0), (310.0, 0.0))
ODO = ((280.0, 5.0), (360.0, 2.2), (440.0, -0.4), (500.0, -3.1), (330.0, 3.5))
ODOS = (410.0, 0.6)
"""Hip-line trials of two players, width and hips open, and the one of Odo's that was saved under Wren."""


def measured(player: str, *trials: tuple[float, float]) -> Visit:
    """A visit of today with its hip line measured."""
    row = start_visit(Player.objects.create(name=player, handed="right"), day=date.today(), teacher="R. Tall")
    append(row.pk, entry("hip-line set-up", landmark="back of the pelvis"))
    for number, (width, angle) in enumerate(trials, 1):
        append(row.pk, entry("hip-line trial", trial=number, width_mm=width, hip_line_deg=angle))
    return row


def mixed_up_school() -> list[UUID]:
    """A school where one trial went wrong, and the same two players as they should have come out."""
    school = School.objects.create(name="May school", day=date.today())
    wren, odo = measured("Wren Halloway", *WREN, ODOS), measured("Odo Fennimark", *ODO)
    for code, row in (("WREN1", wren), ("ODOF1", odo)):
        SchoolMember.objects.create(school=school, visit=row, code=code)
    return [wren.pk, odo.pk, measured("Wren's twin", *WREN).pk, measured("Odo's twin", *ODO, ODOS).pk]


def test_a_reading_saved_under_the_wrong_player_is_moved_and_both_cards_are_right(
    live: Live, at: Opened
) -> None:
    wren, odo, *twins = live.records(mixed_up_school)
    page = at(wren, "hip-line")
    page.get_by_role("link", name="Saved under the wrong player?").click()
    page.get_by_role("checkbox", name="410 mm").check()
    page.get_by_label("They belong to").select_option("Odo Fennimark")
    page.get_by_label("Why", exact=True).fill("the badge was not scanned")
    page.get_by_role("button", name="Move what is ticked").click()
    expect(page.get_by_text("moved to Odo Fennimark: the badge was not scanned")).to_be_visible()

    def widths(visit: UUID) -> list[str]:
        page.goto(f"{live.address}/visits/{visit}/card")
        return page.locator("[id$=-width] .line-now").all_inner_texts()

    assert [widths(wren), widths(odo)] == [widths(twin) for twin in twins]
    assert len({tuple(widths(visit)) for visit in (wren, odo)}) == 2
    taken = [len(live.log(visit).of("hip-line trial")) for visit in (wren, odo)]
    assert taken == [len(WREN), len(ODO) + 1]
