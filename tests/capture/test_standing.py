"""Plates as tables, scales as typed, layouts of every kind: one door, one sentence for what is wrong."""

import io

import numpy as np
import pytest

from evenground.capture.cop_series import ColumnMissingError
from evenground.capture.fields import UnreadableFieldError
from evenground.capture.layout import Layout
from evenground.capture.plate_series import PlateColumns
from evenground.capture.scales_file import read_scales, scales_toml
from evenground.capture.standing import AnyLayout, PlateFacing, read_any_layout, read_standing
from evenground.errors import EvengroundError
from evenground.measure.plates import PlateRecording
from evenground.measure.scales import ScaleReadings, ScalesError
from evenground.measure.ways import Standing

TABLE = "t\tFL\txL\tyL\tFR\txR\tyR\n" + "".join(
    f"{k / 10:.1f}\t-300\t-0.15\t0.02\t-400\t0.16\t0.03\n" for k in range(20)
)
TWO = PlateColumns(plates=["t", "FL", "xL", "yL", "FR", "xR", "yR"], unit="m")
SCALES = b"""
[[scale]]
foot = "left"
kg = [44, 44.4]
x = "-6 in"
[[scale]]
foot = "right"
kg = 36
step_kg = 0.5
"""


def read(raw: bytes | str, name: str, layout: AnyLayout | None = None) -> Standing:
    stream = io.BytesIO(raw.encode() if isinstance(raw, str) else raw)
    return read_standing(stream, file=name, layout=layout)


def test_named_columns_become_plates_in_millimetres_and_upward_newtons() -> None:
    recording = read(TABLE, "a.txt", TWO)
    assert isinstance(recording, PlateRecording)
    left, right = recording.plates
    assert (left.foot, right.foot) == ("left", "right")
    assert recording.rate_hz == pytest.approx(10.0)
    assert left.cop_mm[0].tolist() == pytest.approx([-150.0, 20.0])
    assert right.force_n[0] == 400.0


def test_a_minus_turns_a_column_and_an_empty_name_leaves_it_out() -> None:
    one = read(TABLE, "a.txt", PlateColumns(plates=["1", "FL", "-xL", ""], unit="cm"))
    assert isinstance(one, PlateRecording)
    assert one.plates[0].foot == "both"
    assert one.plates[0].cop_mm[0, 0] == pytest.approx(1.5)
    assert np.isnan(one.plates[0].cop_mm[:, 1]).all()


def test_scales_are_typed_in_any_unit_and_come_back_from_their_file() -> None:
    readings = read(SCALES, "s.toml")
    assert isinstance(readings, ScaleReadings)
    assert readings.scales[0].kg == (44.0, 44.4)
    assert readings.scales[0].x_mm == pytest.approx(-152.4)
    assert readings.scales[1].step_kg == 0.5
    assert read_scales(scales_toml(readings).encode(), file="s.toml") == readings


def test_scales_may_be_lines_of_a_table() -> None:
    lines = "foot,part,kg,x_mm,y_mm\nleft,whole,44,-150,\nright,whole,36,150,\n"
    readings = read(lines, "s.csv")
    assert isinstance(readings, ScaleReadings)
    assert [(s.foot, s.kg, s.x_mm, s.y_mm) for s in readings.scales] == [
        ("left", (44.0,), -150.0, None),
        ("right", (36.0,), 150.0, None),
    ]


def test_layouts_are_told_apart_by_their_keys() -> None:
    grid = b'rows = 4\ncolumns = 5\npitch_mm = 8\nunit = "kPa"\nfirst_row = "toe"\nfirst_column = "left"\n'
    assert isinstance(read_any_layout(grid, file="a.toml"), Layout)
    plates = b'plates = ["t", "F", "x", "y"]\nunit = "m"\n'
    assert isinstance(read_any_layout(plates, file="a.toml"), PlateColumns)
    assert read_any_layout(b'facing = "-x"\n', file="a.toml") == PlateFacing(facing="-x")


@pytest.mark.parametrize(
    ("raw", "name", "layout", "error", "said"),
    [
        (TABLE, "a.txt", PlateColumns(plates=["t", "F", "x", "y"], unit="m"), ColumnMissingError, '"F"'),
        (SCALES.replace(b'"right"', b'"left"'), "s.toml", None, ScalesError, "left whole, left whole"),
        (SCALES.replace(b"36", b'"x"'), "s.toml", None, UnreadableFieldError, "scale 2, kg"),
        (b"foot,part\nleft,whole\nright,whole\n", "s.csv", None, UnreadableFieldError, "scale 1, kg"),
        (b"\x00\x50" * 300, "a.c3d", None, EvengroundError, "damaged or no C3D file"),
    ],
)
def test_what_is_wrong_is_said_in_one_sentence(
    raw: bytes | str, name: str, layout: AnyLayout | None, error: type[EvengroundError], said: str
) -> None:
    with pytest.raises(error) as caught:
        read(raw, name, layout)
    assert said in str(caught.value)
    assert caught.value.do


@pytest.mark.parametrize("names", [["t", "F", "x"], ["t", "F", "x", "y", "F2"], ["", "F", "x", "y"]])
def test_columns_that_are_no_plates_are_refused(names: list[str]) -> None:
    text = f'plates = {names}\nunit = "m"\n'.replace("'", '"').encode()
    with pytest.raises(UnreadableFieldError):
        read_any_layout(text, file="a.toml")
