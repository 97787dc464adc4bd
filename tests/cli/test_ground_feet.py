"""`evenground ground` for feet that are hard: one by design, what was noticed, and the picture."""

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from evenground.capture.parquet import write_recording
from evenground.cli import app
from evenground.simulate.mat import Mat, Standing, simulate_mat

RUN = CliRunner()


def stood(folder: Path, standing: Standing) -> str:
    made = simulate_mat(standing, Mat(rows=56, columns=80), None, rng=np.random.default_rng(8))
    write_recording(made.recording, folder / "stance.parquet")
    return str(folder / "stance.parquet")


def test_an_absent_foot_leaves_the_other_one_described_alone(tmp_path: Path) -> None:
    file = stood(tmp_path, Standing(missing="right", toe_out_left_deg=16.0))
    result = RUN.invoke(app, ["ground", file, "--absent", "right", "--json"])
    assert result.exit_code == 0, result.output
    said = json.loads(result.stdout)
    assert set(said["feet"]["right"].values()) == {None}
    assert said["feet"]["left"]["toe_out_deg"]["value"] == pytest.approx(16.0, abs=0.5)
    assert said["stance_width_mm"] == {"heel_centres": None, "inside": None, "outside": None}
    assert said["noticed"][0] == "One foot by design: nothing is said of the right one."


def test_the_table_says_how_left_was_told_from_right(tmp_path: Path) -> None:
    text = RUN.invoke(app, ["ground", stood(tmp_path, Standing(kind="shod"))]).stdout
    assert "Left and right are told by place; neither shape says which it is." in text


def test_feet_that_touch_are_measured_and_said_to(tmp_path: Path) -> None:
    file = stood(tmp_path, Standing(width_mm=66.0, toe_out_left_deg=14.0, toe_out_right_deg=14.0))
    said = json.loads(RUN.invoke(app, ["ground", file, "--json"]).stdout)
    assert said["noticed"][-1].startswith("The feet touch: cut along the line")
    assert said["stance_width_mm"]["heel_centres"]["value"] == pytest.approx(66.0, abs=3.0)


@pytest.mark.parametrize("suffix", [".svg", ".pdf"])
def test_the_picture_is_drawn_even_of_what_is_refused(tmp_path: Path, suffix: str) -> None:
    picture = tmp_path / f"mat{suffix}"
    args = ["ground", stood(tmp_path, Standing(missing="left")), "--picture", str(picture)]
    assert RUN.invoke(app, args).exit_code == 1
    assert picture.stat().st_size > 1000


def test_a_foot_cannot_be_absent_and_prosthetic(tmp_path: Path) -> None:
    args = ["ground", stood(tmp_path, Standing()), "--absent", "left", "--prosthetic", "left"]
    result = RUN.invoke(app, args)
    assert result.exit_code == 2
    assert "either absent or prosthetic" in result.output
