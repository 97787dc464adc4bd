"""Aims from CSV, and what is refused."""

from pathlib import Path

import pytest

from evenground.capture.aim_trials import read_aims
from evenground.errors import CaptureError
from evenground.visit import AimTrial


def read(tmp_path: Path, raw: str | bytes) -> tuple[AimTrial, ...]:
    file = tmp_path / "aims.csv"
    file.write_bytes(raw.encode() if isinstance(raw, str) else raw)
    return read_aims(file)


def test_aims_are_read_with_their_conditions(tmp_path: Path) -> None:
    trials = read(tmp_path, "\ufeffTrial;condition;offset_mm\r\n1;;-12.5\r\n\r\n2;line on ball;3\r\n")
    assert trials == (
        AimTrial(trial=1, offset_mm=-12.5, condition="as arrived"),
        AimTrial(trial=2, offset_mm=3.0, condition="line on ball"),
    )


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        ("", "aims.csv: There is no table to read: it is empty."),
        ("trial,offset_mm\n", "there is no line below the column names"),
        (b"\x89PNG\xff\xfe", "it is not text in UTF-8"),
        (b"trial\x00,offset_mm\n1,2\n", "it is not text"),
        ("trial,left\n1,2\n", "aims.csv line 1: The columns do not fit (found: trial, left)."),
        ("trial,offset\n1,2\n", "aims.csv line 2, offset: '2' is not allowed here. Give a length with"),
        ("trial,offset_mm,face_deg\n1,2,1\n", "Give one of offset_mm, dot_mm, offset, dot, face_deg a line"),
        ("trial,face_deg\n1,2 mm\n", "aims.csv line 2, face_deg: '2 mm' is not allowed here. Give degrees"),
        ("trial,offset_mm,colour\n1,2,3\n", "The columns do not fit"),
        ("trial,offset_mm\n1,12 mm\n", "aims.csv line 2, offset_mm: '12 mm' is not allowed here."),
        ("trial,offset_mm\n1,nan\n", "'nan' is not allowed here."),
        ("trial,offset_mm\n1,inf\n", "'inf' is not allowed here."),
        ("trial,offset_mm\n1,\n", "aims.csv line 2, offset_mm: The value is missing."),
        ("trial,offset_mm\n1\n", "aims.csv line 2, offset_mm: The value is missing."),
        ("trial,offset_mm\n1,1,5\n", "aims.csv line 2, cells: '3 cells' is not allowed here. Give 2 cells"),
        ("trial,offset_mm\n0,1\n", "aims.csv line 2, trial: '0' is not allowed here."),
        ("trial,offset_mm\n1,1\n1,2\n", "aims.csv line 3, trial: '1' is not allowed here."),
        ("trial,offset_mm\n" + "1,1\n" * 300_000, "it is larger than 1 MB"),
    ],
)
def test_a_file_that_cannot_be_right_says_where(tmp_path: Path, raw: str | bytes, said: str) -> None:
    with pytest.raises(CaptureError) as caught:
        read(tmp_path, raw)
    assert said in str(caught.value)


def test_a_file_that_is_not_there_says_so(tmp_path: Path) -> None:
    with pytest.raises(CaptureError, match=r"gone\.csv: This file cannot be opened"):
        read_aims(tmp_path / "gone.csv")


def test_aims_are_read_in_any_of_the_ways_and_in_inches(tmp_path: Path) -> None:
    text = "trial;offset;dot_mm;face_deg\n1;-1/2 in;;\n2;;31;\n3;;;-1.5\n4;12 mm;;\n"
    assert read(tmp_path, text) == (
        AimTrial(trial=1, offset_mm=-12.7),
        AimTrial(trial=2, dot_mm=31.0),
        AimTrial(trial=3, face_deg=-1.5),
        AimTrial(trial=4, offset_mm=12.0),
    )
