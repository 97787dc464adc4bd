"""Force plates out of C3D files: our CoP against the truth and against the reading library's own."""

from pathlib import Path

import numpy as np
import pytest

from evenground.capture.c3d import C3dError, _eight_sensors, read_c3d
from tests.capture.c3d_samples import Laid, written

ezc3d = pytest.importorskip("ezc3d")


@pytest.mark.parametrize(
    "laid", [Laid(), Laid(z_up=False, sign=-1.0), Laid(sign=-1.0, units="m")], ids=["up", "down", "push"]
)
def test_the_point_of_every_plate_comes_back(laid: Laid, tmp_path: Path) -> None:
    cops = written(tmp_path / "a.c3d", laid)
    recording = read_c3d((tmp_path / "a.c3d").read_bytes(), file="a.c3d")
    assert [p.foot for p in recording.plates] == ["left", "right"]
    assert recording.rate_hz == 100.0
    for plate, cop in zip(recording.plates, cops, strict=True):
        assert plate.cop_mm == pytest.approx(cop, abs=1e-3)  # the file holds single precision
        assert plate.force_n.min() > 300.0


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_the_library_agrees_where_z_points_down_and_is_off_where_it_points_up(
    sign: float, tmp_path: Path
) -> None:
    # ezc3d's own CoP; it takes every origin for one above a z-down plate's sensors (reference/stack.md)
    apart = {}
    for z_up in (False, True):
        path = tmp_path / "a.c3d"
        written(path, Laid(z_up=z_up, sign=sign))
        theirs = ezc3d.c3d(str(path), extract_forceplat_data=True)["data"]["platform"]
        ours = read_c3d(path.read_bytes(), file="a.c3d").plates
        gaps = [
            np.abs(t["center_of_pressure"][:2].T - o.cop_mm).max() for t, o in zip(theirs, ours, strict=True)
        ]
        apart[z_up] = max(gaps)
    assert apart[False] < 1e-3
    assert apart[True] > 2.0


def test_the_foot_follows_where_the_player_looks(tmp_path: Path) -> None:
    cops = written(tmp_path / "a.c3d", Laid())
    raw = (tmp_path / "a.c3d").read_bytes()
    behind = read_c3d(raw, file="a.c3d", facing="-y")
    assert behind.plates[0].cop_mm == pytest.approx(-cops[1], abs=1e-3)  # the other plate is on the left now
    aside = read_c3d(raw, file="a.c3d", facing="x")
    assert aside.plates[0].cop_mm[:, 1] == pytest.approx(cops[0][:, 0], abs=1e-3)


def test_eight_sensors_give_the_point_of_a_push() -> None:
    # by hand: 600 N on four posts at 120 and 200 mm, shared by the lever so that the point is (40, -50) mm
    share_x, share_y = (1 + 40.0 / 120.0) / 2.0, (1 - 50.0 / 200.0) / 2.0
    posts = [
        share_x * share_y,
        (1 - share_x) * share_y,
        (1 - share_x) * (1 - share_y),
        share_x * (1 - share_y),
    ]
    signals = np.array([[0.0, 0.0, 0.0, 0.0, *(600.0 * p for p in posts)]])
    force, place = _eight_sensors(signals, np.array([120.0, 200.0, 45.0]), {}, 0)
    assert force.tolist() == pytest.approx([600.0])
    assert place[0] == pytest.approx([40.0, -50.0])


@pytest.mark.parametrize(
    ("laid", "said"), [(Laid(kind=9), "plates of type 9, 9 are not read"), (Laid(used=0), "no force plates")]
)
def test_files_without_plates_that_can_be_used_are_refused(laid: Laid, said: str, tmp_path: Path) -> None:
    written(tmp_path / "a.c3d", laid)
    with pytest.raises(C3dError, match=said):
        read_c3d((tmp_path / "a.c3d").read_bytes(), file="a.c3d")


def test_damaged_files_are_refused(tmp_path: Path) -> None:
    written(tmp_path / "a.c3d", Laid())
    with pytest.raises(C3dError, match="damaged or no C3D file"):
        read_c3d((tmp_path / "a.c3d").read_bytes()[:700], file="a.c3d")
