r"""How a foreign text export of a mat is laid out, declared in TOML; every key is checked, none is guessed.

delimiter = ";"          "," ";" "\t" "|" or " " (any run of blanks)
decimal = ","            "." or ","
skip_lines = 3           lines before the first frame
skip_last_lines = 1      lines with words behind the last frame, blank ones not counted
frames = "stacked"       "single": one grid; "stacked": grids one below the other, blank lines between them
                         allowed; "row-per-frame": one line a frame, its cells row after row
rows = 48
columns = 64
pitch_mm = 8.5           or [between columns, between rows]
unit = "kPa"             "kPa", "N/cm2", "psi", "N" (each cell's force) or "counts"
first_row = "heel"       which side the file's first row lies on, seen from the player, the mat straight ahead
first_column = "left"
turned_deg = 0.0         how far the mat was then turned on the floor, counter-clockwise seen from above
rate_hz = 100.0          needed for several frames unless there is a time column
time_column = 1          row-per-frame only: column of the time, counted from 1, or its heading
time_unit = "s"          "s" or "ms"
header_lines = 1         lines with words before each frame, such as its number; single and stacked only
header_time = 2          which number in those lines is the frame's time
skip_columns = 1         columns before the cells, such as a row's or frame's number
skip_last_columns = 1    columns behind the cells, such as a row's sum
"""

import json
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, model_validator
from pydantic_core import PydanticCustomError

from evenground.capture.fields import Count, Number, Typed, load_toml, read_toml
from evenground.measure.recording import CellUnit

__all__ = ["Layout", "layout_toml", "load_layout", "read_layout"]

Pitch = Annotated[Number, Field(gt=0.5, le=60.0)]


def _both_ways(pitch: object) -> object:
    """One pitch stands for columns and rows alike."""
    return pitch if isinstance(pitch, list) else [pitch, pitch]


_TO_KPA = {
    "kPa": 1.0,
    "N/cm2": 10.0,
    # pound 0.45359237 kg (exact), standard gravity 9.80665 m/s^2, inch 25.4 mm (exact)
    "psi": 0.45359237 * 9.80665 / 0.0254**2 / 1000.0,
}


class Layout(Typed):
    """A declared layout; see the top of this module."""

    delimiter: Literal[",", ";", "\t", "|", " "] = ","
    decimal: Literal[".", ","] = "."
    skip_lines: Annotated[Count, Field(ge=0, le=10_000)] = 0
    skip_last_lines: Annotated[Count, Field(ge=0, le=1000)] = 0
    frames: Literal["single", "stacked", "row-per-frame"] = "single"
    rows: Annotated[Count, Field(ge=2, le=2000)]
    columns: Annotated[Count, Field(ge=2, le=2000)]
    pitch_mm: Annotated[list[Pitch], Field(min_length=2, max_length=2), BeforeValidator(_both_ways)]
    unit: Literal["kPa", "N/cm2", "psi", "N", "counts"]
    first_row: Literal["heel", "toe"]
    first_column: Literal["left", "right"]
    turned_deg: Annotated[Number, Field(ge=-360.0, le=360.0)] = 0.0
    rate_hz: Annotated[Number, Field(gt=0.0, le=10_000.0)] | None = None
    time_column: int | str | None = None
    time_unit: Literal["s", "ms"] = "s"
    header_lines: Annotated[Count, Field(ge=0, le=200)] = 0
    header_time: Annotated[Count, Field(ge=1, le=100)] | None = None
    skip_columns: Annotated[Count, Field(ge=0, le=1000)] = 0
    skip_last_columns: Annotated[Count, Field(ge=0, le=1000)] = 0

    @model_validator(mode="after")
    def _keys_agree(self) -> Self:
        if self.decimal == self.delimiter:
            raise _disagree("decimal and delimiter are the same sign; give two different ones")
        if isinstance(self.time_column, int) and self.time_column < 1:
            raise _disagree(f"time_column = {self.time_column} is no column; columns are counted from 1")
        if self.time_column is not None and self.frames != "row-per-frame":
            raise _disagree(
                f"time_column goes with row-per-frame, not with {self.frames}; give rate_hz instead"
            )
        if self.header_lines and self.frames == "row-per-frame":
            raise _disagree("header_lines stand before each grid; row-per-frame has none, use skip_lines")
        if self.header_time is not None and not self.header_lines:
            raise _disagree("header_time is a number in the header_lines; say how many lines those are")
        timed = self.time_column is not None or self.header_time is not None
        if self.frames != "single" and self.rate_hz is None and not timed:
            raise _disagree(f"rate_hz is missing; frames = {self.frames} needs it, or a time_column")
        return self

    @property
    def pitches_mm(self) -> tuple[float, float]:
        """Pitch of columns and of rows."""
        return self.pitch_mm[0], self.pitch_mm[1]

    @property
    def seconds(self) -> float:
        """What the file's times are multiplied by to get seconds."""
        return 0.001 if self.time_unit == "ms" else 1.0

    @property
    def cell_unit(self) -> CellUnit:
        """Unit of the recording that this layout gives."""
        return "counts" if self.unit == "counts" else "kPa"

    @property
    def factor(self) -> float:
        """What the file's numbers are multiplied by to get that unit."""
        if self.unit == "counts":
            return 1.0
        x, y = self.pitches_mm
        return 1000.0 / (x * y) if self.unit == "N" else _TO_KPA[self.unit]


def _disagree(said: str) -> PydanticCustomError:
    return PydanticCustomError("keys_disagree", "{said}", {"said": said})


def load_layout(path: Path) -> Layout:
    """Read a layout.

    Raises
    ------
    MissingFileError, NotTomlError, UnreadableFieldError
        With the file, the key, the value, and what is allowed.
    """
    return load_toml(path, Layout)


def read_layout(raw: bytes, *, file: str) -> Layout:
    """Read the bytes of a layout; `file` names it in messages. Errors as in `load_layout`."""
    return read_toml(raw, Layout, file=file)


_NEEDED = ("rows", "columns", "pitch_mm", "unit", "first_row", "first_column")


def layout_toml(layout: Layout) -> str:
    """A layout as the text of its file: what is needed, and what differs from its default."""
    lines = []
    for key, info in Layout.model_fields.items():
        value = getattr(layout, key)
        if key in _NEEDED or value != info.default:
            lines.append(f"{key} = {_toml(value)}\n")
    return "".join(lines)


def _toml(value: object) -> str:
    if isinstance(value, list):
        same = all(item == value[0] for item in value)
        return _toml(value[0]) if same else f"[{', '.join(_toml(item) for item in value)}]"
    # JSON's text and numbers are TOML's too
    return json.dumps(value, ensure_ascii=False)
