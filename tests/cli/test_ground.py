"""The commands around the mat: ground, sway, simulate mat."""

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from evenground.capture.parquet import write_recording
from evenground.cli import app, main
from evenground.errors import EvengroundError
from evenground.measure.recording import MatRecording
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat

RUN = CliRunner()
SWAY_KEYS = [
    "n", "duration_s", "path_mm", "mean_velocity_mm_s", "ellipse95_mm2", "rms_x_mm", "rms_y_mm",
    "range_x_mm", "range_y_mm", "mean_frequency_hz",
]  # fmt: skip


def standing(folder: Path, mat: Mat | None = None) -> Path:
    made = simulate_mat(
        Standing(load_left_percent=55.0),
        mat or Mat(rows=50, columns=80),
        Swaying(duration_s=3.0, rate_hz=20.0),
        rng=np.random.default_rng(8),
    )
    write_recording(made.recording, folder / "stance.parquet")
    return folder / "stance.parquet"


def test_ground_writes_json_alone_with_the_promised_keys(tmp_path: Path) -> None:
    result = RUN.invoke(app, ["ground", str(standing(tmp_path)), "--mass-kg", "75", "--json"])
    assert result.exit_code == 0, result.output
    said = json.loads(result.stdout)
    assert list(said["feet"]["left"]) == [
        "load_percent", "toe_out_deg", "cop_percent_length", "heel_load_percent", "length_mm", "area_cm2",
    ]  # fmt: skip
    assert said["feet"]["left"]["load_percent"]["value"] == pytest.approx(55.0, abs=3.0)
    assert said["total_force_n"]["unit"] == "N"
    assert list(said["sway"]) == SWAY_KEYS
    assert said["grade"]["usable"] is True


def test_ground_shows_a_person_every_figure_with_its_range(tmp_path: Path) -> None:
    text = RUN.invoke(app, ["ground", str(standing(tmp_path)), "--handed", "left"]).stdout
    for words in ("toe-out", "width, heel centres", "load line to heel line", "This recording is usable."):
        assert words in text
    assert text.count("±") >= 20


def test_ground_reads_a_text_grid_by_its_layout(tmp_path: Path) -> None:
    made = simulate_mat(Standing(), Mat(rows=50, columns=80), None, rng=np.random.default_rng(8)).recording
    lines = [";".join(f"{v:.2f}".replace(".", ",") for v in row) for row in made.cells[0][::-1]]
    (tmp_path / "stance.csv").write_text("\n".join(lines))
    (tmp_path / "mat.toml").write_text(
        'delimiter = ";"\ndecimal = ","\nrows = 50\ncolumns = 80\npitch_mm = 8.0\nunit = "kPa"\n'
        'first_row = "toe"\nfirst_column = "left"\n'
    )
    args = ["ground", str(tmp_path / "stance.csv"), "--layout", str(tmp_path / "mat.toml"), "--json"]
    said = json.loads(RUN.invoke(app, args).stdout)
    assert said["stance_width_mm"]["heel_centres"]["value"] == pytest.approx(300.0, abs=1.0)
    assert said["sway"] is None


def test_counts_without_a_mass_have_no_force(tmp_path: Path) -> None:
    path = standing(tmp_path, Mat(rows=50, columns=80, counts_per_kpa=10.0))
    assert json.loads(RUN.invoke(app, ["ground", str(path), "--json"]).stdout)["total_force_n"] is None
    weighed = json.loads(RUN.invoke(app, ["ground", str(path), "--mass-kg", "80", "--json"]).stdout)
    assert weighed["total_force_n"]["value"] == pytest.approx(80.0 * 9.80665)


def fails(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *args: str) -> str:
    monkeypatch.setattr("sys.argv", ["evenground", *args])
    with pytest.raises(SystemExit) as caught:
        main()
    out, err = capsys.readouterr()
    assert caught.value.code == 1
    assert out == ""
    assert err.count("\n") == 1
    return err


def test_what_cannot_be_measured_ends_with_one_sentence_and_status_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "empty.parquet"
    write_recording(
        MatRecording(
            cells=np.zeros((1, 20, 20), np.float32),
            unit="kPa",
            pitch_x_mm=10.0,
            pitch_y_mm=10.0,
            rate_hz=None,
            time_s=np.zeros(1),
        ),
        path,
    )
    assert "Nothing stands on the mat." in fails(monkeypatch, capsys, "ground", str(path), "--json")
    (tmp_path / "a.csv").write_text("1,2\n")
    assert "how it is laid out" in fails(monkeypatch, capsys, "ground", str(tmp_path / "a.csv"))
    args = ("sway", str(tmp_path / "a.csv"), "--columns", "1,2,3", "--unit", "mm")
    assert 'There is no column "3".' in fails(monkeypatch, capsys, *args)


def test_sway_of_a_circle_is_that_of_the_circle(tmp_path: Path) -> None:
    # check-values circ-1
    t = np.arange(4000) / 100.0
    rows = np.column_stack([t, np.cos(0.5 * np.pi * t), np.sin(0.5 * np.pi * t)])
    path = tmp_path / "circle.csv"
    np.savetxt(path, rows, delimiter=",", header="t,x,y", comments="", fmt="%.9f")
    result = RUN.invoke(app, ["sway", str(path), "--columns", "t,x,y", "--unit", "cm", "--json"])
    said = json.loads(result.stdout)
    assert list(said) == SWAY_KEYS
    assert said["mean_velocity_mm_s"]["value"] == pytest.approx(15.7039, rel=1e-3)
    assert said["n"]["value"] == 4000
    assert (
        "95 % prediction ellipse"
        in RUN.invoke(app, ["sway", str(path), "--columns", "1,2,3", "--unit", "cm"]).stdout
    )


@pytest.mark.parametrize(
    "args", [["--columns", "t,x", "--unit", "mm"], ["--columns", "t,x,y", "--unit", "in"]]
)
def test_wrong_usage_of_sway_ends_with_status_two(tmp_path: Path, args: list[str]) -> None:
    assert RUN.invoke(app, ["sway", str(tmp_path / "a.csv"), *args]).exit_code == 2


def test_simulate_mat_writes_a_recording_and_its_truth(tmp_path: Path) -> None:
    out, truth = tmp_path / "s.parquet", tmp_path / "truth.json"
    args = ["simulate", "mat", str(out), "--truth", str(truth), "--seed", "4", "--width-mm", "350"]
    args += ["--rows", "50", "--columns", "80", "--duration-s", "2", "--shod", "--handed", "left"]
    assert RUN.invoke(app, args).exit_code == 0
    said = json.loads(truth.read_text("utf-8"))
    found = json.loads(RUN.invoke(app, ["ground", str(out), "--handed", "left", "--json"]).stdout)
    assert said["heel_centres_mm"] == 350.0
    assert found["stance_width_mm"]["heel_centres"]["value"] == pytest.approx(350.0, abs=2.0)
    assert said["handed"] == "left"


def test_simulate_mat_puts_the_truth_beside_the_recording_by_default(tmp_path: Path) -> None:
    args = ["simulate", "mat", str(tmp_path / "s.parquet"), "--duration-s", "0"]
    assert RUN.invoke(app, args).exit_code == 0
    assert json.loads((tmp_path / "s.json").read_text("utf-8"))["heel_centres_mm"] == 300.0


def test_errors_of_the_mat_survive_a_trip_between_processes() -> None:
    import pickle

    from evenground.capture import cop_series, parquet, recording, text, textgrid
    from evenground.measure import contact, ground
    from evenground.measure import recording as mat
    from evenground.measure import sway as sway_module

    samples: list[EvengroundError] = [
        text.EmptyFileError("a"),
        text.CutFileError("a", "b"),
        text.BinaryFileError("a", 3),
        text.TooLargeFileError("a", 5),
        textgrid.WrongColumnsError("a", 1, 2, 3),
        textgrid.WrongRowsError("a", 1, 2),
        textgrid.NotANumberTextError("a", 1, 2, "x"),
        textgrid.TimeColumnError("a", "8"),
        textgrid.RateMismatchError("a", 1.0, 2.0),
        parquet.NotARecordingError("a", "b"),
        recording.LayoutWantedError("a"),
        cop_series.ColumnMissingError("a", "x", ("t",)),
        cop_series.BadCellError("a", 1, "x", "y"),
        cop_series.UnevenTimesError("a", 1, 0.5, 0.1),
        contact.EmptyMatError("a"),
        contact.NoFeetError("a", 100.0, 50.0),
        contact.OneFootError("a"),
        contact.ThreeObjectsError("a"),
        contact.FeetMergedError("a", 8.0),
        ground.SteppedOffError("a", 1, 2),
        mat.RecordingShapeError("a", "b"),
        mat.NotANumberCellError("a", 1, 2, 3),
        mat.InfiniteCellError("a", 1, 2, 3),
        mat.NegativeCellError("a", 1, 2, 3),
        sway_module.TooShortForSwayError("a", 3),
    ]
    for error in samples:
        assert str(pickle.loads(pickle.dumps(error))) == str(error)  # noqa: S301 - our own bytes
    assert len({e.what for e in samples}) == len(samples)
