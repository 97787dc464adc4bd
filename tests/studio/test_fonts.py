"""The cut fonts still hold every sign the app shows, and are light enough."""

from io import BytesIO

import pytest
from fontTools.ttLib import TTFont

from evenground.studio.fonts import FONTS, font_file
from evenground.studio.home import ConfigFile, Home


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Home:
    return Home(folder=tmp_path_factory.mktemp("fonts"), config=ConfigFile())


@pytest.mark.parametrize("name", FONTS)
def test_a_font_holds_the_signs_of_names_and_figures(name: str, home: Home) -> None:
    with TTFont(BytesIO(font_file(home, name))) as font:
        signs = set(font.getBestCmap())
        assert font.flavor == "woff"
    assert {ord(c) for c in "AZaz09åÉñőŁß°±×½¼¾⅛·–—’“”→≤≥−…"} <= signs


def test_all_four_together_stay_under_a_hundred_kilobytes(home: Home) -> None:
    assert sum(len(font_file(home, name)) for name in FONTS) < 100_000


def test_a_font_is_made_once_and_then_read_from_the_data_folder(home: Home) -> None:
    made = font_file(home, "sans-400")
    kept = list((home.folder / "cache").glob("sans-400-*.woff"))
    assert [k.read_bytes() for k in kept] == [made]
