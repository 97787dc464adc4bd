"""The card by touch on a tablet: lines accepted and set, signed, printed; no rule of access is broken."""

from uuid import UUID

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import override_settings

from evenground.example import example_bundle
from evenground.records.importing import import_bundle
from evenground.records.models import CardVersion
from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Live

LINE = "#line-irons-width"


@pytest.fixture(scope="module")
def measured(live: Live) -> UUID:
    """The example's visit in the served studio."""

    def take_in() -> UUID:
        with override_settings(BLOB_FOLDER=live.folder / "blobs"):
            return import_bundle(example_bundle()).pk

    return live.records(take_in)


def test_a_card_is_decided_signed_and_printed_by_touch(live: Live, at: Opened, measured: UUID) -> None:
    page = at(measured, "hip-line", viewport={"width": 820, "height": 1180}, has_touch=True)
    page.goto(f"{live.address}/visits/{measured}/card")
    page.locator(f"{LINE} summary", has_text="Set my own").tap()
    page.fill(f"{LINE}-text", "460")
    page.fill(f"{LINE}-reason", "his knee is easier a little wider")
    page.get_by_role("button", name="Set this line").locator("visible=true").tap()
    page.get_by_text("is not a range").wait_for()  # the sentence, and what was typed still there
    assert page.input_value(f"{LINE}-text") == "460"
    page.fill(f"{LINE}-text", "455 to 475")
    page.get_by_role("button", name="Set this line").locator("visible=true").tap()
    page.locator(LINE).get_by_text("455 to 475 mm").wait_for()
    assert "teacher's choice" in page.inner_text(LINE)
    page.get_by_role("button", name="Accept all that wait").tap()
    page.get_by_role("button", name="Sign card 1").tap()
    page.wait_for_url("**/card/1")
    assert "his knee is easier" in page.inner_text("main")
    pdf = page.request.get(f"{live.address}/visits/{measured}/card/1/setup-card.pdf")
    assert pdf.body().startswith(b"%PDF")
    signed = live.records(lambda: CardVersion.objects.get(visit_id=measured))
    assert signed.signer_name == live.person.name


@pytest.mark.parametrize("look", ["light", "dark"])
@pytest.mark.parametrize(
    "where", ["visits/{visit}/card", "visits/{visit}/move/hip-line", "schools", "api/docs"]
)
def test_axe_finds_nothing_on_the_card_school_and_moving_pages(
    live: Live, at: Opened, measured: UUID, where: str, look: str
) -> None:
    page = at(measured, "hip-line", color_scheme=look)
    page.goto(f"{live.address}/{where.format(visit=measured)}")
    page.eval_on_selector_all("main details", "all => all.forEach(d => { d.open = true })")
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
