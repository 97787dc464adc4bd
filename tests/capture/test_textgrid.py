"""Text exports of a mat come in as declared, or one sentence says which line was wrong."""

import gzip
import io
import zipfile

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenground.capture.cells import Form, plain_numbers, slow_numbers
from evenground.capture.layout import Layout
from evenground.capture.text import (
    BinaryFileError,
    CutFileError,
    EmptyFileError,
    ManyFilesError,
    SpreadsheetError,
)
from evenground.capture.textgrid import (
    HeaderTimeError,
    NotANumberTextError,
    RateMismatchError,
    TimeColumnError,
    WrongColumnsError,
    WrongRowsError,
    frame_pieces,
    orient,
    oriented_geometry,
    read_text_grid,
)
from evenground.errors import EvengroundError
from evenground.measure.recording import (
    InfiniteCellError,
    MatRecording,
    NegativeCellError,
    NotANumberCellError,
    RecordingShapeError,
)

GRID = "1,2,3\n4,5,6\n"


def layout(**changed: object) -> Layout:
    plain: dict[str, object] = {
        "rows": 2,
        "columns": 3,
        "pitch_mm": 10.0,
        "unit": "kPa",
        "first_row": "heel",
        "first_column": "left",
    }
    return Layout.model_validate(plain | changed)


def zipped(files: dict[str, str | bytes]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in files.items():
            archive.writestr(name, text)
    return packed.getvalue()


STACKED = layout(frames="stacked", rate_hz=10.0)
TIMED = layout(frames="stacked", header_lines=1, header_time=2, time_unit="ms")
PER_FRAME = layout(frames="row-per-frame", time_column=1)


def read(text: str | bytes, declared: Layout) -> MatRecording:
    raw = text.encode() if isinstance(text, str) else text
    return read_text_grid(raw, declared, file="mat/a.csv")


def test_a_single_grid_is_read_from_the_heels() -> None:
    recording = read(GRID, layout())
    assert recording.cells.tolist() == [[[1, 2, 3], [4, 5, 6]]]
    assert (recording.rate_hz, recording.unit, recording.name) == (None, "kPa", "mat/a.csv")


@pytest.mark.parametrize(
    ("text", "declared"),
    [
        ("1;2;3\n4;5;6", layout(delimiter=";")),
        ("1\t2\t3\t\n4\t5\t6\t\n", layout(delimiter="\t")),
        ("  1   2 3\n4 5\t6\n", layout(delimiter=" ")),
        ("1,0;2,0;3,0\r\n4,0;5,0;6,0\r\n", layout(delimiter=";", decimal=",")),
        ("\ufeff# mat\n# left first\n1,2,3\n\n4,5,6\n", layout(skip_lines=2)),
        (gzip.compress(GRID.encode(), mtime=0), layout()),
        ("4,5,6\n1,2,3\n", layout(first_row="toe")),
        ("3,2,1\n6,5,4\n", layout(first_column="right")),
        ("0.1,0.2,0.3\n0.4,0.5,0.6", layout(unit="N/cm2")),
        (zipped({"a.csv": GRID}), layout()),
        (zipped({"a.csv.gz": gzip.compress(GRID.encode())}), layout()),
        (GRID.replace("\n", "\r\n").encode("utf-16"), layout()),
        (GRID.encode("utf-16-be"), layout()),
        (GRID.replace("\n", "\r"), layout()),
        ("Druck in kPa, 21 °C\n".encode("cp1252") + GRID.encode(), layout(skip_lines=1)),
        ("1, 2, 3\n4, 5, 6\n", layout()),
        ('"1","2","3"\n"4","5","6"\n', layout()),
        ("A,1,2,3,6\nB,4,5,6,15\n", layout(skip_columns=1, skip_last_columns=1)),
        ("7;1;2;3;\n8;4;5;6;\n", layout(delimiter=";", skip_columns=1)),
        ("frame 1\n1,2,3\n4,5,6\nend\n", layout(frames="stacked", rate_hz=5.0, header_lines=1)),
    ],
)
def test_every_declared_form_gives_the_same_recording(text: str | bytes, declared: Layout) -> None:
    assert read(text, declared).cells[0] == pytest.approx(np.array([[1, 2, 3], [4, 5, 6]]))


def test_stacked_frames_may_be_parted_by_blank_lines() -> None:
    recording = read("1,2,3\n4,5,6\n\n7,8,9\n1,1,1\n", STACKED)
    assert recording.cells.shape == (2, 2, 3)
    assert recording.cells[1].tolist() == [[7, 8, 9], [1, 1, 1]]
    assert list(recording.time_s) == [0.0, 0.1]


@pytest.mark.parametrize(
    ("column", "line"),
    [(1, "{t},1,2,3,4,5,6"), (7, "1,2,3,4,5,6,{t}"), ("t s", "{t},1,2,3,4,5,6")],
)
def test_times_come_from_their_column(column: object, line: str) -> None:
    text = "t s,a,b,c,d,e,f\n" + "\n".join(line.format(t=100000.0 + 0.04 * k) for k in range(5))
    recording = read(text, layout(frames="row-per-frame", time_column=column, skip_lines=1))
    assert recording.rate_hz == pytest.approx(25.0)
    assert recording.cells[4].tolist() == [[1, 2, 3], [4, 5, 6]]
    assert np.diff(recording.time_s) == pytest.approx(0.04 * np.ones(4), abs=1e-6)


def test_rows_per_frame_without_times_take_the_declared_rate() -> None:
    recording = read("1,2,3,4,5,6\n1,2,3,4,5,6", layout(frames="row-per-frame", rate_hz=20.0))
    assert (recording.rate_hz, list(recording.time_s)) == (20.0, [0.0, 0.05])


@pytest.mark.parametrize(
    ("text", "declared", "error", "said"),
    [
        ("", layout(), EmptyFileError, "This file is empty."),
        ("\n\n", layout(), EmptyFileError, "This file is empty."),
        (b"PK\x03\x04\x00\x00", layout(), CutFileError, "zip part"),
        (b"1,2\x00,3\n", layout(), BinaryFileError, "not text (byte 4)"),
        (b"1,2,\xff\n4,5,6\n", layout(), NotANumberTextError, "not a number"),
        (b"1,1_0,3\n4,5,6\n", layout(), NotANumberTextError, '"1_0"'),
        (gzip.compress(GRID.encode(), mtime=0)[:-6], layout(), CutFileError, "gzip"),
        ("1,2,3\n4,5", layout(), CutFileError, "its last line has 2 of 3 values"),
        ("1,2,3\n4,5,6\n7,8,9\n", STACKED, CutFileError, "frame 2 has 1 of 2 rows"),
        ("1,2\n4,5\n", layout(), WrongColumnsError, "2 values where the layout asks for 3"),
        ("1,2,3\n4,5,6,7\n", layout(), WrongColumnsError, "4 values where the layout asks for 3"),
        ("1;2;3\n4;5;6\n", layout(), WrongColumnsError, "1 values where the layout asks for 3"),
        ("1,2,3\n", layout(), WrongRowsError, "1 rows of cells where the layout asks for 2"),
        ("1,2,3\n" * 3, layout(), WrongRowsError, "3 rows of cells where the layout asks for 2"),
        ("# only a head\n", layout(skip_lines=1), WrongRowsError, "0 rows"),
        (zipped({"a.csv": GRID, "b.csv": GRID}), layout(), ManyFilesError, "holds 2 files"),
        (zipped({"xl/workbook.xml": "", "xl/a.xml": ""}), layout(), SpreadsheetError, "spreadsheet"),
        (zipped({"a.csv": GRID})[:-30], layout(), CutFileError, "zip part"),
        ("frame\n1,2,3\n4,5,6\n", TIMED, HeaderTimeError, "hold 0 numbers; the time should be number 2"),
        ("1,2,3\n4,five,6\n", layout(), NotANumberTextError, 'Value 2, "five", is not a number.'),
        ("1,2,3\n4,nan,6\n", layout(), NotANumberCellError, "row 2, column 2 is not a number"),
        ("1,2,3\n4,inf,6\n", layout(), InfiniteCellError, "row 2, column 2 is infinite"),
        ("1,2,3\n4,-5,6\n", layout(), NegativeCellError, "row 2, column 2 is negative"),
        ("1,2,3,4,5,6\n", layout(frames="row-per-frame", time_column=8), TimeColumnError, "time column 8"),
        ("1,2,3,4,5,6\n", layout(frames="row-per-frame", time_column="t"), TimeColumnError, 'column "t"'),
        ("0,1,2,3,4,5,6\n0,1,2,3,4,5,6\n", PER_FRAME, RecordingShapeError, "need a rate"),
        ("0,1,2,3,4,5,6\n9,1,2,3,4,5,6\n4,1,2,3,4,5,6\n", PER_FRAME, RecordingShapeError, "Times must rise"),
        (
            "0,1,2,3,4,5,6\n40,1,2,3,4,5,6\n",
            layout(frames="row-per-frame", time_column=1, rate_hz=25.0),
            RateMismatchError,
            "says 25 Hz, the time column 0.025 Hz",
        ),
    ],
)
def test_bad_files_are_refused_in_one_sentence(
    text: str | bytes, declared: Layout, error: type[EvengroundError], said: str
) -> None:
    with pytest.raises(error) as caught:
        read(text, declared)
    assert str(caught.value).startswith("mat/a.csv")
    assert said in str(caught.value)
    assert caught.value.do


def test_a_quarter_turn_of_the_mat_is_taken_out_of_the_array() -> None:
    # cell [0, 1] of the mat straight ahead lies near the heels, right of the corner. Turned a quarter
    # counter-clockwise (seen from above) the mat's right side points ahead: that cell is one row further
    # ahead, in the last column, since what was near the player is now on the right.
    cells = np.arange(6.0, dtype=np.float32).reshape(1, 2, 3)
    declared = layout(turned_deg=90.0, pitch_mm=[10.0, 7.0])
    turned, (pitches, rest) = orient(cells, declared), oriented_geometry(declared)
    assert turned.shape == (1, 3, 2)
    assert turned[0, 1, 1] == cells[0, 0, 1]
    assert turned[0, 0, 1] == cells[0, 0, 0]
    assert (pitches, rest) == ((7.0, 10.0), 0.0)


def test_half_and_full_turns_and_small_angles() -> None:
    cells = np.arange(6.0, dtype=np.float32).reshape(1, 2, 3)
    assert np.array_equal(orient(cells, layout(turned_deg=183.0)), cells[:, ::-1, ::-1])
    assert oriented_geometry(layout(turned_deg=183.0))[1] == pytest.approx(3.0)
    back = orient(cells, layout(turned_deg=-90.0))
    assert np.array_equal(orient(back, layout(turned_deg=90.0)), cells)
    assert oriented_geometry(layout(turned_deg=-90.0))[1] == 0.0
    assert np.array_equal(orient(cells, layout(turned_deg=-360.0)), cells)


@given(
    data=st.lists(st.floats(0.0, 900.0, width=32), min_size=12, max_size=12),
    row=st.sampled_from(["heel", "toe"]),
    column=st.sampled_from(["left", "right"]),
    decimal=st.sampled_from([".", ","]),
)
@settings(max_examples=40, deadline=None)
def test_whatever_is_written_comes_back(data: list[float], row: str, column: str, decimal: str) -> None:
    frames = np.array(data, np.float32).reshape(2, 2, 3)
    written = frames[:, :: -1 if row == "toe" else 1, :: -1 if column == "right" else 1]
    lines = [";".join(f"{v:.9g}".replace(".", decimal) for v in r) for frame in written for r in frame]
    declared = layout(
        delimiter=";", decimal=decimal, frames="stacked", rate_hz=5.0, first_row=row, first_column=column
    )
    assert np.array_equal(read("\n".join(lines), declared).cells, frames)


def test_header_lines_part_frames_and_say_their_times() -> None:
    text = "mat export\n" + "".join(f"Frame {k}; {40 * k},0 ms\n1;2;3\n\n4;5;6\n" for k in range(4))
    declared = layout(
        delimiter=";",
        decimal=",",
        skip_lines=1,
        frames="stacked",
        header_lines=1,
        header_time=2,
        time_unit="ms",
    )
    recording = read(text, declared)
    assert recording.shape == (4, 2, 3)
    assert list(recording.time_s) == pytest.approx([0.0, 0.04, 0.08, 0.12])
    assert recording.rate_hz == pytest.approx(25.0)


def test_a_time_may_stand_among_the_columns_left_out() -> None:
    declared = layout(frames="row-per-frame", time_column=2, skip_columns=2, skip_last_columns=1)
    recording = read("1,0.0,1,2,3,4,5,6,21\n2,0.1,6,5,4,3,2,1,21\n", declared)
    assert recording.cells[1].tolist() == [[6, 5, 4], [3, 2, 1]]
    assert recording.rate_hz == pytest.approx(10.0)


@pytest.mark.parametrize("block_bytes", [1, 7, 64, 1000])
@pytest.mark.parametrize(
    "declared",
    [
        layout(frames="stacked", rate_hz=10.0, skip_lines=2),
        layout(frames="stacked", header_lines=1, header_time=1, skip_lines=2),
    ],
)
def test_pieces_of_any_size_make_the_same_recording(declared: Layout, block_bytes: int) -> None:
    head = "{k}\n" if declared.header_lines else "\n"
    text = "mat\r\nsays\r\n" + "".join(head.format(k=k) + f"{k},2,3\n4,5,{k}.5\n" for k in range(1, 30))
    pieces = list(frame_pieces(text.encode(), declared, file="a.csv", block_bytes=block_bytes))
    whole = read(text, declared)
    assert np.array_equal(np.concatenate([p.cells for p in pieces]), whole.cells)
    assert len(whole.cells) == 29
    times = [t for p in pieces if p.time_s is not None for t in p.time_s]
    assert times == ([] if declared.header_time is None else list(range(1, 30)))


VALUE = st.one_of(
    st.floats(0.0, 9e5, width=32).map(lambda v: f"{v:.9g}"),
    st.sampled_from(["0", "0.0", "1e3", "12", "", "x", "1_0", "+4", "nan", "-7"]),
)


@given(
    rows=st.lists(st.lists(VALUE, min_size=3, max_size=3), min_size=1, max_size=6),
    sign=st.sampled_from([",", ";", "\t", "|", " "]),
    ended=st.booleans(),
)
@settings(max_examples=150, deadline=None)
def test_the_fast_way_reads_what_the_slow_way_reads(rows: list[list[str]], sign: str, ended: bool) -> None:
    form = Form(delimiter=sign, decimal=".", wanted=3, exact=False)
    block = "\n".join(sign.join(row) for row in rows) + ("\n" if ended else "")
    fast = plain_numbers(block.encode(), form)
    if fast is not None:
        slow = slow_numbers(list(enumerate(block.split("\n"), 1)), form, file="a")
        assert np.array_equal(fast, slow, equal_nan=True)


def test_plain_lines_take_the_fast_way() -> None:
    form = Form(delimiter=";", decimal=",", wanted=3, exact=True)
    for block in (b"1;2,5;3\n\n4;5;6", b"1;2,5;3;\n4;5;6;\n", b"1; 2,5; 3\n4; 5;6 \n"):
        fast = plain_numbers(block, form)
        assert fast is not None
        assert fast.tolist() == [[1.0, 2.5, 3.0], [4.0, 5.0, 6.0]]
