"""Ground figures against put-together standing pictures of real prints and against worked values."""

import csv
from pathlib import Path

import numpy as np
import pytest

from evenground.measure.contact import find_contact
from evenground.measure.feet import arch_index, toe_out_deg, toe_spacing_mm
from evenground.measure.ground import Ground, centre_of_pressure, describe
from evenground.measure.load_split import load_split
from evenground.measure.recording import FloatArray, MatRecording
from evenground.measure.sums import frame_sums, mean_map
from tests.sure import sure

# Prints: Pataky et al. 2011, Gait & Posture 33:418 (MUN104, MIT licence), average of 104 people, put
# together as standing pictures with known truth. The templates' own turn from heel to forefoot centroid:
OWN_LEFT_DEG, OWN_RIGHT_DEG = 5.22, 7.48


def snapshot(cells: FloatArray, pitch_mm: float = 5.0) -> MatRecording:
    return MatRecording(
        cells=cells[None],
        unit="kPa",
        pitch_x_mm=pitch_mm,
        pitch_y_mm=pitch_mm,
        rate_hz=None,
        time_s=np.zeros(1),
        name="picture",
    )


def picture(data_dir: Path, name: str) -> tuple[Ground, dict[str, float]]:
    folder = data_dir / "footpressure"
    with (folder / "stance_made_truth.csv").open(encoding="utf-8") as stream:
        row = next(r for r in csv.DictReader(stream) if r["name"] == name)
    cells = np.loadtxt(folder / f"{name}.csv", delimiter=",")
    return describe(snapshot(cells), handed="right"), {k: float(v) for k, v in row.items() if k != "name"}


@pytest.mark.data
@pytest.mark.parametrize("name", ["stance_made_1", "stance_made_2", "stance_made_3"])
def test_pictures_of_real_prints_give_back_how_they_were_put_together(data_dir: Path, name: str) -> None:
    ground, truth = picture(data_dir, name)
    left, right = ground.feet.left, ground.feet.right
    # tolerances of the issue: width 5 mm, toe-out 3 deg, load half a point, noise included
    assert sure(ground.stance_width_mm.heel_centres).value == pytest.approx(
        truth["heel_separation_mm"], abs=5.0
    )
    assert sure(left.toe_out_deg).value == pytest.approx(truth["left_toe_out_deg"] + OWN_LEFT_DEG, abs=3.0)
    assert sure(right.toe_out_deg).value == pytest.approx(truth["right_toe_out_deg"] + OWN_RIGHT_DEG, abs=3.0)
    assert sure(left.load_percent).value == pytest.approx(truth["left_load_pct"], abs=0.5)
    # not in the issue, ours: the picture's other truths, at what its README calls good
    assert sure(ground.fore_aft_offset_mm).value == pytest.approx(truth["left_heel_ahead_mm"], abs=1.0)
    assert ground.total_force_n is not None
    assert ground.total_force_n.value == pytest.approx(truth["total_n"], rel=0.005)


@pytest.mark.data
def test_noise_cut_at_zero_would_drag_the_load_without_removal(data_dir: Path) -> None:
    # README of the pictures: naive share of picture 3 is 46.109, truth 45.0
    ground, truth = picture(data_dir, "stance_made_3")
    cells = np.loadtxt(data_dir / "footpressure" / "stance_made_3.csv", delimiter=",")
    naive = 100.0 * cells[:, :64].sum() / cells.sum()
    assert naive == pytest.approx(truth["left_pct_after_noise"], abs=0.001)
    assert abs(sure(ground.feet.left.load_percent).value - 45.0) < 0.2 * abs(naive - 45.0)


@pytest.mark.data
@pytest.mark.parametrize("name", ["stance_made_1", "stance_made_2", "stance_made_3"])
def test_centre_of_pressure_of_the_pictures_is_the_given_one(data_dir: Path, name: str) -> None:
    # Between two heels the pictures differ by known amounts only, so the CoP from the mat's corner is
    # compared where it is measured from there: on the map with its floor taken off.
    _, truth = picture(data_dir, name)
    recording = snapshot(np.loadtxt(data_dir / "footpressure" / f"{name}.csv", delimiter=","))
    contact = find_contact(recording, recording.cells[0])
    feet = np.where(contact.left.region | contact.right.region, contact.load, 0.0)
    found = centre_of_pressure(feet.reshape(recording.cells.shape[1:]), 5.0, 5.0)
    assert found is not None
    # picture 3: 1.5 kPa in 1,400 cells is 1.4 N of 700, 0.2 % of the 530 mm between the feet's own CoPs
    assert found[0] == pytest.approx(truth["cop_col_mm"], abs=1.0)
    assert found[1] == pytest.approx(truth["cop_row_mm"], abs=1.0)


@pytest.mark.data
def test_a_mirrored_picture_swaps_the_feet_and_keeps_the_signs(data_dir: Path) -> None:
    # check-values foot-4: outward positive on both feet
    cells = np.loadtxt(data_dir / "footpressure" / "stance_made_2.csv", delimiter=",")
    plain = describe(snapshot(cells), handed="right")
    mirrored = describe(snapshot(np.ascontiguousarray(cells[:, ::-1])), handed="left")
    one, other = plain.feet.left, mirrored.feet.right
    assert sure(other.toe_out_deg).value == pytest.approx(sure(one.toe_out_deg).value, abs=1e-9)
    assert sure(other.load_percent).value == pytest.approx(sure(one.load_percent).value, abs=1e-9)
    assert sure(mirrored.heel_line_deg).value == pytest.approx(sure(plain.heel_line_deg).value, abs=1e-9)
    assert sure(mirrored.load_line_deg).value == pytest.approx(sure(plain.load_line_deg).value, abs=1e-9)
    assert sure(mirrored.cop_mm.x).value == pytest.approx(-sure(plain.cop_mm.x).value, abs=1e-9)


@pytest.mark.data
def test_force_of_a_real_step_is_the_one_that_the_recording_prints(data_dir: Path) -> None:
    # Telfer, R package pressuRe, sample recording (MIT): total_force_n as the recording itself prints it
    with np.load(data_dir / "footpressure" / "step_barefoot_5mm_100hz.npz") as step:
        pressure_kpa, printed_n = step["pressure_kpa"], step["total_force_n"]
    heaviest = int(printed_n.argmax())
    force_n = pressure_kpa[heaviest].sum(dtype=np.float64) * 25.0 / 1000.0
    assert force_n == pytest.approx(float(printed_n[heaviest]), abs=0.0051)  # printed digits
    found = centre_of_pressure(pressure_kpa[heaviest], 5.0, 5.0)
    assert found is not None
    assert 10.8 < found[1] < 248.4  # between where the README has the step's CoP start and end


@pytest.mark.data
def test_force_of_every_frame_of_a_real_step_is_the_one_that_the_recording_prints(data_dir: Path) -> None:
    # the same recording: all 106 frames within 0.01 N; the mean map over them gives the mean of the forces
    with np.load(data_dir / "footpressure" / "step_barefoot_5mm_100hz.npz") as step:
        pressure_kpa, printed_n = step["pressure_kpa"], step["total_force_n"]
    everywhere = np.ones((pressure_kpa[0].size, 1))
    force_n = frame_sums(pressure_kpa.astype(np.float64), everywhere)[:, 0] * 25.0 / 1000.0
    assert force_n.shape == (106,)
    assert np.abs(force_n - printed_n).max() < 0.01
    mean = mean_map(pressure_kpa.astype(np.float64))
    assert mean.sum() * 25.0 / 1000.0 == pytest.approx(printed_n.mean(), abs=0.01)


def test_load_and_cop_of_two_forces_are_the_worked_ones() -> None:
    # check-values cop-1: 420 N at x = -150 mm, 380 N at +150 mm
    frame = np.zeros((3, 31))
    frame[1, 0], frame[1, 30] = 420.0, 380.0
    found = centre_of_pressure(frame, 10.0, 10.0)
    assert found is not None
    assert found[0] - 15.5 * 10.0 == pytest.approx(-7.5, abs=1e-9)
    split = load_split(420.0, 380.0)
    assert split.left_percent == pytest.approx(52.5, abs=1e-9)
    assert split.difference_percent == pytest.approx(5.0, abs=1e-9)
    assert split.symmetry_index_percent == pytest.approx(10.0, abs=1e-9)


def test_an_empty_frame_has_no_centre_of_pressure() -> None:
    # check-values cop-2: "no contact", not (0, 0)
    assert centre_of_pressure(np.zeros((4, 4)), 5.0, 5.0) is None


def test_foot_lines_are_the_worked_ones() -> None:
    # check-values foot-1, foot-2, foot-3
    assert toe_out_deg(np.array([0.0, 0.0]), np.array([30.0, 180.0]), "right") == pytest.approx(
        9.462, abs=1e-3
    )
    assert toe_out_deg(np.array([0.0, 0.0]), np.array([-30.0, 180.0]), "left") == pytest.approx(
        9.462, abs=1e-3
    )
    assert toe_spacing_mm(170.0, 7.0, 265.0) == pytest.approx(234.591, abs=1e-3)
    assert arch_index(50.0, 25.0, 35.0) == pytest.approx(0.22727, abs=1e-5)
