"""`evenground grip` from outside: its JSON, its table, its exit status."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

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
