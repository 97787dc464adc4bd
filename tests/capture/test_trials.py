"""Reading hip-line trials: what passes, and every refusal with file, line, column and what is allowed."""

import pickle
from pathlib import Path

import pytest

from evenground.capture import trials as tr
from evenground.errors import CaptureError
from evenground.visit import HipLineTrial

HEAD = "trial,width_mm,hip_line_deg\n"


def read(tmp_path: Path, text: str | bytes) -> tuple[HipLineTrial, ...]:
    path = tmp_path / "trials.csv"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return tr.read_trials(path)


def test_the_shortest_file_gives_trials_for_all_families_before_the_routine(tmp_path: Path) -> None:
    assert read(tmp_path, HEAD + "1,300,-4.5\n2,410.5,1\n") == (
        HipLineTrial(trial=1, width_mm=300.0, hip_line_deg=-4.5),
        HipLineTrial(trial=2, width_mm=410.5, hip_line_deg=1.0),
    )


def test_columns_may_stand_in_any_order_with_family_and_phase(tmp_path: Path) -> None:
    text = "phase,hip_line_deg,Family,trial,width_mm\nafter,2,Woods,3,500\n,1,,4,400\n"
    assert read(tmp_path, text) == (
        HipLineTrial(trial=3, width_mm=500.0, hip_line_deg=2.0, family="woods", phase="after"),
        HipLineTrial(trial=4, width_mm=400.0, hip_line_deg=1.0),
    )


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_any_line_ending_a_byte_order_mark_and_empty_lines_pass(tmp_path: Path, ending: str) -> None:
    text = "\ufeff" + (HEAD + "1,300,-4\n\n,,\n2,400,1").replace("\n", ending)
    assert [t.trial for t in read(tmp_path, text)] == [1, 2]


def test_semicolons_between_cells_pass(tmp_path: Path) -> None:
    assert read(tmp_path, "trial;width_mm;hip_line_deg\n1;300;-4\n")[0].width_mm == 300.0


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(tr.UnreadableTrialsError, match=r"gone\.csv: The file is not there"):
        tr.read_trials(tmp_path / "gone.csv")


def test_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(tr.UnreadableTrialsError, match="cannot be opened"):
        tr.read_trials(tmp_path)


@pytest.mark.parametrize(
    ("raw", "why"),
    [
        (b"PAR1\x00\x01\x02", "is not text"),
        (b"trial,width_mm\xff\xfe", "is not text in UTF-8"),
        (b"x" * 1_000_001, "is larger than 1 MB"),
        (HEAD.encode() + b'1,"' + b"9" * 200_000 + b'",1\n', "is not a table"),
    ],
)
def test_a_file_that_is_no_trials_table_is_refused(tmp_path: Path, raw: bytes, why: str) -> None:
    with pytest.raises(tr.UnreadableTrialsError, match=why):
        read(tmp_path, raw)


@pytest.mark.parametrize("text", ["", "\n\n", HEAD, HEAD + ",,\n"])
def test_a_file_without_trials_is_refused(tmp_path: Path, text: str) -> None:
    with pytest.raises(tr.NoTrialsError, match="no trial in the file"):
        read(tmp_path, text)


def test_a_missing_column_is_named_with_what_was_found(tmp_path: Path) -> None:
    with pytest.raises(tr.MissingColumnError, match=r"line 1: The column width_mm is missing \(found: trial"):
        read(tmp_path, "trial,width,hip_line_deg\n1,300,2\n")


@pytest.mark.parametrize("extra", ["shoe", "trial"])
def test_an_unknown_or_doubled_column_is_refused(tmp_path: Path, extra: str) -> None:
    with pytest.raises(tr.UnknownColumnError, match=repr(extra)):
        read(tmp_path, f"trial,width_mm,hip_line_deg,{extra}\n1,300,2,1\n")


@pytest.mark.parametrize(
    ("row", "column", "said"),
    [
        ("1,wide,2", "width_mm", "'wide' is not allowed here. Give heel centre"),
        ("1,300,", "hip_line_deg", "The value is missing. Give degrees"),
        ("1,300", "hip_line_deg", "The value is missing"),
        ("1,nan,2", "width_mm", "'nan' is not allowed"),
        ("1,300,inf", "hip_line_deg", "'inf' is not allowed"),
        ("1.5,300,2", "trial", "a whole number from 1"),
        ("0,300,2", "trial", "a whole number from 1"),
        ("10000,300,2", "trial", "a whole number from 1 to 9999"),
        (",300,2", "trial", "The value is missing"),
        ("1,300 mm,2", "width_mm", "'300 mm' is not allowed"),
        ("1,300,2,5", "cells", "3 cells, with a point in decimals"),
    ],
)
def test_a_wrong_cell_is_named_by_line_and_column(tmp_path: Path, row: str, column: str, said: str) -> None:
    with pytest.raises(tr.TrialValueError) as caught:
        read(tmp_path, HEAD + "7,350,1\n" + row + "\n")
    assert f"trials.csv line 3, {column}: " in str(caught.value)
    assert said in str(caught.value)


@pytest.mark.parametrize(("family", "phase"), [("wedges", "before"), ("irons", "during")])
def test_an_unknown_word_is_refused_with_the_words_allowed(tmp_path: Path, family: str, phase: str) -> None:
    with pytest.raises(tr.TrialValueError, match=r"one of (putter, irons, woods|before, rested, after)"):
        read(tmp_path, f"trial,width_mm,hip_line_deg,family,phase\n1,300,2,{family},{phase}\n")


def test_a_trial_number_that_stands_twice_names_both_lines(tmp_path: Path) -> None:
    with pytest.raises(tr.TrialTwiceInFileError, match=r"line 4, trial: Trial 1 already stands in line 2"):
        read(tmp_path, HEAD + "1,300,2\n2,400,2\n1,350,2\n")


def test_the_same_number_before_and_after_passes(tmp_path: Path) -> None:
    text = "trial,width_mm,hip_line_deg,phase\n1,300,2,before\n1,300,1,after\n"
    assert len(read(tmp_path, text)) == 2


@pytest.mark.parametrize("cut", range(34))
def test_a_file_cut_before_its_first_angle_is_refused_in_one_sentence(tmp_path: Path, cut: int) -> None:
    with pytest.raises(CaptureError, match=r"^trials\.csv[^\n]*$"):
        read(tmp_path, (HEAD + "1,300,-4.5\n2,410,1\n")[:cut])


ERRORS: list[CaptureError] = [
    tr.UnreadableTrialsError("a.csv", "is not there"),
    tr.NoTrialsError("a.csv"),
    tr.MissingColumnError("a.csv", ("trial",), ("x",)),
    tr.UnknownColumnError("a.csv", "x"),
    tr.TrialValueError("a.csv", 2, "trial", "x", "a whole number"),
    tr.TrialTwiceInFileError("a.csv", 1, 3, 2),
]


@pytest.mark.parametrize("error", ERRORS, ids=lambda e: e.code)
def test_errors_survive_pickling_and_say_what_to_do(error: CaptureError) -> None:
    assert str(pickle.loads(pickle.dumps(error))) == str(error)  # noqa: S301
    assert error.do
