"""`simulate hand|tags|board|posture`: what the measuring commands make of it lies within its stated error."""

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from evenground.capture.camera_file import read_camera
from evenground.cli import app


def told(*command: str | Path) -> Any:
    done = CliRunner().invoke(app, [*map(str, command), "--json"])
    assert done.exit_code == 0, done.output
    return json.loads(done.stdout)


def made(*command: str | Path) -> None:
    done = CliRunner().invoke(app, ["simulate", *map(str, command)])
    assert done.exit_code == 0, done.output


def near(estimate: dict[str, float], truth: float) -> bool:
    """Within three standard errors: a seeded draw, so that it is the same every time."""
    return abs(estimate["value"] - truth) <= 3.0 * estimate["se"]


def test_a_drawn_hand_is_measured_to_its_truth(tmp_path: Path) -> None:
    made("hand", tmp_path / "hand.jpg", "--seed", "3", "--tilt-deg", "5")
    truth = json.loads((tmp_path / "hand.json").read_text("utf-8"))
    found = told("hand", tmp_path / "hand.jpg", "--scale", "card", "--camera-mm", str(truth["camera_mm"]))
    sizes = found["sizes"]
    assert sizes["side"] == truth["side"]
    assert near(sizes["hand_length_mm"], truth["hand_length_mm"])
    assert near(sizes["hand_breadth_mm"], truth["hand_breadth_mm"])


def test_a_drawn_bar_is_measured_to_its_truth_by_the_lens_beside_it(tmp_path: Path) -> None:
    photo, lens = tmp_path / "bar.jpg", tmp_path / "lens.json"
    made("tags", photo, "--seed", "4", "--handed", "left", "--camera", lens)
    truth = json.loads((tmp_path / "bar.json").read_text("utf-8"))
    assert (
        truth["angle_deg"] < -10.0
    )  # seed 4 turns the bar counter-clockwise: closed for a left-handed player
    hips = told("bar", photo, "--handed", "left", "--camera", lens)["angles"]["hip line"]
    assert near(hips["angle_deg"], truth["angle_deg"])
    assert hips["length_mm"]["value"] == pytest.approx(truth["length_mm"], abs=3.0)


def test_drawn_boards_give_their_lens_back(tmp_path: Path) -> None:
    made("board", tmp_path / "b", "--count", "6", "--seed", "2")
    truth = json.loads((tmp_path / "b" / "truth.json").read_text("utf-8"))
    photos = sorted((tmp_path / "b").glob("*.png"))
    done = CliRunner().invoke(
        app, ["camera", "calibrate", *map(str, photos), "--out", str(tmp_path / "lens.json")]
    )
    assert done.exit_code == 0, done.output
    assert read_camera(tmp_path / "lens.json").focal_px[0] == pytest.approx(truth["focal_px"], rel=0.005)


@pytest.mark.parametrize("more", [(), ("--faces-left",), ("--reference", "women")])
def test_a_posed_figure_is_measured_to_its_truth(more: tuple[str, ...], tmp_path: Path) -> None:
    made("posture", tmp_path / "p.json", "--seed", "5", *more)
    truth = json.loads((tmp_path / "p.truth.json").read_text("utf-8"))
    found = told("posture", tmp_path / "p.json")["figures"]
    for name in ("trunk_deg", "knee_flex_deg", "arm_hang_deg", "hands_height_mm"):
        assert near(found[name], truth[name]), name


def test_a_picture_of_no_known_kind_is_wrong_usage(tmp_path: Path) -> None:
    done = CliRunner().invoke(app, ["simulate", "hand", str(tmp_path / "hand.gif")])
    assert done.exit_code == 2
    assert "neither in .png nor in .jpg" in done.output
    assert list(tmp_path.iterdir()) == []
