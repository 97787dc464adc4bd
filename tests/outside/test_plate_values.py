"""Load, net CoP and sway from two force plates against dos Santos et al. 2017, and a mat's printed force."""

import csv
import gzip
import io
from pathlib import Path

import numpy as np
import pytest

from evenground.capture.cop_series import read_cop_series
from evenground.capture.layout import Layout
from evenground.capture.plate_series import PlateColumns, read_plate_series
from evenground.capture.recording import load_recording
from evenground.measure.plates import PlateRecording, describe_plates, net_cop_mm
from evenground.measure.recording import FloatArray
from evenground.measure.sway import spectral_mean_frequency_hz, sway
from tests.sure import sure

# dos Santos, Fukuchi, Fukuchi and Duarte 2017, PeerJ 5:e3626; Y is up, X ahead, Z to the right, metres.
TRIALS = ("PDS13OR1", "PDS13OR2", "PDS13CR1", "PDS13OF1", "PDS13CF1", "PDS13CF2")
COLUMNS = PlateColumns(plates=["Time", "LGRF_Y", "LCOP_Z", "LCOP_X", "RGRF_Y", "RCOP_Z", "RCOP_X"], unit="m")
# data/pds/README.md, worked out there from the same files: left share of the mean force, force in newtons
LEFT_PERCENT = dict(zip(TRIALS, (54.445, 49.993, 54.407, 51.704, 52.096, 51.555), strict=True))
TOTAL_N = dict(zip(TRIALS, (635.39, 635.32, 636.11, 650.62, 650.24, 650.65), strict=True))


def recorded(data_dir: Path, trial: str) -> tuple[PlateRecording, bytes]:
    raw = (data_dir / "pds" / f"{trial}grf.txt.gz").read_bytes()
    return read_plate_series(raw, COLUMNS, file=trial), raw


def theirs(raw: bytes) -> FloatArray:
    """The authors' own CoP of both plates, millimetres: to the right, ahead."""
    rows = csv.DictReader(io.StringIO(gzip.decompress(raw).decode()), delimiter="\t")
    return 1000.0 * np.array([[float(r["COPNET_Z"]), float(r["COPNET_X"])] for r in rows])


@pytest.mark.parametrize("trial", TRIALS[::2])
def test_net_cop_of_two_plates_is_the_authors_own(data_dir: Path, trial: str) -> None:
    recording, raw = recorded(data_dir, trial)
    # check-values and the issue: within 0.05 mm in every sample
    assert np.abs(net_cop_mm(recording) - theirs(raw)).max() < 0.05


@pytest.mark.parametrize("trial", TRIALS)
def test_three_sway_numbers_are_the_authors_own(data_dir: Path, trial: str) -> None:
    # trials.csv: cm^2, cm/s and Hz of their net CoP, by the recipe of the other set; the issue: within 1e-6
    with (data_dir / "pds" / "trials.csv").open(encoding="utf-8") as stream:
        published = next(row for row in csv.DictReader(stream) if row["Trial"] == trial)
    path = data_dir / "pds" / f"{trial}grf.txt.gz"
    series = read_cop_series(path, ("Time", "COPNET_Z", "COPNET_X"), "m")
    found = sway(series.cop_mm, series.rate_hz)
    assert found.ellipse95_mm2.value / 100.0 == pytest.approx(float(published["COParea"]), rel=1e-6)
    assert found.mean_velocity_mm_s.value / 10.0 == pytest.approx(float(published["COPvelo"]), rel=1e-6)
    spectral = spectral_mean_frequency_hz(series.cop_mm, series.rate_hz)
    assert spectral == pytest.approx(float(published["COPmfreq"]), rel=1e-6)


@pytest.mark.parametrize("trial", TRIALS[1:3])
def test_load_and_force_of_each_foot_are_those_of_the_forces(data_dir: Path, trial: str) -> None:
    ground = describe_plates(recorded(data_dir, trial)[0], mass_kg=65.35)
    assert sure(ground.feet.left.load_percent).value == pytest.approx(LEFT_PERCENT[trial], abs=0.0005)
    assert sure(ground.total_force_n).value == pytest.approx(TOTAL_N[trial], abs=0.005)
    assert ground.grade.usable


def test_the_force_of_every_frame_is_the_one_printed_with_the_step(data_dir: Path, tmp_path: Path) -> None:
    # pressuRe sample (Telfer and Li): total_force_n as printed by the recording itself, toes in row 0
    step = np.load(data_dir / "footpressure" / "step_barefoot_5mm_100hz.npz")
    text = "\n\n".join(
        "\n".join(";".join(f"{v:.9g}" for v in row) for row in f) for f in step["pressure_kpa"]
    )
    path = tmp_path / "step.txt"
    path.write_text(text.replace(".", ","), "utf-16")
    _, rows, columns = step["pressure_kpa"].shape
    layout = Layout.model_validate(
        {
            "delimiter": ";",
            "decimal": ",",
            "frames": "stacked",
            "rows": rows,
            "columns": columns,
            "pitch_mm": [float(p) for p in np.broadcast_to(step["cell_mm"], 2)],
            "unit": "kPa",
            "first_row": "toe",
            "first_column": "left",
            "rate_hz": 100.0,
        }
    )
    recording = load_recording(path, layout=layout)
    force = recording.cells.sum(axis=(1, 2), dtype=np.float64) * recording.cell_area_mm2 / 1000.0
    assert np.abs(force - step["total_force_n"]).max() < 0.01
