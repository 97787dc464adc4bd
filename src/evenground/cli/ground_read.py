"""What `evenground ground` reads: a mat's recording, plates, or scales, as the file and the options say."""

from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from evenground.cli.common import progress

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from evenground.capture.standing import AnyLayout
    from evenground.floor import Handed, Side
    from evenground.measure.ground_types import Ground
    from evenground.measure.one_foot import FootState
    from evenground.measure.recording import MatRecording
    from evenground.measure.ways import Standing

__all__ = ["pictured", "read", "states"]

_LENGTHS = ("mm", "cm", "m")


def read(
    file: Path, *, layout: Path | None, columns: str | None, unit: str | None, facing: str | None
) -> "Standing":
    """Read the file by its layout, by the plates' columns, or by how the player faced."""
    from evenground.capture.standing import load_standing

    declared = _declared(layout, columns, unit, facing)
    size = file.stat().st_size if file.is_file() else None
    with progress("Reading", total=size) as advance:
        return load_standing(file, layout=declared, advance=advance)


def _declared(
    layout: Path | None, columns: str | None, unit: str | None, facing: str | None
) -> "AnyLayout | None":
    from evenground.capture.fields import checked
    from evenground.capture.plate_series import PlateColumns
    from evenground.capture.standing import PlateFacing, read_any_layout
    from evenground.capture.text import read_bytes

    if columns is not None:
        if unit not in _LENGTHS:
            msg = "--columns needs --unit mm, cm or m: the unit of the centre of pressure"
            raise typer.BadParameter(msg)
        return checked(PlateColumns, {"plates": columns.split(","), "unit": unit}, file="--columns")
    if layout is not None:
        return read_any_layout(read_bytes(layout), file=layout.name)
    return None if facing is None else checked(PlateFacing, {"facing": facing}, file="--facing")


def states(*, absent: "Side | None", prosthetic: "Side | None") -> "dict[Side, FootState]":
    """What the options say of the feet; one foot cannot be both."""
    if absent is not None and absent == prosthetic:
        msg = f"the {absent} foot is either absent or prosthetic"
        raise typer.BadParameter(msg)
    found: dict[Side, FootState] = {} if absent is None else {absent: "absent"}
    return found if prosthetic is None else found | {prosthetic: "prosthetic"}


@contextmanager
def pictured(
    standing: "Standing", path: Path | None, handed: "Handed", feet: "Mapping[Side, FootState]"
) -> "Iterator[list[Ground]]":
    """Draw a mat from above once it is measured, with the figures appended here, or without when refused."""
    from evenground.measure.recording import MatRecording

    if path is not None and not isinstance(standing, MatRecording):
        msg = "--picture draws a mat; plates and scales see no picture"
        raise typer.BadParameter(msg)
    made: list[Ground] = []
    try:
        yield made
    finally:
        if path is not None and isinstance(standing, MatRecording):
            _draw(standing, path, handed, feet, made)


def _draw(
    standing: "MatRecording",
    path: Path,
    handed: "Handed",
    feet: "Mapping[Side, FootState]",
    made: "list[Ground]",
) -> None:
    from evenground.measure.seen import see
    from evenground.report.charts import write_chart
    from evenground.report.seen_drawing import seen_drawing

    drawing = seen_drawing(see(standing, feet), handed, made[0] if made else None)
    write_chart(drawing, path, title="The mat from above: pressure, heel points, axes", wide_mm=140.0)
