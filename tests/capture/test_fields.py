"""Typed-in tables: sizes both ways, and one sentence for whatever is wrong."""

import pickle
from pathlib import Path
from typing import Literal

import pytest
from pydantic import Field

from evenground.capture.fields import (
    Count,
    MissingFileError,
    NotTomlError,
    Number,
    Typed,
    UnreadableFieldError,
    checked,
    load_toml,
    read_toml,
)


class Trial(Typed):
    width_mm: float = Field(ge=0.0, le=1000.0)
    turns_deg: tuple[float, ...] = ()


class Sheet(Typed):
    name: str
    hand_mm: float | None = None
    load_kg: float = 1.0
    tape_g: float = 1.5
    handed: Literal["right", "left"] = "right"
    repeats: Count = 1
    ratio: Number = 0.5
    trials: tuple[Trial, ...] = ()


def read(text: str) -> Sheet:
    return read_toml(text.encode(), Sheet, file="visit.toml")


def test_a_size_is_a_number_in_its_unit_or_text_with_its_own() -> None:
    number = read('name = "a"\nhand_mm = 193\nload_kg = 5.5\ntape_g = 2\n[[trials]]\nwidth_mm = 254.0')
    text = read('name = "a"\nhand = "19.3 cm"\nload = "5,5 kg"\ntape = "2 g"\n[[trials]]\nwidth = "10 in"')
    assert number == text
    assert number.trials[0].width_mm == 254.0


def test_a_list_of_sizes_may_be_text_too() -> None:
    sheet = read('name = "a"\n[[trials]]\nwidth_mm = 1\nturns = ["-1 1/2 deg", "2°"]')
    assert sheet.trials[0].turns_deg == (-1.5, 2.0)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("hand_mm = 1", "visit.toml, name: This is missing. Add it"),
        (
            'name = "a"\nhand = "5 ft 11"',
            'visit.toml, hand: "5 ft 11" cannot be read as a length: the 11 at the end has no unit. Write',
        ),
        (
            'name = "a"\nhand_mm = "7 in"',
            'visit.toml, hand_mm: "7 in" is not a number in mm. Give the number alone, or write hand =',
        ),
        ('name = "a"\nhand_mm = true', "visit.toml, hand_mm: true is not a number in mm."),
        (
            'name = "a"\nhand = 7',
            'visit.toml, hand: 7 has no unit. Write hand = "30 1/2 in" as text, or hand_mm',
        ),
        ('name = "a"\nhand = "7 in"\nhand_mm = 178', "visit.toml: hand and hand_mm are both given. Keep one"),
        (
            'name = "a"\nhand_mm = nan',
            "visit.toml, hand_mm: nan does not fit here. Here a finite number is needed.",
        ),
        ('name = "a"\nratio = inf', "visit.toml, ratio: inf does not fit here."),
        ('name = "a"\nratio = "1"', 'visit.toml, ratio: "1" does not fit here. Here a number is needed.'),
        (
            'name = "a"\nrepeats = true',
            "visit.toml, repeats: true does not fit here. Here a whole number is needed.",
        ),
        ('name = "a"\nhanded = "both"', "\"both\" is not one of the choices. Allowed: 'right' or 'left'."),
        (
            'name = "a"\n[[trials]]\nwidth_mm = 1\n[[trials]]\nwidth_mm = 1001',
            "visit.toml, trials 2, width_mm: 1001 is not allowed. It has to be at most 1000 mm.",
        ),
        (
            'name = "a"\n[[trials]]\nwidth = "1 kg"',
            'visit.toml, trials 1, width: "1 kg" cannot be read as a length: kg is not a unit of length.',
        ),
        ('name = "a"\nhandd = "left"', "visit.toml, handd: This key is not known. Did you mean handed?"),
        (
            'name = "a"\n[[trials]]\nwidth_mm = 1\ncolour = 2',
            "colour: This key is not known. Known here: width_mm",
        ),
        ('name = "a"\ntrials = 3', "visit.toml, trials: 3 does not fit here. Here a list in square brackets"),
    ],
)
def test_what_is_wrong_is_said_with_file_field_value_and_what_is_allowed(text: str, said: str) -> None:
    with pytest.raises(UnreadableFieldError) as caught:
        read(text)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_several_mistakes_are_counted() -> None:
    with pytest.raises(UnreadableFieldError, match=r"\(2 more like this in the file\.\)"):
        read('handd = 1\nratio = "x"')


def test_files_that_are_not_toml_say_where(tmp_path: Path) -> None:
    with pytest.raises(NotTomlError, match=r"visit\.toml: This file is not readable TOML: .*line 2"):
        read("# a sheet\nname = two words")
    with pytest.raises(NotTomlError, match="byte 3 is not UTF-8 text"):
        read_toml(b"# \xff", Sheet, file="visit.toml")
    with pytest.raises(NotTomlError, match="nested too deeply"):
        read("name = " + "[" * 100_000)
    with pytest.raises(NotTomlError, match="larger than 4 MB"):
        read("#" * 4_000_001)
    with pytest.raises(MissingFileError, match=r"gone\.toml: This file cannot be opened \(no such file"):
        load_toml(tmp_path / "gone.toml", Sheet)
    with pytest.raises(MissingFileError, match="directory"):
        load_toml(tmp_path, Sheet)


def test_an_empty_file_says_what_is_missing(tmp_path: Path) -> None:
    empty = tmp_path / "visit.toml"
    empty.write_bytes(b"")
    with pytest.raises(UnreadableFieldError, match="name: This is missing"):
        load_toml(empty, Sheet)


def test_data_that_are_no_table_are_refused() -> None:
    with pytest.raises(UnreadableFieldError, match=r"a list of 2 does not fit here\. Here a table is needed"):
        checked(Sheet, [1, 2], file="visit.toml")


def test_a_model_whose_text_keys_would_clash_is_refused_when_it_is_written() -> None:
    with pytest.raises(TypeError, match="hand would stand for two fields"):

        class _Clash(Typed):
            hand_mm: float
            hand_deg: float


@pytest.mark.parametrize(
    "error",
    [
        MissingFileError("a.toml", "gone"),
        NotTomlError("a.toml", "line 1"),
        UnreadableFieldError("a.toml", "x", "This is missing", "Add it", 2),
    ],
)
def test_errors_survive_the_way_back_from_a_worker(error: Exception) -> None:
    assert str(pickle.loads(pickle.dumps(error))) == str(error)  # noqa: S301 - our own bytes
