"""CoP series from tables of text, or one sentence on the line that was wrong."""

import gzip
from pathlib import Path

import numpy as np
import pytest

from evenground.capture.cop_series import (
    BadCellError,
    ColumnMissingError,
    LengthUnit,
    UnevenTimesError,
    read_cop_series,
)
from evenground.capture.text import BinaryFileError, CutFileError, EmptyFileError
from evenground.errors import CaptureError

TABLE = "t,x,y\n0.00,1.0,2.0\n0.02,1.5,2.5\n0.04,1.0,3.0\n"


def file(tmp_path: Path, text: str | bytes) -> Path:
    path = tmp_path / "cop.txt"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


@pytest.mark.parametrize(
    "text",
    [
        TABLE,
        TABLE.replace(",", "\t"),
        TABLE.replace(",", ";"),
        TABLE.replace(",", "  "),
        gzip.compress(TABLE.encode(), mtime=0),
        "z,y,x,t\n9,2.0,1.0,0\n9,2.5,1.5,0.02\n9,3.0,1.0,0.04\n",
    ],
)
def test_columns_are_found_by_heading(tmp_path: Path, text: str | bytes) -> None:
    series = read_cop_series(file(tmp_path, text), ("t", "x", "y"), "mm")
    assert series.cop_mm.tolist() == [[1.0, 2.0], [1.5, 2.5], [1.0, 3.0]]
    assert series.rate_hz == pytest.approx(50.0)


def test_columns_are_found_by_number_without_a_heading(tmp_path: Path) -> None:
    text = TABLE.partition("\n")[2]
    assert read_cop_series(file(tmp_path, text), ("1", "3", "2"), "mm").cop_mm[0].tolist() == [2.0, 1.0]


@pytest.mark.parametrize(("unit", "factor"), [("mm", 1.0), ("cm", 10.0), ("m", 1000.0)])
def test_lengths_become_millimetres(tmp_path: Path, unit: LengthUnit, factor: float) -> None:
    series = read_cop_series(file(tmp_path, TABLE), ("t", "x", "y"), unit)
    assert series.cop_mm == pytest.approx(factor * np.array([[1.0, 2.0], [1.5, 2.5], [1.0, 3.0]]))


@pytest.mark.parametrize(
    ("text", "error", "said"),
    [
        ("", EmptyFileError, "This file is empty."),
        (b"t,x\0,y", BinaryFileError, "not text"),
        ("t,x,z\n0,1,2\n", ColumnMissingError, 'no column "y". Columns here: t, x, z'),
        (TABLE + "0.06,oops,1\n0.08,1,1\n", BadCellError, 'line 5: x holds "oops"'),
        (TABLE + "0.06,nan,1\n0.08,1,1\n", BadCellError, 'line 5: x holds "nan"'),
        (TABLE + "0.06,1,inf\n0.08,1,1\n", BadCellError, 'line 5: y holds "inf"'),
        (TABLE + "0.06,,1\n0.08,1,1\n", BadCellError, 'line 5: x holds ""'),
        (TABLE + "0.06,1\n0.08,1,1\n", BadCellError, "line 5"),
        (TABLE + "0.06,1", CutFileError, "its last line has 2 columns"),
        (TABLE + "0.10,1,1\n", UnevenTimesError, "0.06 s after the one before it, where 0.02 s are usual"),
        (TABLE + "0.04,1,1\n", UnevenTimesError, "line 5"),
        ("t,x,y\n3,1,1\n2,1,1\n1,1,1\n", UnevenTimesError, "-1 s after"),
    ],
)
def test_bad_tables_are_refused_in_one_sentence(
    tmp_path: Path, text: str | bytes, error: type[CaptureError], said: str
) -> None:
    with pytest.raises(error) as caught:
        read_cop_series(file(tmp_path, text), ("t", "x", "y"), "mm")
    assert str(caught.value).startswith("cop.txt")
    assert said in str(caught.value)
    assert caught.value.do
