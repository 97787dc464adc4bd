"""The ground page shows each placement as the mat saw it, with its figures or why it was refused."""

import json
import re
from pathlib import Path
from uuid import uuid4

import numpy as np
import pytest

from evenground.capture.parquet import write_recording
from evenground.simulate.mat import Mat, Standing, simulate_mat
from evenground.simulate.things import Thing
from tests.studio.pages.conftest import Desk

MAT = Mat(rows=56, columns=80)


def upload(desk: Desk, folder: Path, standing: Standing, name: str = "stand.parquet") -> None:
    made = simulate_mat(standing, MAT, None, rng=np.random.default_rng(5), name=name)
    write_recording(made.recording, folder / name)
    sent = json.dumps({"id": str(uuid4()), "stance": "fitted", "footwear": "barefoot"})
    with (folder / name).open("rb") as file:
        answer = desk.client.post(f"{desk.at}send/recording/", {"sent": sent, "recording": file})
    assert answer.status_code == 200, answer.content


def pictures(page: str) -> list[str]:
    part = page.split('id="part-pictures"')[1].split('id="part-', maxsplit=1)[0]
    return re.findall(r"<figure>.*?</figure>", part, re.DOTALL)


def test_a_placement_is_drawn_with_axes_contours_and_its_figures(desk: Desk, tmp_path: Path) -> None:
    upload(desk, tmp_path, Standing(width_mm=280.0, load_left_percent=56.0, toe_out_left_deg=18.0))
    page = desk.page("ground")
    (shown,) = pictures(page)
    assert "Placement 1: fitted, barefoot" in shown
    assert shown.count("s-band") >= 2  # ground within the outer contour, one a foot and more for toes
    assert shown.count("s-dash") == 2  # axes
    for figure in ("280 ± 1 mm", "18 ± 1°", "56 ± 1 %", "left, lead", "right, trail"):
        assert figure in shown
    assert "told by place, and the shapes agree" in page


def test_a_refused_placement_is_drawn_without_feet_and_says_why(desk: Desk, tmp_path: Path) -> None:
    club = Thing(at_mm=(-40.0, 150.0), force_n=15.0)
    upload(desk, tmp_path, Standing(things=(club,)))
    page = desk.page("ground")
    (shown,) = pictures(page)
    assert "repeat" in shown
    assert "s-dash" not in shown
    assert "Something besides the player&#x27;s feet presses on the mat." in page


@pytest.mark.parametrize("limb", ["left foot", "left leg"])
def test_a_player_with_one_foot_gets_that_foot_alone(desk: Desk, tmp_path: Path, limb: str) -> None:
    desk.type("limb", "state", "absent", limb=limb)
    upload(desk, tmp_path, Standing(missing="left"))
    page = desk.page("ground")
    (shown,) = pictures(page)
    assert shown.count("s-dash") == 1
    assert "left, lead" not in shown
    assert "One foot by design: nothing is said of the left one." in page
    assert "usable" in page
