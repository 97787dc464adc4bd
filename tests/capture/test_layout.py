"""A layout says how a text export is laid out; whatever is wrong in it is named with what is allowed."""

from pathlib import Path

import pytest

from evenground.capture.fields import NotTomlError, UnreadableFieldError
from evenground.capture.layout import load_layout, read_layout

GOOD = {
    "delimiter": '";"',
    "decimal": '","',
    "skip_lines": "2",
    "frames": '"stacked"',
    "rows": "48",
    "columns": "64",
    "pitch_mm": "8.5",
    "unit": '"kPa"',
    "first_row": '"toe"',
    "first_column": '"left"',
    "turned_deg": "0.0",
    "rate_hz": "50.0",
}


def toml(**changed: str | None) -> bytes:
    lines = (GOOD | changed).items()
    return "\n".join(f"{key} = {value}" for key, value in lines if value is not None).encode()


def test_a_layout_reads_back_as_written(tmp_path: Path) -> None:
    path = tmp_path / "mat.toml"
    path.write_bytes(toml())
    layout = load_layout(path)
    assert (layout.rows, layout.columns, layout.pitches_mm) == (48, 64, (8.5, 8.5))
    assert (layout.delimiter, layout.decimal, layout.frames) == (";", ",", "stacked")
    assert (layout.cell_unit, layout.factor) == ("kPa", 1.0)


def test_the_sample_on_the_formats_page_loads() -> None:
    page = (Path(__file__).parents[2] / "docs" / "formats" / "ground.md").read_text("utf-8")
    sample = page.split("A sample:")[1].split("##")[0]
    layout = read_layout(sample.replace("\n    ", "\n").encode(), file="sample.toml")
    assert (layout.rows, layout.columns, layout.rate_hz) == (48, 64, 50.0)


@pytest.mark.parametrize(
    ("changed", "field", "said"),
    [
        ({"delimiter": '"x"'}, "delimiter", '"x" is not one of the choices'),
        ({"decimal": '";"'}, "decimal", '";" is not one of the choices'),
        ({"frames": '"movie"'}, "frames", '"movie" is not one of the choices'),
        ({"first_row": '"top"'}, "first_row", "'heel' or 'toe'"),
        ({"first_column": '"up"'}, "first_column", "'left' or 'right'"),
        ({"unit": '"bar"'}, "unit", '"bar" is not one of the choices'),
        ({"rows": "0"}, "rows", "at least 2"),
        ({"rows": "12.5"}, "rows", "whole number"),
        ({"columns": None}, "columns", "This is missing"),
        ({"pitch_mm": "0.0"}, "pitch_mm", "more than 0.5 mm"),
        ({"pitch_mm": "[8.0, 8.0, 8.0]"}, "pitch_mm", "at most 2 entries"),
        ({"skip_lines": "-1"}, "skip_lines", "at least 0"),
        ({"turned_deg": "400.0"}, "turned_deg", "at most 360 deg"),
        ({"rate_hz": "nan"}, "rate_hz", "finite number"),
        ({"colour": '"red"'}, "colour", "This key is not known"),
        ({"row": "48"}, "row", "Did you mean rows"),
    ],
)
def test_each_key_is_checked_and_named(changed: dict[str, str | None], field: str, said: str) -> None:
    with pytest.raises(UnreadableFieldError) as caught:
        read_layout(toml(**changed), file="mat.toml")
    assert str(caught.value).startswith(f"mat.toml, {field}")
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"delimiter": '","'}, "decimal and delimiter are the same sign"),
        ({"rate_hz": None}, "rate_hz is missing"),
        ({"time_column": "1"}, "time_column goes with row-per-frame"),
        ({"frames": '"row-per-frame"', "time_column": "0"}, "columns are counted from 1"),
    ],
)
def test_keys_that_do_not_go_together_are_refused(changed: dict[str, str | None], said: str) -> None:
    with pytest.raises(UnreadableFieldError) as caught:
        read_layout(toml(**changed), file="mat.toml")
    assert said.lower() in str(caught.value).lower()


def test_what_is_not_toml_is_said_to_be_none() -> None:
    with pytest.raises(NotTomlError):
        read_layout(b"rows: 48", file="mat.toml")


# N/cm2: 1 N over 1e-4 m^2 is 10 kPa. psi: NIST SP 811 (2008), appendix B.9: 6.894757 kPa.
@pytest.mark.parametrize(("unit", "kpa"), [("N/cm2", 10.0), ("psi", 6.894757), ("N", 1000.0 / 8.5**2)])
def test_units_are_turned_into_kilopascals(unit: str, kpa: float) -> None:
    assert read_layout(toml(unit=f'"{unit}"'), file="mat.toml").factor == pytest.approx(kpa, rel=1e-7)
