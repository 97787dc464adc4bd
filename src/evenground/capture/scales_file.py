"""Readings of bathroom scales as they are typed: a TOML file with a table a scale, or a CSV of lines.

[[scale]]
foot = "left"            "left" or "right"
part = "heel"            "whole", or "heel" and "forefoot" of each foot on scales of their own
kg = [18.4, 18.7]        what it showed, once or several times on one standing
x_mm = -150              where the middle of what stood on it lay: to the player's right,
y_mm = 0                 and ahead, from a point that all scales share; left out where not known
step_kg = 0.1            what it counts in
"""

import csv
import io
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from evenground.capture.fields import Number, Typed, checked, read_toml
from evenground.capture.text import text_lines
from evenground.measure.scales import Scale, ScaleReadings

__all__ = ["ScalesFile", "read_scales", "scales_toml"]

Kilograms = Annotated[Number, Field(ge=0.0, le=300.0)]
Place = Annotated[Number, Field(ge=-3000.0, le=3000.0)]


def _several(kg: object) -> object:
    return kg if isinstance(kg, list) else [kg]


class ScaleTable(Typed):
    """One scale; see the top of this module."""

    foot: Literal["left", "right"]
    part: Literal["whole", "heel", "forefoot"] = "whole"
    kg: Annotated[list[Kilograms], Field(min_length=1, max_length=50), BeforeValidator(_several)]
    x_mm: Place | None = None
    y_mm: Place | None = None
    step_kg: Annotated[Number, Field(gt=0.0, le=5.0)] = 0.1


class ScalesFile(Typed):
    """All scales of one standing."""

    scale: Annotated[list[ScaleTable], Field(min_length=2, max_length=4)]


def read_scales(raw: bytes, *, file: str) -> ScaleReadings:
    """Read a file of scales; CSV by its ending, else TOML.

    Raises
    ------
    NotTomlError, UnreadableFieldError
        With the file, the key, the value, and what is allowed.
    ScalesError
        When the scales are not two feet on two or four scales.
    """
    found = (
        checked(ScalesFile, {"scale": _lines(raw, file)}, file=file)
        if file.lower().endswith(".csv")
        else read_toml(raw, ScalesFile, file=file)
    )
    scales = tuple(
        Scale(
            foot=table.foot,
            part=table.part,
            kg=tuple(float(kg) for kg in table.kg),
            step_kg=table.step_kg,
            x_mm=table.x_mm,
            y_mm=table.y_mm,
        )
        for table in found.scale
    )
    return ScaleReadings(scales=scales, name=file)


def _lines(raw: bytes, file: str) -> list[dict[str, Any]]:
    """Lines of the CSV as tables: numbers where they are numbers, empty ones left out."""
    rows = csv.DictReader(io.StringIO("\n".join(text_lines(raw, file=file))))
    return [{str(k).strip(): _value(v) for k, v in row.items() if v not in (None, "")} for row in rows]


def _value(text: Any) -> Any:
    try:
        return float(text)
    except (TypeError, ValueError):
        return text.strip() if isinstance(text, str) else text


def scales_toml(readings: ScaleReadings) -> str:
    """The same readings as the text of a TOML file."""
    parts = []
    for scale in readings.scales:
        lines = [f'foot = "{scale.foot}"', f'part = "{scale.part}"', f"kg = {list(scale.kg)}"]
        places = (("x_mm", scale.x_mm), ("y_mm", scale.y_mm), ("step_kg", scale.step_kg))
        lines += [f"{key} = {value:g}" for key, value in places if value is not None]
        parts.append("\n".join(["[[scale]]", *lines, ""]))
    return "\n".join(parts)
