"""Stock lists and club sheets: what is read, and what is refused with which sentence."""

from pathlib import Path

import pytest

from evenground.capture.fields import read_toml
from evenground.capture.fits import fits_from
from evenground.capture.order_file import OrderFile
from evenground.capture.stock import ClubSheet, StockList, load_club, load_stock, with_tape
from evenground.errors import EvengroundError
from evenground.stock import GripSection, Tape

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
    stock, flat, club, order = (block.partition("```")[0] for block in page.split("```toml\n")[1:5])
    assert read_toml(stock.encode(), StockList, file="page").to_stock().grips[0].mark == "bench grip 1"
    assert len(read_toml(flat.encode(), StockList, file="page").to_stock().grips[0].measured) == 2
    assert read_toml(club.encode(), ClubSheet, file="page").to_club().mark == "7 iron"
    read = read_toml(order.encode(), OrderFile, file="page")
    assert [s.state for s in read.steps] == ["measured"]
    fits = page.partition("```csv\n")[2].partition("```")[0]
    assert [f.hand for f in fits_from(fits.encode(), file="page")] == ["upper", "lower"]


MEASURED = """
[[grips]]
mark = "flat"
length_mm = 268
mass_g = 70
shape = "not round"
families = ["putter"]
measured = [
    { station_mm = 20, width_mm = 30, depth_mm = 26 },
    { station = "9 in", width = "1.05 in", depth_mm = 22 },
]
"""


def test_a_measured_grip_a_cap_a_rib_and_two_grips_are_read() -> None:
    two = MEASURED.replace('"flat"', '"two"').replace(
        "mass_g = 70", "mass_g = 70\\ngap_from_mm = 130\\ngap_to_mm = 180"
    )
    text = (
        GRIP.replace("mass_g = 50", "mass_g = 50\ncap_mm = 4\nrib = true")
        + MEASURED
        + two.replace("\\n", "\n")
    )
    stock = read_toml(text.encode(), StockList, file="s.toml").to_stock()
    assert (stock.grips[0].cap_mm, stock.grips[0].rib) == (4.0, True)
    assert stock.grips[1].measured[1].width_mm == pytest.approx(26.67)
    assert stock.grips[1].measured[1].station_mm == pytest.approx(228.6)
    assert stock.grips[2].gap_mm == (130.0, 180.0)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            MEASURED.replace('shape = "not round"\n', ""),
            "The grip flat needs two sections or more, running down the free grip",
        ),
        (
            GRIP.replace(
                "mass_g = 50", "mass_g = 50\nmeasured = [{ station_mm = 1, width_mm = 20, depth_mm = 20 }]"
            ),
            "The grip A is one round grip of rubber: give its free sections, not measured ones",
        ),
        (MEASURED.partition('    { station = "9')[0] + "]\n", "The grip flat was measured at one place"),
        (
            MEASURED.replace("station_mm = 20", "station_mm = 240"),
            "The measured places of flat do not run down",
        ),
        (
            MEASURED.replace("mass_g = 70", "mass_g = 70\ngap_from_mm = 100"),
            "The grip flat needs both gap_from_mm and gap_to_mm",
        ),
        (
            MEASURED.replace("mass_g = 70", "mass_g = 70\ngap_from_mm = 100\ngap_to_mm = 90"),
            "gap between the two grips of flat does not lie within",
        ),
        ("[tape]\nbuild_up_mm = -0.1\n" + GRIP, "tape, build_up_mm: -0.1 is not allowed"),
        ("[tape]\nmost_layers = -2\n" + GRIP, "tape, most_layers: -2 is not allowed"),
        ("[tape]\nbuild_up = '0.005'\n" + GRIP, "cannot be read as a length: it has no unit"),
        ("[tape]\nbuild_up_se_mm = 0\n" + GRIP, "tape, build_up_se_mm: 0 is not allowed"),
    ],
)
def test_measured_grips_and_tape_that_cannot_be_right_are_refused(text: str, said: str) -> None:
    with pytest.raises(EvengroundError) as caught:
        read_toml(text.encode(), StockList, file="s.toml")
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


TAPE = Tape(
    double_sided_mm=0.11,
    build_up_mm=0.134567891,
    layer_mass_g=1.5,
    most_layers=8,
    build_up_se_mm=0.004,
    overlap_mm=2.0,
)


@pytest.mark.parametrize(
    "text",
    [
        GRIP,
        "# ours\n[tape]\nbuild_up_mm = 0.2  # old roll\n\n# grips below\n" + GRIP,
        "[tape]\n" + GRIP,
        GRIP + "\n[tape]\nbuild_up_mm = 0.2\n",
    ],
)
def test_a_list_with_another_tape_keeps_its_grips(text: str) -> None:
    again = with_tape(text, TAPE)
    was, now = (read_toml(t.encode(), StockList, file="s").to_stock() for t in (text, again))
    assert now.grips == was.grips
    assert now.tape.build_up_mm == pytest.approx(TAPE.build_up_mm, abs=5e-6)
    assert (now.tape.build_up_se_mm, now.tape.double_sided_se_mm) == (0.004, None)
    assert now.tape.overlap_mm == 2.0
    assert with_tape(again, now.tape) == again


def test_a_club_sheet_says_how_the_club_is_held(tmp_path: Path) -> None:
    file = tmp_path / "club.toml"
    file.write_text('mark = "p"\nfamily = "putter"\ngrip_style = "cross-handed"\nglove = "none"\n', "utf-8")
    club = load_club(file).to_club()
    assert (club.grip_style, club.glove) == ("cross-handed", "none")
