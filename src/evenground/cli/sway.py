"""`evenground sway`: sway figures of any centre-of-pressure series."""

from dataclasses import fields
from pathlib import Path
from typing import Annotated, Literal

import typer

from evenground.cli.common import AsJson, progress, show, table

__all__ = ["sway"]

_WORDS = {
    "n": "samples",
    "duration_s": "duration",
    "path_mm": "path",
    "mean_velocity_mm_s": "mean velocity",
    "ellipse95_mm2": "95 % prediction ellipse",
    "rms_x_mm": "RMS, x",
    "rms_y_mm": "RMS, y",
    "range_x_mm": "range, x",
    "range_y_mm": "range, y",
    "mean_frequency_hz": "mean frequency (kinematic)",
}


def sway(
    file: Annotated[Path, typer.Argument(help="A table of text, plain or gzipped.")],
    columns: Annotated[
        str, typer.Option(help="Columns of time in seconds, x and y: headings, or numbers counted from 1.")
    ],
    unit: Annotated[Literal["mm", "cm", "m"], typer.Option(help="Unit of x and y.")],
    *,
    as_json: AsJson = False,
) -> None:
    """Sway of a centre-of-pressure series, with errors; nothing is filtered or detrended."""
    from evenground.capture.cop_series import read_cop_series
    from evenground.measure.sway import sway as measure_sway

    names = [name.strip() for name in columns.split(",")]
    if len(names) != 3 or not all(names):
        msg = f'"{columns}" names {len(names)} columns; three are needed, like t,x,y.'
        raise typer.BadParameter(msg, param_hint="--columns")
    with progress("Reading"):
        series = read_cop_series(file, (names[0], names[1], names[2]), unit)
        result = measure_sway(series.cop_mm, series.rate_hz, where=series.name)
    rows = []
    for field in fields(result):
        estimate = getattr(result, field.name)
        error = f"± {estimate.half_width():.3g}" if estimate.se > 0.0 else ""
        rows.append((_WORDS[field.name], f"{estimate.value:.5g} {estimate.unit}".strip(), error))
    show(result, as_json=as_json, text=table(rows))
