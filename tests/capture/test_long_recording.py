"""A recording too long to hold gives the figures of one that is held, in the memory of a few pieces."""

from pathlib import Path

import numpy as np
import pyarrow.parquet as pq
import pytest

from evenground.capture import long_recording
from evenground.capture.layout import Layout
from evenground.capture.long_recording import is_long_parquet, open_long_parquet, pack_text
from evenground.capture.parquet import read_parquet, write_recording
from evenground.capture.text import CutFileError
from evenground.measure.ground import describe
from evenground.measure.long_cells import LongCells, LongRecordingError
from evenground.measure.recording import MatRecording, NegativeCellError
from evenground.measure.sums import block_maps, frame_sums, fullest_frame, mean_map
from evenground.plain import to_plain
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat
from evenground.simulate.player_files import grid_layout_toml, grid_text


@pytest.fixture(scope="module")
def standing() -> MatRecording:
    return simulate_mat(
        Standing(load_left_percent=56.0, left_ahead_mm=12.0),
        Mat(rows=44, columns=64, noise_kpa=0.4),
        Swaying(duration_s=12.3, rate_hz=20.0),
        rng=np.random.default_rng(11),
    ).recording


@pytest.fixture(scope="module", params=[7, 1000], ids=["many row groups", "one row group"])
def file(
    request: pytest.FixtureRequest, standing: MatRecording, tmp_path_factory: pytest.TempPathFactory
) -> Path:
    path = tmp_path_factory.mktemp("long") / "a.parquet"
    write_recording(standing, path)
    pq.write_table(pq.read_table(path), path, row_group_size=request.param, write_page_checksum=True)
    return path


@pytest.fixture
def long(file: Path, monkeypatch: pytest.MonkeyPatch) -> MatRecording:
    monkeypatch.setattr(long_recording, "_GROUP_VALUES", 44 * 64 * 50)  # the larger groups come in batches
    return open_long_parquet(file, file="a.parquet")


def test_every_figure_is_that_of_the_whole_recording(long: MatRecording, standing: MatRecording) -> None:
    plain, pieces = (to_plain(describe(r, handed="right", mass_kg=75.0)) for r in (standing, long))

    def compared(one: object, other: object) -> None:
        if isinstance(one, dict):
            assert isinstance(other, dict)
            assert list(one) == list(other)
            for key in one:
                compared(one[key], other[key])
        elif isinstance(one, float):
            assert other == pytest.approx(one, rel=0.01, abs=2e-3)  # noise off other frames
        elif not isinstance(one, str | list):
            assert one == other

    compared(plain, pieces)


def test_sums_and_maps_are_the_same_from_any_frame_to_any_other(
    long: MatRecording, standing: MatRecording
) -> None:
    columns = np.random.default_rng(3).random((44 * 64, 5))
    for start, stop in ((0, 246), (20, 246), (20, 100), (13, 57), (240, 246)):
        ours, theirs = long.cells[start:stop], standing.cells[start:stop]
        assert len(ours) == stop - start
        assert mean_map(ours) == pytest.approx(mean_map(theirs), rel=1e-5, abs=1e-5)
        assert frame_sums(ours, columns) == pytest.approx(frame_sums(theirs, columns), rel=1e-5)
        assert block_maps(ours, 10) == pytest.approx(block_maps(theirs, 10), rel=1e-5, abs=1e-5)
    assert np.array_equal(fullest_frame(long.cells), fullest_frame(standing.cells))
    assert (long.cells.max(), long.cells.min()) == (standing.cells.max(), standing.cells.min())


def test_what_needs_all_frames_at_once_is_refused(long: MatRecording) -> None:
    with pytest.raises(LongRecordingError, match="fill its faulty cells"):
        long.cells.copy()
    with pytest.raises(LongRecordingError, match="single frames"):
        long.cells[3]
    halved = long.cells / np.float32(2.0)
    assert isinstance(halved, LongCells)
    assert halved.mean_map() == pytest.approx(0.5 * mean_map(long.cells))


def test_a_long_text_is_packed_and_its_folder_goes_away(standing: MatRecording, tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text(grid_text(standing))
    (tmp_path / "l.toml").write_text(grid_layout_toml(standing))
    from evenground.capture.layout import load_layout

    packed = pack_text(path, load_layout(tmp_path / "l.toml"))
    assert isinstance(packed.cells, LongCells)
    assert packed.rate_hz == standing.rate_hz
    assert mean_map(packed.cells) == pytest.approx(mean_map(standing.cells), abs=1e-3)  # three decimals
    folder = packed.cells._pieces.__self__.path.parent
    assert folder.exists()
    del packed
    assert not folder.exists()


def test_bad_cells_of_a_long_text_are_found(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("1,2\n3,4\n1,2\n-3,4\n")
    layout = Layout.model_validate(
        {
            "rows": 2,
            "columns": 2,
            "pitch_mm": 8.0,
            "unit": "kPa",
            "first_row": "heel",
            "first_column": "left",
            "frames": "stacked",
            "rate_hz": 10.0,
        }
    )
    with pytest.raises(NegativeCellError, match="Frame 2, row 2, column 1 is negative"):
        pack_text(tmp_path / "a.txt", layout)


def test_a_damaged_long_file_is_refused_in_a_sentence(file: Path, tmp_path: Path) -> None:
    raw = bytearray(file.read_bytes())
    raw[len(raw) // 3 : len(raw) // 3 + 4000] = bytes(4000)
    path = tmp_path / "b.parquet"
    path.write_bytes(raw)
    with pytest.raises(CutFileError):
        mean_map(open_long_parquet(path, file="b.parquet").cells)


def test_length_is_told_without_reading_frames(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert not is_long_parquet(file)
    monkeypatch.setattr(long_recording, "LONG_VALUES", 1000)
    assert is_long_parquet(file)


def test_row_groups_are_small_enough_to_be_read_one_by_one(standing: MatRecording, tmp_path: Path) -> None:
    often = 4_000_000 // (44 * 64) // len(standing.cells) + 2
    cells = np.concatenate([standing.cells] * often)
    longer = MatRecording(
        cells=cells,
        unit="kPa",
        pitch_x_mm=8.0,
        pitch_y_mm=8.0,
        rate_hz=20.0,
        time_s=np.arange(len(cells)) / 20.0,
    )
    write_recording(longer, tmp_path / "a.parquet")
    assert pq.ParquetFile(tmp_path / "a.parquet").metadata.num_row_groups == 2
    assert np.array_equal(read_parquet((tmp_path / "a.parquet").read_bytes(), file="a").cells, cells)
