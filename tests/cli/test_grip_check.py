"""`evenground grip-check` from outside."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from evenground.cli import app
from evenground.errors import EvengroundError

HEAD = "pair,club,grip,hip_line_deg,knee_flex_lead_deg,glove\n"


def pairs(club: str, *values: tuple[float, float]) -> str:
    return "".join(
        f"{n},{club},own,{own},22,yes\n{n},{club},proposed,{proposed},20,yes\n"
        for n, (own, proposed) in enumerate(values, 1)
    )


CLEAR = pairs("7 iron", (6, 1), (7, 1.5), (6.5, 1), (6, 0.5), (7, 1))
UNTOLD = pairs("driver", (3, 2.5), (2, 3), (4, 2.5))


def run(tmp_path: Path, rows: str, *more: str) -> str:
    path = tmp_path / "grips.csv"
    path.write_text(rows, "utf-8")
    done = CliRunner().invoke(app, ["grip-check", str(path), *more], catch_exceptions=False)
    assert done.exit_code == 0
    return done.stdout


def test_the_json_has_the_keys_that_others_rely_on(tmp_path: Path) -> None:
    said = json.loads(run(tmp_path, HEAD + CLEAR + UNTOLD, "--sem-deg", "1", "--json"))
    assert set(said) == {"comparisons", "notes"}
    iron, driver = said["comparisons"]
    assert (iron["word"], iron["prefer"], iron["more_pairs"]) == ("prefer", "proposed", None)
    assert set(iron["difference_deg"]) == {"value", "se", "dof", "n", "unit"}
    assert iron["knees"][0]["difference_deg"]["value"] == -2
    assert iron["pairs_deg"][0] == [1, 6, 1]
    assert (driver["word"], driver["prefer"]) == ("keep testing", None)
    assert driver["more_pairs"] >= 1


def test_the_table_gives_the_verdict_and_why(tmp_path: Path) -> None:
    said = run(tmp_path, HEAD + CLEAR + UNTOLD, "--sem-deg", "1")
    assert "prefer the proposed grip" in said
    assert "keep testing (" in said
    assert "7 iron, both: lead knee -2.0 ±" in said


def test_what_matters_may_be_set(tmp_path: Path) -> None:
    same = HEAD + pairs("7 iron", (3, 3.5), (3.5, 3), (3, 3), (3.5, 3.5), (3, 3.5), (3.5, 3))
    assert json.loads(run(tmp_path, same, "--json"))["comparisons"][0]["word"] == "no real difference"
    fine = json.loads(run(tmp_path, same, "--matters-deg", "0.2", "--json"))["comparisons"][0]
    assert fine["word"] == "keep testing"


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (HEAD + pairs("7", (1, 2)), "1 complete pair of trials cannot show a difference"),
        (HEAD + CLEAR + "9,7 iron,own,1,20,no\n", "The glove was on in 10 trials and off in 1."),
        (HEAD + CLEAR + "1,7 iron,own,1,20,yes\n", "The own grip stands twice in this pair."),
        (
            HEAD + "1,7,new,1,20,yes\n",
            "grips.csv line 2, grip: 'new' is not allowed here. Give own or proposed.",
        ),
        (
            HEAD + "1,7,own,450,20,yes\n",
            "hip_line_deg: '450' is not allowed here. Give degrees from -90 to 90.",
        ),
        (HEAD + "1,7,own,1,20,perhaps\n", "glove: 'perhaps' is not allowed here. Give yes or no."),
    ],
)
def test_what_cannot_be_used_is_said_in_one_sentence(tmp_path: Path, rows: str, words: str) -> None:
    path = tmp_path / "grips.csv"
    path.write_text(rows, "utf-8")
    done = CliRunner().invoke(app, ["grip-check", str(path)])
    assert isinstance(done.exception, EvengroundError)
    assert words in str(done.exception)


def test_each_comparison_is_drawn_into_its_file(tmp_path: Path) -> None:
    run(tmp_path, HEAD + CLEAR + UNTOLD, "--chart", str(tmp_path / "grip.pdf"))
    assert sorted(p.name for p in tmp_path.glob("*.pdf")) == ["grip-2.pdf", "grip.pdf"]
