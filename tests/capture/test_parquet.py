"""Recordings in Parquet come back as written; damaged ones are refused in one sentence."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from evenground.capture.fields import MissingFileError, UnreadableFieldError
from evenground.capture.parquet import NotARecordingError, read_parquet, write_recording
from evenground.capture.recording import LayoutWantedError, load_recording, read_recording
from evenground.capture.text import CutFileError, EmptyFileError, TooLargeFileError
from evenground.measure.recording import MatRecording, NegativeCellError
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat

SMALL = Mat(rows=20, columns=30, pitch_x_mm=20.0, pitch_y_mm=16.0)


def recording(mat: Mat = SMALL) -> MatRecording:
    swaying = Swaying(duration_s=2.0, rate_hz=10.0)
    return simulate_mat(Standing(), mat, swaying, rng=np.random.default_rng(2)).recording


def written(path: Path, step: float | None = None) -> bytes:
    write_recording(recording(), path, step=step)
    return path.read_bytes()


def test_a_recording_comes_back_as_written(tmp_path: Path) -> None:
    before = recording()
    after = read_parquet(written(tmp_path / "a.parquet"), file="a.parquet")
    assert np.array_equal(after.cells, before.cells)
    assert after.cells.dtype == np.float32
    assert np.array_equal(after.time_s, before.time_s)
    for name in ("unit", "pitch_x_mm", "pitch_y_mm", "rate_hz", "turned_deg"):
        assert getattr(after, name) == getattr(before, name)
    assert after.name == "a.parquet"


def test_whole_steps_pack_smaller_and_come_back_to_half_a_step(tmp_path: Path) -> None:
    full, packed = written(tmp_path / "a.parquet"), written(tmp_path / "b.parquet", step=0.1)
    assert len(packed) < 0.5 * len(full)
    after = read_parquet(packed, file="b.parquet")
    assert np.abs(after.cells - recording().cells).max() <= 0.0501


def test_steps_that_cannot_hold_the_recording_are_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="reach to"):
        write_recording(recording(), tmp_path / "a.parquet", step=1e-4)


def test_a_single_frame_has_no_rate(tmp_path: Path) -> None:
    one = simulate_mat(Standing(), SMALL, None, rng=np.random.default_rng(1)).recording
    write_recording(one, tmp_path / "a.parquet")
    assert load_recording(tmp_path / "a.parquet").rate_hz is None


def test_other_software_finds_the_documented_columns_and_metadata(tmp_path: Path) -> None:
    written(tmp_path / "a.parquet")
    table = pq.read_table(tmp_path / "a.parquet")
    assert table.column_names == ["time_s", "cells"]
    assert table.schema.field("cells").type.list_size == 600
    said = json.loads(table.schema.metadata[b"evenground.recording"])
    assert (said["rows"], said["columns"], said["pitch_x_mm"], said["unit"]) == (20, 30, 20.0, "kPa")


@pytest.mark.parametrize("kept", [4, 11, 200, 5000])
def test_a_cut_file_is_said_to_be_cut(tmp_path: Path, kept: int) -> None:
    with pytest.raises(CutFileError, match=r"a\.parquet: This file is cut off"):
        read_parquet(written(tmp_path / "a.parquet")[:kept], file="a.parquet")


def test_a_file_with_a_hole_is_refused(tmp_path: Path) -> None:
    raw = written(tmp_path / "a.parquet")
    with pytest.raises(CutFileError, match="cannot be unpacked"):
        read_parquet(raw[:300] + b"\0" * (len(raw) - 308) + raw[-8:], file="a.parquet")


def test_an_empty_file_and_another_file_are_told_apart() -> None:
    with pytest.raises(EmptyFileError):
        read_parquet(b"", file="a.parquet")
    with pytest.raises(NotARecordingError, match="it is no Parquet file"):
        read_parquet(b"\x89PNG....", file="a.parquet")


GEOMETRY: dict[str, Any] = {
    "version": 1,
    "rows": 2,
    "columns": 3,
    "pitch_x_mm": 10.0,
    "pitch_y_mm": 10.0,
    "unit": "kPa",
    "rate_hz": 10.0,
    "turned_deg": 0.0,
    "step": 1.0,
}


def table_bytes(
    geometry: dict[str, Any] | bytes | None, cells: list[Any] | None = None, size: int = 6
) -> bytes:
    rows = [[1.0] * size, [2.0] * size] if cells is None else cells
    columns = {"time_s": pa.array([0.1 * k for k in range(len(rows))], pa.float64())}
    columns["cells"] = pa.array(rows, pa.list_(pa.float32(), size))
    table = pa.table(columns)
    if geometry is not None:
        raw = geometry if isinstance(geometry, bytes) else json.dumps(geometry).encode()
        table = table.replace_schema_metadata({b"evenground.recording": raw})
    sink = pa.BufferOutputStream()
    pq.write_table(table, sink)
    return bytes(sink.getvalue().to_pybytes())


def test_a_table_made_elsewhere_by_the_documented_form_is_read() -> None:
    assert read_parquet(table_bytes(GEOMETRY), file="a.parquet").shape == (2, 2, 3)


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (table_bytes(None), "do not say what mat"),
        (table_bytes(b"{"), "is not JSON"),
        (table_bytes(GEOMETRY, size=5), "lists of 2 x 3"),
        (table_bytes(GEOMETRY, cells=[]), "no frames"),
        (table_bytes(GEOMETRY, cells=[[1.0] * 6, None]), "frames or times are missing"),
        (table_bytes(GEOMETRY, cells=[[1.0] * 5 + [None]]), "cells are missing"),
    ],
)
def test_a_table_that_is_no_recording_is_refused(raw: bytes, said: str) -> None:
    with pytest.raises(NotARecordingError) as caught:
        read_parquet(raw, file="a.parquet")
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("key", "value"),
    [("unit", "bar"), ("rows", 0), ("pitch_x_mm", -1.0), ("version", 2), ("turned_deg", 90.0), ("new", 1)],
)
def test_wrong_geometry_names_its_key(key: str, value: object) -> None:
    with pytest.raises(UnreadableFieldError, match=f"a.parquet, {key}"):
        read_parquet(table_bytes(GEOMETRY | {key: value}), file="a.parquet")


def test_cells_that_are_no_pressure_are_refused() -> None:
    with pytest.raises(NegativeCellError, match="Frame 2, row 1, column 1 is negative"):
        read_parquet(table_bytes(GEOMETRY, cells=[[1.0] * 6, [-1.0] * 6]), file="a.parquet")


def test_one_door_reads_parquet_and_asks_for_a_layout_otherwise(tmp_path: Path) -> None:
    written(tmp_path / "a.parquet")
    with (tmp_path / "a.parquet").open("rb") as stream:
        assert read_recording(stream, file="a.parquet").shape == (20, 20, 30)
    (tmp_path / "b.csv").write_text("1,2\n3,4\n")
    with pytest.raises(LayoutWantedError, match=r"b\.csv: This is no Parquet recording"):
        load_recording(tmp_path / "b.csv")
    with pytest.raises(MissingFileError):
        load_recording(tmp_path / "c.parquet")
    (tmp_path / "d.csv").write_text("")
    with pytest.raises(EmptyFileError):
        load_recording(tmp_path / "d.csv")


def test_a_small_file_that_unpacks_to_too_many_cells_is_refused_before_it_does(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("evenground.capture.parquet.MOST_VALUES", 3_000_000)  # a tenth of a second to pack
    cells = pa.FixedSizeListArray.from_arrays(pa.array(np.zeros(4_000_000, np.float32)), 4000)
    geometry = {"version": 1, "rows": 40, "columns": 100, "pitch_x_mm": 5.0, "pitch_y_mm": 5.0}
    said = json.dumps(geometry | {"unit": "kPa", "rate_hz": 100.0}).encode()
    schema = pa.schema(
        [("time_s", pa.float64()), ("cells", cells.type)], metadata={b"evenground.recording": said}
    )
    out = pa.BufferOutputStream()
    with pq.ParquetWriter(out, schema, compression="zstd") as writer:
        writer.write_table(pa.Table.from_arrays([pa.array(np.arange(1000.0)), cells], schema=schema))
    raw = out.getvalue().to_pybytes()
    assert len(raw) < 100_000
    with pytest.raises(TooLargeFileError):
        read_parquet(raw, file="bomb.parquet")
    monkeypatch.setattr("evenground.capture.parquet.MOST_VALUES", 5_000_000)
    assert read_parquet(raw, file="whole.parquet").shape == (1000, 40, 100)
