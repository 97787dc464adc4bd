"""Posture geometry against a real person's static markers: dos Santos et al. 2017, PeerJ 5:e3626, CC BY 4.0.

The distances and angles were worked out with the data set's README; axes there are X ahead, Y up, Z to the
right.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from evenground.floor import line_deg
from evenground.measure.feet import toe_out_deg
from evenground.measure.side_view import SidePhoto, measure_side

pytestmark = pytest.mark.data


@pytest.fixture(scope="module")
def markers(data_dir: Path) -> dict[str, np.ndarray]:
    rows = csv.DictReader((data_dir / "pds" / "static_markers.csv").read_text("utf-8").splitlines())
    return {r["marker"]: np.array([float(r[f"{axis}_mm"]) for axis in "xyz"]) for r in rows}


def floor_mm(marker: np.ndarray) -> tuple[float, float]:
    """From the laboratory's axes to ours: x to the right, y ahead."""
    return float(marker[2]), float(marker[0])


def apart(one: np.ndarray, other: np.ndarray) -> float:
    return float(np.linalg.norm(one - other))


def middle(*some: np.ndarray) -> np.ndarray:
    return np.asarray(np.mean(some, axis=0))


def test_distances_between_landmarks(markers: dict[str, np.ndarray]) -> None:
    m = markers
    assert apart(m["R.Shoulder"], m["L.Shoulder"]) == pytest.approx(389.4, abs=0.05)
    assert apart(m["R.ASIS"], m["L.ASIS"]) == pytest.approx(250.3, abs=0.05)
    assert apart(m["R.GTR"], m["L.GTR"]) == pytest.approx(344.1, abs=0.05)
    right, left = (middle(m[f"{s}.Ankle"], m[f"{s}.Ankle.Medial"]) for s in "RL")
    assert apart(right, left) == pytest.approx(293.1, abs=0.05)
    assert m["R.Heel"][2] - m["L.Heel"][2] == pytest.approx(285.7, abs=0.05)
    assert apart(middle(m["R.Knee"], m["R.Knee.Medial"]), right) == pytest.approx(417.0, abs=0.05)


@pytest.mark.parametrize(("side", "toe_out"), [("right", 5.13), ("left", 1.90)])
def test_foot_axis_from_heel_to_second_toe_joint(
    markers: dict[str, np.ndarray], side: str, toe_out: float
) -> None:
    letter = side[0].upper()
    heel, toe = (np.array(floor_mm(markers[f"{letter}.{n}"])) for n in ("Heel", "MT2"))
    assert toe_out_deg(heel, toe, "right" if side == "right" else "left") == pytest.approx(toe_out, abs=0.005)


def test_hip_line_seen_from_above(markers: dict[str, np.ndarray]) -> None:
    # Plus: the right side further ahead, which is anti-clockwise from above.
    assert line_deg(floor_mm(markers["L.ASIS"]), floor_mm(markers["R.ASIS"])) == pytest.approx(
        -2.57, abs=0.005
    )


def test_line_of_the_back_from_the_side(markers: dict[str, np.ndarray]) -> None:
    hip = middle(markers["R.PSIS"], markers["L.PSIS"])
    points = {
        "hip": hip[:2],
        "shoulder": markers["C7"][:2],
        "heel": markers["R.Heel"][:2],
        "toe_tip": markers["R.MT2"][:2],
    }
    found = measure_side(SidePhoto(points=points, unit="mm"))
    assert found.trunk_deg is not None
    assert found.trunk_deg.value == pytest.approx(2.21, abs=0.005)
