"""Streams of mats: which is meant, what it says of itself, which of its frames are pressures, its times."""

# ruff: noqa: ARG002, ARG005 - a fake takes what the library takes

from typing import Any

import numpy as np
import pytest

from evenground.capture.fields import UnreadableFieldError
from evenground.capture.frames import MatFrames, head_of, recording_of, standard_frames
from evenground.capture.layout import Layout
from evenground.capture.live_inlet import (
    LslSource,
    MatLostError,
    MatStream,
    SeveralMatsError,
    StreamLayoutError,
    choose,
)

ROWS, COLUMNS = 4, 6
SAID = {
    "rows": "4",
    "columns": "6",
    "pitch_x_mm": "8.5",
    "pitch_y_mm": "7.0",
    "unit": "kPa",
    "first_row": "heel",
    "first_column": "left",
}


class FakeInfo:
    """A stream's description as the library gives it."""

    def __init__(self, said: dict[str, str]) -> None:
        self.said = said

    def source_id(self) -> str:
        return "one"

    def desc(self) -> "FakeInfo":
        return self

    def child(self, name: str) -> "FakeInfo":
        return self

    def child_value(self, key: str) -> str:
        return self.said.get(key, "")


class FakeLibrary:
    """The library with one inlet whose pulls are ready made; it can be lost."""

    class LostError(RuntimeError):
        pass

    proc_clocksync = 1

    def __init__(self, said: dict[str, str], *pulls: Any) -> None:
        self.said, self.pulls = said, list(pulls)
        self.closed = False

    def StreamInlet(self, info: Any, **options: Any) -> "FakeLibrary":  # noqa: N802 - the library's name
        return self

    def info(self, timeout: float) -> FakeInfo:
        return FakeInfo(self.said)

    def open_stream(self, timeout: float) -> None:
        pass

    def close_stream(self) -> None:
        self.closed = True

    def pull_chunk(self, **options: Any) -> Any:
        if not self.pulls:
            raise self.LostError
        return self.pulls.pop(0)


def stream(name: str = "mat", kind: str = "Mat", channels: int = 24, rate_hz: float = 100.0) -> MatStream:
    return MatStream(
        name=name, key=name, host="here", kind=kind, channels=channels, rate_hz=rate_hz, info=FakeInfo(SAID)
    )


def source(
    monkeypatch: pytest.MonkeyPatch,
    said: dict[str, str],
    *pulls: Any,
    layout: Layout | None = None,
    **of: Any,
) -> LslSource:
    library = FakeLibrary(said, *pulls)
    monkeypatch.setattr("evenground.capture.live_inlet.load_lsl", lambda *, network: library)
    return LslSource(stream(**of), network=False, layout=layout)


def pulled(*times: float, cells: Any = None) -> Any:
    count = len(times)
    flat = np.arange(count * 24, dtype=np.float32).reshape(count, 24) if cells is None else cells
    return flat, np.asarray(times)


def test_a_stream_that_describes_itself_gives_frames_in_its_own_order(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    live = source(monkeypatch, SAID, pulled(5.0, 5.01))
    assert (live.head.rows, live.head.columns) == (4, 6)
    assert (live.head.pitch_x_mm, live.head.pitch_y_mm, live.head.rate_hz) == (8.5, 7.0, 100.0)
    frames = live.pull(0.0)
    assert frames.cells[1, 0].tolist() == [24, 25, 26, 27, 28, 29]
    assert frames.time_s.tolist() == [5.0, 5.01]


def test_a_mat_whose_first_row_is_at_the_toes_is_turned_as_a_file_is(monkeypatch: pytest.MonkeyPatch) -> None:
    said = SAID | {"first_row": "toe", "first_column": "right"}
    frames = source(monkeypatch, said, pulled(5.0)).pull(0.0)
    assert frames.cells[0, 0].tolist() == [23, 22, 21, 20, 19, 18]


def test_a_quarter_turn_swaps_rows_columns_and_pitches(monkeypatch: pytest.MonkeyPatch) -> None:
    live = source(monkeypatch, SAID | {"turned_deg": "90"}, pulled(5.0))
    assert (live.head.rows, live.head.columns, live.head.pitch_x_mm) == (6, 4, 7.0)
    assert live.pull(0.0).cells.shape == (1, 6, 4)


def test_a_stream_that_says_nothing_needs_a_layout(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(StreamLayoutError, match="rows and columns"):
        source(monkeypatch, {})
    layout = Layout(
        rows=4, columns=6, pitch_mm=8.0, unit="N", first_row="heel", first_column="left", rate_hz=50.0
    )
    live = source(monkeypatch, {}, pulled(1.0, cells=np.full((1, 24), 0.64, np.float32)), layout=layout)
    assert live.pull(0.0).cells == pytest.approx(10.0)  # 0.64 N on 64 mm^2 is 10 kPa


def test_a_layout_of_another_size_is_refused_with_both_sizes(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(StreamLayoutError, match="30 channels, not 4 x 6"):
        source(monkeypatch, SAID, channels=30)


def test_a_word_where_a_number_belongs_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(UnreadableFieldError, match="rows"):
        source(monkeypatch, SAID | {"rows": "many"})


def test_more_cells_than_any_mat_has_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(StreamLayoutError, match="more than 100000"):
        source(monkeypatch, SAID | {"rows": "1000", "columns": "1000"}, channels=1_000_000)


def test_a_stream_without_a_rate_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(StreamLayoutError, match="frames a second"):
        source(monkeypatch, SAID, rate_hz=0.0)


def test_frames_that_hold_no_pressure_are_left_out_and_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    cells = np.ones((5, 24), np.float32)
    cells[1, 3], cells[2, 0], cells[4, 23] = np.nan, -0.5, np.inf
    live = source(monkeypatch, SAID, pulled(1.0, 1.01, 1.02, 1.03, 1.04, cells=cells))
    assert live.pull(0.0).time_s.tolist() == [1.0, 1.03]
    assert live.left_out == 3


def test_times_rise_even_when_the_senders_clock_is_set_back(monkeypatch: pytest.MonkeyPatch) -> None:
    live = source(monkeypatch, SAID, pulled(5.0, 5.01), pulled(4.0, 4.01, 5.2), pulled(5.2, 5.21))
    times = np.concatenate([live.pull(0.0).time_s for _ in range(3)])
    assert np.all(np.diff(times) > 0.0)
    assert times[[0, 1, 4, 6]] == pytest.approx([5.0, 5.01, 5.2, 5.21], abs=1e-5)


def test_no_frame_is_no_error_and_a_lost_stream_is(monkeypatch: pytest.MonkeyPatch) -> None:
    live = source(monkeypatch, SAID, (np.zeros((0, 24), np.float32), np.zeros(0)))
    assert len(live.pull(0.0)) == 0
    with pytest.raises(MatLostError):
        live.pull(0.0)


def test_the_one_mat_is_taken_and_of_several_the_named() -> None:
    other, one, two = stream("counter", kind="Other"), stream("one"), stream("two")
    assert choose((other, one), None, None) is one
    assert choose((other,), None, None) is None
    assert choose((one, two), "two", None) is two
    assert choose((one, two), "three", None) is None
    with pytest.raises(SeveralMatsError, match="one, two"):
        choose((one, two), None, None)


def test_with_a_layout_the_stream_of_its_size_is_taken() -> None:
    layout = Layout(rows=4, columns=6, pitch_mm=8.0, unit="kPa", first_row="heel", first_column="left")
    plain = stream("plain", kind="Other")
    assert choose((stream("small", channels=20), plain), None, layout) is plain


def test_frames_become_a_recording_that_starts_at_zero() -> None:
    layout = Layout(rows=4, columns=6, pitch_mm=8.0, unit="kPa", first_row="heel", first_column="left")
    cells = standard_frames(np.ones((3, 24), np.float32), layout)
    frames = MatFrames(time_s=np.array([70.0, 70.02, 70.04]), cells=cells)
    recording = recording_of(head_of(layout, 50.0, "mat"), frames)
    assert recording.time_s == pytest.approx([0.0, 0.02, 0.04])
    assert recording.rate_hz == 50.0
