"""`evenground hand` with a point moved: sizes follow it, what was found is told beside it."""

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from typer.testing import CliRunner

from evenground.capture.hand_points import NoSuchMoveError, moved_points
from evenground.cli import app
from evenground.simulate.hands import render_hand


def test_a_moved_wrist_moves_the_length_and_narrows_its_error(tmp_path: Path) -> None:
    hand = render_hand(np.random.default_rng(3))
    Image.fromarray(hand.rgb).save(tmp_path / "hand.png")
    command = ["hand", str(tmp_path / "hand.png"), "--scale", "card", "--json"]
    found = json.loads(CliRunner().invoke(app, command).stdout)
    spots = found["landmarks"]["found_px"]
    ends = ("wrist, thumb side", "wrist, little side")
    along = np.array(spots["middle tip"]) - np.mean([spots[end] for end in ends], axis=0)
    moved = {end: np.array(spots[end]) - 0.05 * along for end in ends}
    for end, (x, y) in moved.items():
        command += ["--move", f"{end}={x:.1f},{y:.1f}"]
    after = json.loads(CliRunner().invoke(app, command).stdout)
    longer = after["sizes"]["hand_length_mm"]["value"] / found["sizes"]["hand_length_mm"]["value"]
    assert longer == pytest.approx(1.05, abs=0.004)  # the picture is seen a little from the side
    assert after["sizes"]["wrist_found"] == "placed"
    assert after["sizes"]["hand_length_mm"]["se"] < found["sizes"]["hand_length_mm"]["se"]
    assert after["landmarks"]["found_px"] == spots
    assert set(after["landmarks"]["moved_px"]) == set(ends)


@pytest.mark.parametrize(
    "text", ["nose=1,2", "middle tip=1", "middle tip", "middle tip=a,b", "ring tip=1,nan"]
)
def test_a_move_that_cannot_be_read_names_the_points(text: str) -> None:
    with pytest.raises(NoSuchMoveError, match="wrist, thumb side"):
        moved_points([text])
