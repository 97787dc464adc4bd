"""A layout proposed for an unknown export gives back what was written, or says what it can't know."""

import gzip
import io
from collections.abc import Callable

import numpy as np
import pytest

from evenground.capture.cells import WrongColumnsError
from evenground.capture.guess import Guess, NoRowsError, Stated, guess_layout, turned
from evenground.capture.guess_lines import NoGridError
from evenground.capture.guess_words import said_in
from evenground.capture.layout import Layout, layout_toml, read_layout
from evenground.capture.textgrid import read_text_grid
from evenground.measure.recording import FloatArray, MatRecording
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat

ROWS, COLUMNS, PITCH = 48, 56, 8.0
Writer = Callable[[FloatArray], str]


@pytest.fixture(scope="module")
def feet() -> MatRecording:
    """A right-handed player, heavier on the left, whole kPa so that text keeps the cells exactly."""
    mat = Mat(rows=ROWS, columns=COLUMNS, pitch_x_mm=PITCH, pitch_y_mm=PITCH)
    made = simulate_mat(
        Standing(load_left_percent=58.0),
        mat,
        Swaying(duration_s=1.2, rate_hz=10.0),
        rng=np.random.default_rng(5),
    )
    cells = np.round(made.recording.cells, 1)
    return MatRecording(
        cells=cells,
        unit="kPa",
        pitch_x_mm=PITCH,
        pitch_y_mm=PITCH,
        rate_hz=10.0,
        time_s=made.recording.time_s,
    )


def row(values: FloatArray, sign: str = ",", decimal: str = ".") -> str:
    return sign.join(f"{v:.1f}".replace(".", decimal) for v in values)


def grid(frame: FloatArray, sign: str = ",", decimal: str = ".") -> str:
    return "\n".join(row(r, sign, decimal) for r in frame)


# Toes on top as a mat's own window shows them, unless said otherwise: the picture seen from above.
WAYS: dict[str, Writer] = {
    "tabs, a blank line between": lambda c: "\n\n".join(grid(f[::-1], "\t") for f in c),
    "semicolons and decimal commas": lambda c: "\n\n".join(grid(f[::-1], ";", ",") for f in c),
    "blanks, nothing between": lambda c: "\n".join(grid(f[::-1], " ") for f in c),
    "a trailing sign, CRLF": lambda c: "\n\n".join(
        "\n".join(row(r, ";") + ";" for r in f[::-1]) for f in c
    ).replace("\n", "\r\n"),
    "a line of words before each frame": lambda c: "\n".join(
        f"Frame {k}; at {0.1 * k:.2f} s\n{grid(f[::-1], ';')}" for k, f in enumerate(c)
    ),
    "a long preamble and a tail": lambda c: (
        "\n".join(f"# line {k} of words" for k in range(70))
        + "\nrows: 48\ncolumns: 56\npitch 8.0 mm\n10 Hz\n\n"
        + "\n".join(grid(f[::-1]) for f in c)
        + "\n\nend of data\n"
    ),
    "a frame a line with its time": lambda c: (
        "t;cells\n" + "\n".join(f"{0.1 * k:.1f};{row(f[::-1].ravel(), ';')}" for k, f in enumerate(c))
    ),
    "a frame a line, milliseconds, decimal commas": lambda c: (
        "time in ms\n" + "\n".join(f"{k};{100 * k};{row(f[::-1].ravel(), ';', ',')}" for k, f in enumerate(c))
    ),
    "row numbers ahead and sums behind": lambda c: "\n".join(
        "\n".join(f"{i},{row(r)},{np.sum(r):.1f}" for i, r in enumerate(f[::-1])) for f in c
    ),
    "labels ahead": lambda c: "\n\n".join(
        "\n".join(f"row {i},{row(r)}" for i, r in enumerate(f[::-1])) for f in c
    ),
    "turned upside down": lambda c: "\n\n".join(grid(f[:, ::-1]) for f in c),
    "turned a quarter, toes to the right": lambda c: "\n\n".join(grid(f.T) for f in c),
    "turned a quarter, toes to the left": lambda c: "\n\n".join(grid(f.T[::-1, ::-1]) for f in c),
}


def guessed(text: str | bytes, stated: Stated | None = None) -> Guess:
    raw = text.encode() if isinstance(text, str) else text
    return guess_layout(io.BytesIO(raw), file="mat.txt", stated=stated)


@pytest.mark.parametrize("way", WAYS)
def test_whatever_the_shape_the_frames_come_back(way: str, feet: MatRecording) -> None:
    text = WAYS[way](feet.cells)
    layout = guessed(text).layout
    back = read_text_grid(text.encode(), layout, file="mat.txt")
    assert back.shape == feet.shape
    assert np.array_equal(back.cells, feet.cells)
    assert back.unit == "kPa"
    assert read_layout(layout_toml(layout).encode(), file="mat.toml") == layout


@pytest.mark.parametrize("coded", ["utf-16", "utf-8-sig", "gzip"])
def test_coding_and_packing_change_nothing(coded: str, feet: MatRecording) -> None:
    text = WAYS["tabs, a blank line between"](feet.cells)
    raw = gzip.compress(text.encode()) if coded == "gzip" else text.encode(coded)
    assert guessed(raw).layout == guessed(text).layout


def test_what_the_file_says_is_taken_over_what_the_values_show(feet: MatRecording) -> None:
    found = guessed(WAYS["a long preamble and a tail"](feet.cells))
    trust = {reason.key: reason.trust for reason in found.reasons}
    assert (found.layout.pitch_mm, found.layout.rate_hz) == ([8.0, 8.0], 10.0)
    assert (trust["pitch_mm"], trust["rate_hz"], trust["rows"]) == ("read", "read", "read")


def test_times_give_the_rate_in_seconds_and_milliseconds(feet: MatRecording) -> None:
    ways = ("a line of words before each frame", "a frame a line, milliseconds, decimal commas")
    for way in (*ways, "a frame a line with its time"):
        text = WAYS[way](feet.cells)
        back = read_text_grid(text.encode(), guessed(text).layout, file="mat.txt")
        assert back.rate_hz == pytest.approx(10.0)


def test_what_nothing_in_the_file_can_tell_is_marked_so(feet: MatRecording) -> None:
    found = guessed(WAYS["tabs, a blank line between"](feet.cells))
    unsure = {reason.key for reason in found.reasons if reason.trust == "check"}
    assert unsure == {"rate_hz", "pitch_mm", "first_column"}
    assert found.layout.pitch_mm[0] == pytest.approx(PITCH, rel=0.1)  # feet differ by a tenth


def test_what_the_teacher_knows_is_taken(feet: MatRecording) -> None:
    text = WAYS["tabs, a blank line between"](feet.cells)
    found = guessed(text, Stated(pitch_mm=(8.0, 8.0), rate_hz=10.0, unit="counts"))
    assert (found.layout.pitch_mm, found.layout.rate_hz, found.layout.unit) == ([8.0, 8.0], 10.0, "counts")
    assert {reason.key for reason in found.reasons if reason.trust == "check"} == {"first_column"}


def test_the_unit_that_gives_the_players_weight_is_taken(feet: MatRecording) -> None:
    text = WAYS["tabs, a blank line between"](0.1 * feet.cells)  # N/cm2 is ten kPa
    mass_kg = float(feet.cells.mean(axis=0).sum()) * PITCH**2 / 1000.0 / 9.80665
    found = guessed(text, Stated(pitch_mm=(8.0, 8.0), mass_kg=mass_kg))
    assert found.layout.unit == "N/cm2"


def test_turning_and_mirroring_move_the_picture(feet: MatRecording) -> None:
    text = WAYS["turned a quarter, toes to the right"](feet.cells[:1])
    plain = guessed(text).layout
    assert guessed(text, Stated(turn_deg=90, mirror=True)).layout == turned(plain, 90, mirror=True)
    before = read_text_grid(text.encode(), plain, file="a").cells[0]
    for turn in (0, 90, 180, 270):
        wanted = np.rot90(before[::-1], turn // 90)[::-1]  # counter-clockwise as drawn, toes up
        for mirror in (False, True):
            moved = turned(plain, turn, mirror=mirror)
            after = read_text_grid(text.encode(), moved, file="a").cells[0]
            assert np.array_equal(after, wanted[:, ::-1] if mirror else wanted)


def test_turning_four_quarters_changes_nothing() -> None:
    layout = Layout.model_validate(
        {"rows": 4, "columns": 5, "pitch_mm": 8.0, "unit": "kPa", "first_row": "toe", "first_column": "left"}
    )
    assert turned(turned(layout, 180), 180) == layout
    assert turned(turned(layout, 90, mirror=True), 90, mirror=True) == layout


def test_prose_and_odd_tables_are_refused() -> None:
    with pytest.raises(NoGridError):
        guessed("Dear reader,\nthere are no numbers here.\n")
    with pytest.raises(NoRowsError, match="3 lines of 4 values"):
        guessed("1,2,3,4\n5,6,7,8\n9,1,2,3\n")


@pytest.mark.parametrize(
    ("words", "key", "value"),
    [
        ("Rows: 48", "rows", 48),
        ("64 x 48 cells", "rows", 64),
        ("Spalten = 64", "columns", 64),
        ("cell size 0,85 cm", "pitch_mm", [8.5, 8.5]),
        ("spacing: 5.08 x 7.62 mm", "pitch_mm", [5.08, 7.62]),
        ("Sample rate: 50", "rate_hz", 50.0),
        ("interval 20 ms", "rate_hz", 50.0),
        ("pressure (N/cm²)", "unit", "N/cm2"),
        ("raw digits", "unit", "counts"),
        ("force [N]", "unit", "N"),
    ],
)
def test_words_are_understood(words: str, key: str, value: object) -> None:
    assert getattr(said_in([words]), key)[0] == value


def test_a_word_between_two_frames_only_is_no_header_and_is_refused_by_its_line(feet: MatRecording) -> None:
    frames = [grid(f[::-1]) for f in feet.cells[:4]]
    text = f"{frames[0]}\n\n{frames[1]}\nnote\n{frames[2]}\n\n{frames[3]}\n"
    with pytest.raises(WrongColumnsError, match="line 98"):  # two frames of 48 rows and a blank line
        guessed(text)
