"""The other half of the walk over every page, in a file of its own so that two processes share it."""

from tests.studio.browser.conftest import Opened
from tests.studio.browser.live import Live
from tests.studio.browser.test_every_page import walked
from tests.studio.browser.world import World


def test_every_second_page_is_open_to_everyone_in_both_themes_and_three_sizes(
    live: Live, world: World, signed_in: Opened
) -> None:
    assert walked(live, world, signed_in, first=1) == []
