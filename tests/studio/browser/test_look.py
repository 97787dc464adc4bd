"""What a page of a visit weighs."""

from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Live


def test_a_visits_page_weighs_under_200_kilobytes(live: Live, at: Opened) -> None:
    visit = live.visit()
    page = at(visit, "safety")
    page.context.new_cdp_session(page).send("Network.setCacheDisabled", {"cacheDisabled": True})
    page.goto(f"{live.address}/visits/{visit}/hip-line/")
    page.wait_for_load_state("networkidle")
    weighed = page.evaluate(
        """() => [...performance.getEntriesByType('navigation'), ...performance.getEntriesByType('resource')]
        .map(entry => entry.encodedBodySize)"""
    )
    assert len(weighed) > 3
    assert sum(weighed) < 200_000
