"""Stock lists and club sheets: what is read, and what is refused with which sentence."""

from pathlib import Path

import pytest

from evenground.capture.fields import read_toml
from evenground.capture.stock import ClubSheet, StockList, load_club, load_stock
from evenground.errors import EvengroundError
from evenground.stock import GripSection

GRIP = """
[[grips]]
mark = "A"
length_mm = 267
mass_g = 50
core = "0.580 in"
[[grips.sections]]
station_mm = 40
outside_mm = 23.2
[[grips.sections]]
station = "9 in"
outside = "0.74 in"
core_mm = 14.6
"""


def test_a_stock_list_reads_sizes_in_either_form(tmp_path: Path) -> None:
    file = tmp_path / "stock.toml"
    file.write_text("[tape]\nbuild_up_mm = 0.2\n" + GRIP, "utf-8")
    stock = load_stock(file)
    assert stock.tape.build_up_mm == 0.2
    assert stock.tape.double_sided_mm == 0.127
    assert stock.grips[0].sections == (
        GripSection(station_mm=40.0, outside_mm=23.2, core_mm=14.732),
        GripSection(station_mm=228.6, outside_mm=18.796, core_mm=14.6),
    )
    assert stock.grips[0].stretch == 1.0


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "s.toml, grips: This is missing."),
        ("grips = []", "s.toml, grips: a list of 0 does not fit here. It needs at least 1 entries."),
        (GRIP + GRIP, "s.toml: Two grips carry the mark A; each needs its own."),
        (GRIP.replace("station_mm = 40", "station_mm = 400"), "do not run down the grip"),
        (GRIP.replace('core = "0.580 in"\n', ""), "s.toml, grips 1: A has no core_mm"),
        (
            GRIP.replace("core_mm = 14.6", "core_mm = 19.0"),
            "A at 228.6 mm: a bore of 19 mm is not inside it.",
        ),
        (
            GRIP.replace("mass_g = 50", "mass_g = 50\ninstalled_length_mm = 400"),
            "cannot be pulled to 1.50 times",
        ),
        (
            GRIP.replace("mass_g = 50", "mass_g = -1"),
            "grips 1, mass_g: -1 is not allowed. It has to be more than 0 g.",
        ),
        (GRIP.replace("mass_g = 50", 'mass_g = 50\nshape = "oval"'), "Allowed: 'round' or 'not round'."),
        (GRIP.replace("outside_mm = 23.2", "outside_mm = nan"), "grips 1, sections 1, outside_mm: nan"),
        (GRIP.replace("outside_mm = 23.2", "outside_mm = 0.91"), "It has to be more than 10 mm."),
        (GRIP.replace('"9 in"', '"9 in 3 mm"'), "in and mm belong to two systems"),
        (GRIP.replace("mark", "name"), "grips 1, mark: This is missing. Add it; docs/formats.md"),
    ],
)
def test_a_stock_list_that_cannot_be_right_is_refused(text: str, said: str) -> None:
    with pytest.raises(EvengroundError) as caught:
        read_toml(text.encode(), StockList, file="s.toml")
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_club_sheet_may_leave_the_butt_unknown(tmp_path: Path) -> None:
    file = tmp_path / "club.toml"
    file.write_text('mark = "7"\nfamily = "irons"\nlength = "37 in"\ngrip_g = 52', "utf-8")
    sheet = load_club(file)
    assert sheet.grip_g == 52.0
    club = sheet.to_club()
    assert club.butt_upper_mm is None
    assert club.length_mm == pytest.approx(939.8)
    assert (club.upper_station_mm, club.lower_station_mm) == (50.8, 152.4)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('family = "irons"', "c.toml, mark: This is missing."),
        ('mark = "7"\nfamily = "wedge"', "Allowed: 'putter', 'irons' or 'woods'."),
        (
            'mark = "7"\nfamily = "irons"\nbutt_upper = "0.6"',
            'butt_upper: "0.6" cannot be read as a length: it has',
        ),
        (
            'mark = "7"\nfamily = "irons"\nbutt_upper_mm = 0.6',
            "butt_upper_mm: 0.6 is not allowed. It has to be at least",
        ),
        (
            'mark = "7"\nfamily = "irons"\nlower_station_mm = 20',
            "c.toml: The lower hand at 20 mm sits above the upper one at 50.8 mm.",
        ),
    ],
)
def test_a_club_sheet_that_cannot_be_right_is_refused(text: str, said: str) -> None:
    with pytest.raises(EvengroundError) as caught:
        read_toml(text.encode(), ClubSheet, file="c.toml")
    assert said in str(caught.value)


def test_the_samples_in_the_format_page_load() -> None:
    page = (Path(__file__).parents[2] / "docs" / "formats" / "grip.md").read_text("utf-8")
    stock, club = (block.partition("```")[0] for block in page.split("```toml\n")[1:3])
    assert read_toml(stock.encode(), StockList, file="page").to_stock().grips[0].mark == "bench grip 1"
    assert read_toml(club.encode(), ClubSheet, file="page").to_club().mark == "7 iron"
