import json
import re
import tomllib
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from evenground.cli import app

PAGE = Path(__file__).parents[2] / "docs" / "formats" / "study.md"
SAMPLE = PAGE.read_text("utf-8").partition("```csv\n")[2].partition("```")[0]


def run(tmp_path: Path, text: str, *options: str) -> Result:
    (tmp_path / "study.csv").write_text(text, "utf-8")
    return CliRunner().invoke(app, ["study", str(tmp_path / "study.csv"), *options])


def test_the_sample_of_the_format_page_is_worked_out_as_json(tmp_path: Path) -> None:
    ran = run(tmp_path, SAMPLE, "--of", "hip-line", "--json")
    found = json.loads(ran.stdout)
    # By hand: squares within the four cells 0.245, 0.405, 1.125, 0.72 over four degrees of freedom.
    assert found["studies"][""]["sem"]["value"] == pytest.approx((2.495 / 4) ** 0.5)
    assert found["studies"][""]["unit"] == "deg"
    assert found["agreement"] is None


def test_a_person_reads_the_sem_with_its_range_and_each_form_of_icc(tmp_path: Path) -> None:
    said = run(tmp_path, SAMPLE, "--of", "hip-line").stdout
    assert "error of one reading (SEM)           0.79 (0.47 to 2.27) deg" in said
    assert "ICC(2,1)" in said
    assert "ICC(3,k)" in said
    assert "one reading, any observer of the studio" in said


def long_study() -> str:
    lines = [f"{p},{k},{i + (k * 7 + i * 3) % 5}" for i, p in enumerate("ABCDEF") for k in (1, 2, 3)]
    return "\n".join(["person,repeat,value", *lines])


def test_a_study_put_into_use_changes_one_error_and_keeps_the_rest(tmp_path: Path) -> None:
    studio = tmp_path / "studio.toml"
    studio.write_text('format = 1\n[settings]\nname = "North Hall"\n[errors]\nball_mm = 4\n', "utf-8")
    ran = run(tmp_path, long_study(), "--of", "turn", "--into", str(studio), "--json")
    now = tomllib.loads(studio.read_text("utf-8"))
    sem = json.loads(ran.stdout)["studies"][""]["sem"]["value"]
    assert now["errors"]["turn_deg"] == pytest.approx(sem, rel=5e-3)
    assert now["errors"]["ball_mm"] == 4
    assert now["settings"]["name"] == "North Hall"
    assert "turn_between_observers_deg" not in now["errors"]


def test_too_few_repeats_are_not_put_into_use(tmp_path: Path) -> None:
    studio = tmp_path / "studio.toml"
    ran = run(tmp_path, SAMPLE, "--of", "turn", "--into", str(studio))
    assert "4 repeats to judge by" in str(ran.exception)
    assert not studio.exists()


def test_a_slip_of_the_pen_is_named_and_keeps_the_study_out_of_use(tmp_path: Path) -> None:
    slipped = long_study().replace("C,2,2", "C,2,50")
    assert slipped != long_study()
    assert "look at C, one observer, repeat 2: 50" in run(tmp_path, slipped).stdout
    ran = run(tmp_path, slipped, "--of", "turn", "--into", str(tmp_path / "studio.toml"))
    assert "C repeat 2" in str(ran.exception)


def test_two_methods_are_compared_one_less_the_other(tmp_path: Path) -> None:
    rows = [f"{i},{m},1,{i * 3 + a}" for i in range(5) for m, a in (("new", 2 + i % 2), ("old", 0))]
    ran = run(tmp_path, "\n".join(["person,method,repeat,value", *rows]), "--json")
    found = json.loads(ran.stdout)
    assert found["agreement"]["bias"]["value"] == pytest.approx(2.4)
    assert found["studies"] == {}


@pytest.mark.parametrize("ending", ["svg", "pdf"])
def test_the_picture_is_written_beside_the_answer(tmp_path: Path, ending: str) -> None:
    chart = tmp_path / f"study.{ending}"
    assert run(tmp_path, SAMPLE, "--of", "hip-line", "--chart", str(chart)).exit_code == 0
    assert chart.stat().st_size > 2000


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "There is no table to read: it is empty"),
        ("person,repeat\nA,1", r"line 1: The columns do not fit \(found: person, repeat\)"),
        ("person,repeat,value\nA,1,2.5\nA,1,2.6", "line 3, repeat: '1' is not allowed.*each repeat once"),
        ("person,repeat,value\nA,one,2.5", "line 2, repeat: 'one' is not.*whole number from 1"),
        ("person,repeat,value\nA,1,2.5 deg", "line 2, value: '2.5 deg' is not allowed here. Give a number"),
        ("person,repeat,value\n,1,2.5", "line 2, person: The value is missing"),
        ("person,repeat,value\nA,1,", "line 2, value: The value is missing"),
        ("person,repeat,value\nA,1,4\nB,1,3", "None of the 2 readings repeats another"),
        ("person,repeat,value\nA,1,4\nA,2,4", "coarser than the error"),
    ],
)  # fmt: skip
def test_what_cannot_be_a_study_gets_one_sentence(tmp_path: Path, text: str, said: str) -> None:
    ran = run(tmp_path, text)
    assert re.search(said, str(ran.exception))


def test_lines_without_a_value_are_counted_as_not_taken(tmp_path: Path) -> None:
    assert "1 line without a value: not taken" in run(tmp_path, SAMPLE + "C,Ana,1,\n").stdout


def test_a_comma_is_a_decimal_sign_where_semicolons_part_the_cells(tmp_path: Path) -> None:
    turned = SAMPLE.replace(",", ";").replace(".", ",")
    plain, other = (json.loads(run(tmp_path, text, "--json").stdout) for text in (SAMPLE, turned))
    assert plain == other


def test_putting_into_use_needs_to_know_what_was_measured(tmp_path: Path) -> None:
    assert run(tmp_path, SAMPLE, "--into", "studio.toml").exit_code == 2
