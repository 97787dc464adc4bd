"""`evenground grip` from outside: its JSON, its table, its exit status."""

import json
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from typer.testing import CliRunner

from evenground.capture.fields import read_toml
from evenground.capture.studio_file import StudioFile
from evenground.cli import app
from evenground.errors import EvengroundError

STOCK = """
[[grips]]
mark = "A"
length_mm = 267
mass_g = 50
core_mm = 14.73
[[grips.sections]]
station_mm = 40
outside_mm = 23.0
[[grips.sections]]
station_mm = 230
outside_mm = 19.8
"""
CLUB = 'mark = "7"\nfamily = "irons"\nbutt_upper_mm = 15.2\nbutt_lower_mm = 14.6\n'


@pytest.fixture
def bench(tmp_path: Path) -> list[str]:
    stock, club = tmp_path / "stock.toml", tmp_path / "club.toml"
    stock.write_text(STOCK, "utf-8")
    club.write_text(CLUB, "utf-8")
    return ["--stock", str(stock), "--club", str(club)]


def test_the_json_has_the_keys_that_others_rely_on(bench: list[str]) -> None:
    done = CliRunner().invoke(app, ["grip", "--upper-mm", "23.6", "--lower-mm", "22", *bench, "--json"])
    assert done.exit_code == 0
    said = json.loads(done.stdout)
    assert set(said["wanted"]) == {"upper_mm", "lower_mm"}
    assert said["wanted"]["upper_mm"] == {"value": 23.6, "se": 0.4, "dof": None, "n": 1, "unit": "mm"}
    (build,) = said["builds"]
    assert {"grip", "layers", "built_mm", "error_mm", "taper_mm", "added_mass_g"} <= set(build)
    assert {"swing_weight_points", "conforming", "notes"} <= set(build)
    assert set(build["layers"]) == set(build["built_mm"]) == {"upper", "lower"}
    assert build["conforming"] is True
    assert build["swing_weight_points"] is None


def test_hands_lead_to_the_same_place_as_their_diameters(bench: list[str]) -> None:
    hands = ["--upper-hand-mm", "193.3", "--upper-finger-mm", "76.8"]
    hands += ["--lower-hand-mm", "193.3", "--lower-finger-mm", "76.8"]
    by_hand = CliRunner().invoke(app, ["grip", *hands, *bench, "--json"])
    by_size = CliRunner().invoke(
        app, ["grip", "--upper-mm", "22.86", "--lower-mm", "21.06", *bench, "--json"]
    )
    assert json.loads(by_hand.stdout)["builds"] == json.loads(by_size.stdout)["builds"]


def test_the_table_says_sizes_with_their_errors_and_no_size_names(bench: list[str]) -> None:
    done = CliRunner().invoke(app, ["grip", "--upper-mm", "23.6", "--lower-mm", "22", *bench])
    assert done.exit_code == 0
    assert "23.60 mm (59.5/64 in), give or take 0.8 mm" in done.stdout
    assert "±" in done.stdout
    assert "Measure after fitting." in done.stdout
    assert not {"standard", "midsize", "jumbo", "oversize", "undersize"} & set(done.stdout.lower().split())


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["--upper-mm", "23", "--upper-hand-mm", "190"],
        ["--upper-hand-mm", "190"],
        ["--upper-mm", "23", "--stock", "x.toml"],
        ["--upper-mm", "wide"],
        ["--upper-mm", "23", "--picture", "x.svg"],
        ["--upper-mm", "23", "--style", "backwards"],
    ],
)
def test_wrong_usage_exits_with_2(arguments: list[str]) -> None:
    assert CliRunner().invoke(app, ["grip", *arguments]).exit_code == 2


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--upper-mm", "0.9"], "0.9 mm is outside 12 to 60 mm; it may be in inches"),
        (["--upper-mm", "nan"], "nan mm is outside 12 to 60 mm"),
        (
            ["--upper-mm", "23", "--stock", "none.toml", "--club", "none.toml"],
            "none.toml: This file cannot be opened",
        ),
    ],
)
def test_what_is_understood_but_unusable_has_its_sentence(arguments: list[str], said: str) -> None:
    done = CliRunner().invoke(app, ["grip", *arguments])
    assert isinstance(done.exception, EvengroundError)  # `main` prints it and exits with 1
    assert said in str(done.exception)


HANDS = [
    *("--upper-hand-mm", "193.3", "--upper-finger-mm", "76.8"),
    *("--lower-hand-mm", "203.3", "--lower-finger-mm", "76.8"),
]


def wanted(*more: str) -> tuple[float, float | None]:
    done = CliRunner().invoke(app, ["grip", *HANDS, *more, "--json"])
    assert done.exit_code == 0, done.output
    said = json.loads(done.stdout)["wanted"]
    return said["upper_mm"]["value"], None if said["lower_mm"] is None else said["lower_mm"]["value"]


def test_hands_stand_by_place_whatever_the_style() -> None:
    assert wanted() == wanted("--style", "cross-handed") == pytest.approx((22.86, 22.86 + 0.28 - 1.8))
    upper, lower = wanted("--style", "lead hand only")
    assert upper == pytest.approx(22.86)
    assert lower is None


def test_a_glove_is_on_the_lead_hand_which_a_cross_handed_grip_puts_below() -> None:
    upper, lower = 22.86, 22.86 + 0.28 - 1.8
    assert wanted("--glove", "none") == pytest.approx((upper + 1.0, lower))
    assert wanted("--glove", "none", "--style", "cross-handed") == pytest.approx((upper, lower + 1.0))
    assert wanted("--glove", "none", "--glove-mm", "0.4") == pytest.approx((upper + 0.8, lower))


def test_a_sore_hand_is_marked_and_said() -> None:
    done = CliRunner().invoke(app, ["grip", *HANDS, "--sore", "lower"])
    assert "comfort outranks size" in done.stdout
    assert json.loads(CliRunner().invoke(app, ["grip", *HANDS, "--sore", "lower", "--json"]).stdout)[
        "comfort_first"
    ]


def test_the_best_build_is_drawn_at_true_size(bench: list[str], tmp_path: Path) -> None:
    out = tmp_path / "grip.svg"
    sizes = ["--upper-mm", "23.6", "--lower-mm", "22"]
    done = CliRunner().invoke(app, ["grip", *sizes, *bench, "--picture", str(out)])
    assert done.exit_code == 0
    drawn = ET.fromstring(out.read_text("utf-8"))  # noqa: S314 - our own file
    # 267 mm of grip, 12 mm of shaft beyond it, and 8 mm of room to either side with the drawing's own edges.
    assert float(drawn.attrib["width"].removesuffix("pt")) * 25.4 / 72 == pytest.approx(
        267 + 12 + 2 * 8 + 5, abs=3
    )
    bad = CliRunner().invoke(app, ["grip", *sizes, *bench, "--picture", str(tmp_path / "grip.png")])
    assert "ends in .svg or .pdf" in str(bad.exception)


def fits_text(count: int) -> str:
    lines = ["player,hand,length_mm,finger_mm,diameter_mm"]
    for i in range(count):
        length, finger = 180 + 2 * i, 70 + (7 * i) % 11
        lines.append(
            f"p{i},upper,{length},{finger},{23.4 + 0.09 * (finger - 76.8) + 0.01 * ((3 * i) % 5):.2f}"
        )
        lines.append(f"p{i},lower,{length + 1},{finger},{22.3 + 0.09 * (finger - 76.8):.2f}")
    return "\n".join(lines) + "\n"


def test_a_studio_s_own_model_is_fitted_told_and_used(tmp_path: Path) -> None:
    file = tmp_path / "fits.csv"
    file.write_text(fits_text(12), "utf-8")
    told = CliRunner().invoke(app, ["grip", "--fits", str(file)])
    assert told.exit_code == 0
    assert "use your own" in told.stdout
    block = told.stdout[told.stdout.index("[grip_model]") :]
    model = read_toml(f"format = 1\n{block}".encode(), StudioFile, file="studio.toml").grip_model
    assert model is not None
    assert model.at_reference_mm == pytest.approx(23.4, abs=0.15)
    assert model.taper_mm == pytest.approx(1.1, abs=0.2)
    assert wanted("--fits", str(file))[0] == pytest.approx(model.at_reference_mm)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (fits_text(5), "at least 12 hands of 8 players are needed"),
        ("player,hand,length_mm,finger_mm\n", "The columns do not fit"),
        (
            fits_text(12).replace("p3,upper,186", "p3,middle,186"),
            "line 8, hand: 'middle' is not allowed here",
        ),
        (fits_text(12).replace("p3,upper,186", "p3,upper,18.6"), "line 8, length_mm: '18.6' is not allowed"),
        (fits_text(12).replace("p3,upper,", ",upper,"), "line 8, player: The value is missing"),
    ],
)
def test_fits_that_cannot_be_used_have_their_sentence(text: str, said: str, tmp_path: Path) -> None:
    file = tmp_path / "fits.csv"
    file.write_text(text, "utf-8")
    done = CliRunner().invoke(app, ["grip", "--fits", str(file)])
    assert isinstance(done.exception, EvengroundError)
    assert said in str(done.exception)
