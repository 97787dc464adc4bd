"""`evenground ground FILE --guess` proposes a layout that `--layout` then takes."""

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from evenground.cli import app
from evenground.cli.ground_guess import PitchTextError
from evenground.simulate.mat import Mat, Standing, simulate_mat

RUN = CliRunner()


@pytest.fixture
def export(tmp_path: Path) -> Path:
    """One frame as a mat's window shows it: toes on top, decimal commas, a word ahead."""
    mat = Mat(rows=48, columns=64)
    made = simulate_mat(Standing(load_left_percent=58.0), mat, None, rng=np.random.default_rng(8)).recording
    lines = [";".join(f"{v:.2f}".replace(".", ",") for v in row) for row in made.cells[0][::-1]]
    path = tmp_path / "export.txt"
    path.write_text("pressure in kPa, pitch 8 mm\n" + "\n".join(lines), "utf-16")
    return path


def test_a_guessed_layout_describes_the_stance(export: Path, tmp_path: Path) -> None:
    layout = tmp_path / "mat.toml"
    shown = RUN.invoke(app, ["ground", str(export), "--guess", "--write-layout", str(layout)])
    assert shown.exit_code == 0, shown.output
    assert "left foot (lead)" in shown.stdout
    assert 'the file says "pitch 8 mm"' in shown.stdout
    assert "check this" in shown.stdout
    said = json.loads(RUN.invoke(app, ["ground", str(export), "--layout", str(layout), "--json"]).stdout)
    assert said["feet"]["left"]["load_percent"]["value"] == pytest.approx(58.0, abs=0.5)


def test_a_mirrored_guess_swaps_the_feet(export: Path, tmp_path: Path) -> None:
    layout, picture = tmp_path / "mat.toml", tmp_path / "mat.svg"
    asked = ["ground", str(export), "--guess", "--mirror", "--json"]
    told = RUN.invoke(app, [*asked, "--write-layout", str(layout), "--picture", str(picture)])
    plain = json.loads(told.stdout)
    assert plain["layout"]["first_column"] == "right"
    assert {"key", "value", "why", "trust"} == set(plain["reasons"][0])
    assert picture.read_text("utf-8").startswith("<?xml")
    said = json.loads(RUN.invoke(app, ["ground", str(export), "--layout", str(layout), "--json"]).stdout)
    assert said["feet"]["right"]["load_percent"]["value"] == pytest.approx(58.0, abs=0.5)


@pytest.mark.parametrize("text", ["wide", "0.1", "8x9x10"])
def test_a_pitch_that_is_none_is_refused(export: Path, text: str) -> None:
    refused = RUN.invoke(app, ["ground", str(export), "--guess", "--pitch-mm", text])
    assert isinstance(refused.exception, PitchTextError)
    assert f'"{text}" is no pitch' in str(refused.exception)
