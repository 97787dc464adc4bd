"""`evenground body` from outside: its JSON, its sentences, its picture, its exit status."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from evenground.body.sizes import SIDED, SIZE_NAMES, SIZES
from evenground.capture.body_file import BodyTable, SideTable
from evenground.cli import app
from evenground.errors import EvengroundError
from evenground.example import example_bundle

PAGE = Path(__file__).parents[2] / "docs" / "formats" / "body.md"
SAMPLE = PAGE.read_text("utf-8").partition("```toml\n")[2].partition("```")[0]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "body.toml"
    path.write_text(SAMPLE, "utf-8")
    return path


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(app, ["body", *map(str, arguments)])


def test_the_sample_of_the_page_gives_the_keys_of_the_page(file: Path) -> None:
    done = run(file, "--reference", "men", "--json")
    assert done.exit_code == 0
    said = json.loads(done.stdout)
    assert set(said) == {
        "sizes",
        "mass_kg",
        "mass_expected_kg",
        "warnings",
        "asks",
        "predicted",
        "reference",
        "notes",
        "hip_joints",
    }
    assert said["warnings"] == []
    assert {"name", "side", "size_mm", "expected_mm", "off_sd", "band"} == set(said["sizes"][0])
    assert [(s["name"], s["side"]) for s in said["sizes"]][-2:] == [
        ("foot_length", "left"),
        ("foot_length", "right"),
    ]


def test_a_slip_is_told_in_one_sentence(file: Path) -> None:
    file.write_text(SAMPLE.replace("[846, 849]", "[746, 749]"), "utf-8")
    done = run(file, "--reference", "men")
    assert done.exit_code == 0  # warned, not refused
    assert "Wrist height 748 mm is" in done.stdout
    assert "SD too short for the other sizes" in done.stdout


def test_a_bundle_brings_hands_age_and_table(tmp_path: Path) -> None:
    done = run(example_bundle(), "--json")
    said = json.loads(done.stdout)
    assert said["reference"] == "women"
    assert ("hand_length", "left") in {(s["name"], s["side"]) for s in said["sizes"]}
    assert "held against ranges only" in run(example_bundle(), "--age", "70").stdout


def test_several_files_tell_the_technical_error(file: Path) -> None:
    done = run(file, file, "--json")
    said = json.loads(done.stdout)
    assert len(said["bodies"]) == 2
    # By hand: twice the pair (846, 849), sum of d^2 = 18 over 2 * 2.
    assert said["technical_error"]["wrist_height"]["tem_mm"] == pytest.approx((18 / 4) ** 0.5)
    assert "technical error" in run(file, file).stdout


def test_the_figure_is_drawn_with_measured_and_predicted_sizes(file: Path, tmp_path: Path) -> None:
    picture = tmp_path / "figure.svg"
    assert run(file, "--reference", "men", "--picture", picture).exit_code == 0
    assert picture.read_text("utf-8").startswith("<?xml")
    assert run(file, "--picture", picture).exit_code == 2  # no table, nothing to draw the rest with


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("stature_mm = 0", "0 is not allowed. It has to be more than 5 mm"),
        ("stature_mm = 17800", "17800 is not allowed. It has to be less than 3000 mm"),
        ('stature = "178"', '"178" cannot be read as a length: it has no unit'),
        ('stature_mm = "178 cm"', 'write stature = "'),
        ("mass_kg = 900", "less than 350 kg"),
        ('shoe_size = "42"', "is no size with one of the systems"),
        ("statur_mm = 1780", "Did you mean stature_mm?"),
        ("[left]\nstature_mm = 1780", "This key is not known"),
        ('[limbs]\n"third arm" = "absent"', "not one of the choices"),
    ],
)
def test_bad_input_gets_one_clear_sentence(tmp_path: Path, line: str, said: str) -> None:
    file = tmp_path / "bad.toml"
    file.write_text(line, "utf-8")
    done = run(file)
    assert isinstance(done.exception, EvengroundError)
    assert said in str(done.exception)
    assert "\n" not in str(done.exception)


def test_wrong_usage_is_told_apart(file: Path) -> None:
    assert run(file, "--reference", "other").exit_code == 2
    assert run().exit_code == 2


def test_the_file_has_every_size_of_the_catalogue() -> None:
    plain = {n.removesuffix("_mm") for n in BodyTable.model_fields if n.endswith("_mm")}
    sided = {n.removesuffix("_mm") for n in SideTable.model_fields}
    assert (plain, sided) == (set(SIZE_NAMES), set(SIDED))
    assert set(SIZES) == set(SIZE_NAMES)
