"""Series of force plates from a table with named columns: time, then force and CoP of each plate."""

from typing import Annotated, Literal, Self

import numpy as np
from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from evenground.capture.cop_series import read_columns
from evenground.capture.fields import Typed
from evenground.measure.plates import Plate, PlateRecording
from evenground.measure.recording import FloatArray

__all__ = ["PlateColumns", "read_plate_series"]

_TO_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0}


class PlateColumns(Typed):
    """Which columns are what, and the unit of the CoP.

    `plates` names time, then of one plate force, CoP to the right, CoP ahead; or the same of the left and
    then the right plate. Headings, or numbers counted from 1; a minus before a name turns its sign; an empty
    name stands for a CoP that is not there. Time is in seconds, force in newtons, either sign.
    """

    plates: Annotated[list[str], Field(min_length=4, max_length=7)]
    unit: Literal["mm", "cm", "m"]

    @model_validator(mode="after")
    def _one_or_two(self) -> Self:
        if len(self.plates) not in (4, 7):
            said = (
                f"{len(self.plates)} columns are neither time and one plate (4) nor time and two plates (7)"
            )
            raise PydanticCustomError("columns", "{said}", {"said": said})
        if any(not self.plates[k].strip("- ") for k in (0, 1, len(self.plates) - 3)):
            raise PydanticCustomError("columns", "{said}", {"said": "time and force need a column each"})
        return self


def read_plate_series(raw: bytes, columns: PlateColumns, *, file: str) -> PlateRecording:
    """Read the series.

    Raises
    ------
    CaptureError
        When a column, a value or the times are not what they should be; as `capture.cop_series`.
    MeasureError
        When the plates do not belong together.
    """
    names = [name.strip() for name in columns.plates]
    there = [name.removeprefix("-") for name in names if name]
    read, rate = read_columns(raw, there, file=file)
    values = iter(read.T[1:])
    table = [next(values) * (-1.0 if name.startswith("-") else 1.0) if name else None for name in names[1:]]
    feet: tuple[Literal["left", "right", "both"], ...] = ("both",) if len(table) == 3 else ("left", "right")
    plates = tuple(_plate(foot, table[3 * k : 3 * k + 3], columns.unit) for k, foot in enumerate(feet))
    return PlateRecording(plates=plates, rate_hz=rate, name=file)


def _plate(
    foot: Literal["left", "right", "both"], columns: list[FloatArray | None], unit: Literal["mm", "cm", "m"]
) -> Plate:
    force, *cop = (np.full(0, np.nan) if c is None else c for c in columns)
    upright = force if float(np.mean(force)) >= 0.0 else -force
    missing = np.full(len(upright), np.nan)
    scaled = [c * _TO_MM[unit] if len(c) else missing for c in cop]
    return Plate(foot=foot, force_n=upright, cop_mm=np.column_stack(scaled))
