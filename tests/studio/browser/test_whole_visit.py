"""A first visit from an empty studio to a signed card, by keyboard alone and by touch."""

import io
import re
from collections.abc import Iterator
from pathlib import Path
from uuid import UUID

import pdfplumber
import pytest
from playwright.sync_api import Page, expect
from pytest_django import DjangoDbBlocker

from evenground.example import example_bundle
from evenground.findings import Findings
from evenground.records.assessing import findings_of
from evenground.records.models import CardVersion
from evenground.visit import CHECKS
from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Kept, Live
from tests.studio.browser.steps import Hand, Keys, Touch, go_on, saved, sign, upload, walk_hip_line
from tests.studio.conftest import PASSWORD
from tests.studio.serving import served

MAT = example_bundle() / "mat"


def square_at_420(width_mm: float) -> float:
    """An invented player's hips: square at 420 mm, open below it, closed above."""
    return round((420.0 - width_mm) / 40.0, 1)


def square_at_360(width_mm: float) -> float:
    """Another one's: closed below 360 mm, open above."""
    return round((width_mm - 360.0) / 35.0, 1)


@pytest.fixture
def empty(tmp_path: Path, django_db_blocker: DjangoDbBlocker) -> Iterator[tuple[Kept, str]]:
    """An empty studio as `evenground serve` starts it, and the link that it prints."""
    kept = Kept(tmp_path / "home", django_db_blocker.unblock)
    options = ("serve", "--port", "0", "--data", str(kept.folder))
    with served(*options, until="This studio has no owner") as (said, _):
        link = re.search(r"http://127\.0\.0\.1:\d+/link/\S+", said)
        assert link is not None
        yield kept, link[0]
    kept.close()


def new_player(hand: Hand, name: str, handed: str) -> UUID:
    """From Today to the first visit of somebody new."""
    page = hand.page
    hand.press("a[href^='/players/new']")
    page.wait_for_url("**/players/new*")
    hand.write("#id_name", name)
    hand.side("handed", handed)
    hand.press("main button.next")
    page.wait_for_url(re.compile(r"/players/[0-9a-f-]{36}$"))
    hand.press("main button.next")
    page.wait_for_url(re.compile(r"/visits/[0-9a-f-]{36}/"))
    return UUID(page.url.split("/visits/")[1][:36])


def arrive(hand: Hand) -> None:
    """Safety and the player's own stances."""
    hand.choose("#safety--screening", "cleared")
    hand.type("#shoes--name", "own golf shoes", "285", "66")
    go_on(hand)
    hand.type("#as-arrived--putter--width_mm", "258", "11", "3", "320", "21", "10", "15 5/8 in", "25", "9")
    go_on(hand)


def words(pdf: bytes) -> list[str]:
    with pdfplumber.open(io.BytesIO(pdf)) as opened:
        return [" ".join((page.extract_text() or "").split()) for page in opened.pages]


def test_an_empty_studio_comes_to_a_signed_card_by_the_keyboard_alone(
    empty: tuple[Kept, str], browser_page: Opened
) -> None:
    kept, link = empty
    hand = Keys(browser_page())
    page = hand.page
    page.goto(link)
    hand.write("#id_name", "Quill Marrowby")
    hand.write("#id_sign_in", "quill")
    hand.write("#id_password", PASSWORD)
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Today")).to_be_visible()
    visit = new_player(hand, "Perrin Holloway", "right")
    arrive(hand)
    hand.type("#body-size--stature--1--size_mm", "5 ft 10 in", "1780", "860", "862", "350", "352")
    hand.type("#body-mass--mass_kg", "12 st 10 lb")
    go_on(hand)
    for side in ("left", "right"):
        hand.type(f"#hand--{side}--length_mm", "193", "117")
    go_on(hand)
    hand.type("#keep-mark", "7 iron")
    hand.type("[aria-label='7 iron, butt, upper']", "15.1", "13.9")
    go_on(hand)
    hand.type("#ball--putter--1--inside_lead_heel_mm", *("130", "131", "380", "379") * 3)
    go_on(hand)
    for stance in ("as arrived", "fitted"):
        upload(hand, sorted(MAT.glob(f"{stance.replace(' ', '-')}-?.parquet")), stance)
    expect(page.locator("#part-facts")).to_contain_text("usable")
    go_on(hand)
    asked = walk_hip_line(hand, square_at_420)
    go_on(hand)
    hand.type("#posture--irons--1--trunk_deg", *("36", "18", "24", "25", "4") * 3)
    go_on(hand)
    for toward in ("lead", "trail"):
        for n, text in enumerate(("81", "83", "80"), 1):
            hand.type(f"#turn--{toward}--{n}--turn_deg", text)
    go_on(hand)
    hand.choose("#grip-set-up--glove", "yes")
    for n in (1, 2, 3):
        hand.type(f"#grip-trial--{n}--7-iron--own--hip_line_deg", f"{n}", f"{n - 1}")
    go_on(hand)
    hand.type("#aim-set-up--distance_m", "2 m")
    for offset in ("12", "20", "3", "5", "14", "22", "8", "6", "1", "9"):
        hand.type("#keep-offset_mm", offset)
        saved(page)
    expect(page.locator(".checks .is-done")).to_have_count(len(CHECKS) - 1)  # nobody stood barefoot
    paper = sign(
        hand, line="line-irons-width", text="395 to 415", reason="his knee is easier a little closer"
    )
    check_findings(kept.records(lambda: findings_of(visit)), asked)
    check_paper(paper, "Perrin Holloway", "395 to 415 mm", "his knee is easier", "Quill Marrowby")
    signed = kept.records(lambda: CardVersion.objects.get(visit_id=visit))
    assert signed.signer_name == "Quill Marrowby"


def check_findings(findings: Findings, asked: list[float]) -> None:
    """What the app asked for led to a width at which this invented player is square within two degrees."""
    irons = findings.value("setup.irons")
    assert irons is not None
    assert irons.answer in ("square", "likely")
    assert abs(square_at_420(irons.width_heel_centres_mm.value)) <= 2.0
    assert len(asked) >= 6
    assert len(set(asked[:3])) == 3
    confirmed = [f.value for f in findings.findings if f.kind.startswith("stance.confirm.")]
    assert [c.verdict for c in confirmed if c is not None] == ["confirmed"]
    for ground in ("ground.as arrived.golf shoes", "ground.fitted.golf shoes", "aim.as arrived"):
        assert findings.value(ground) is not None


def check_paper(pdf: bytes, player: str, chosen: str, reason: str, signer: str) -> None:
    """The card that the player takes home says what was decided, and overleaf why."""
    first, *overleaf = words(pdf)
    assert player in first
    assert chosen in first
    assert "teacher's choice" in first
    assert f"signed by {signer}" in first
    assert reason in " ".join(overleaf)


def test_a_left_handed_player_comes_to_a_signed_card_by_touch_on_a_tablet(
    live: Live, signed_in: Opened
) -> None:
    hand = Touch(signed_in("/", viewport={"width": 820, "height": 1180}, has_touch=True))
    page = hand.page
    visit = new_player(hand, "Sorrel Tamsin", "left")
    arrive(hand)
    hand.type("#body-size--stature--1--size_mm", "1690", "1692")
    page.goto(f"{live.address}/visits/{visit}/ground/")
    upload(hand, [MAT / "as-arrived-1.parquet"], "as arrived")
    go_on(hand)
    walk_hip_line(hand, square_at_360)
    paper = sign(hand, line="line-irons-width", text="355 to 375", reason="her own stance, and steady")
    check_paper(paper, "Sorrel Tamsin", "355 to 375 mm", "her own stance", "R. Tall")
    check_mirrored(live, visit, page)


def check_mirrored(live: Live, visit: UUID, page: Page) -> None:
    """Lead is the right foot: its larger toe-out stands on the right, where the target is."""
    page.goto(f"{live.address}/visits/{visit}/card")
    labels = page.locator("#line-irons-width svg").first.locator("text")
    said = {label.inner_html(): float(label.get_attribute("x") or "nan") for label in labels.all()}
    turned = sorted((x, float(text.split(" ")[0])) for text, x in said.items() if text.endswith("°"))
    (left, trail_deg), (right, lead_deg) = turned
    assert trail_deg < lead_deg  # typed as 10 for the trail foot and 21 for the lead foot
    assert said["target"] > (left + right) / 2
