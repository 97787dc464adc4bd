"""`evenground ground`: one standing recording in figures."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from evenground.cli.common import AsJson, progress, show, table

if TYPE_CHECKING:
    from evenground.estimate import Estimate
    from evenground.measure.ground import Ground
    from evenground.measure.recording import MatRecording

__all__ = ["ground"]


def ground(
    file: Annotated[Path, typer.Argument(help="A recording: .parquet, or a text export with --layout.")],
    layout: Annotated[
        Path | None, typer.Option("--layout", help="TOML file that says how a text export is laid out.")
    ] = None,
    mass_kg: Annotated[
        float | None,
        typer.Option("--mass-kg", min=20.0, max=300.0, help="The player's mass; scales raw counts."),
    ] = None,
    handed: Annotated[Literal["right", "left"], typer.Option(help="The player's golfing hand.")] = "right",
    *,
    as_json: AsJson = False,
) -> None:
    """Describe how a player stands: load, toe-out, widths, lines, centre of pressure, sway."""
    from evenground.measure.ground import describe

    recording = _read(file, layout)
    with progress("Measuring"):
        result = describe(recording, handed=handed, mass_kg=mass_kg)
    show(result, as_json=as_json, text=_text(result))


def _read(file: Path, layout: Path | None) -> "MatRecording":
    from evenground.capture.layout import load_layout
    from evenground.capture.recording import load_recording

    declared = None if layout is None else load_layout(layout)
    size = file.stat().st_size if file.is_file() else None
    with progress("Reading", total=size) as advance:
        return load_recording(file, layout=declared, advance=advance)


def _said(estimate: "Estimate | None", digits: int = 1) -> str:
    if estimate is None:
        return "not measured"
    half = estimate.half_width()
    return f"{estimate.value:.{digits}f} ± {half:.{digits}f} {estimate.unit}"


def _text(result: "Ground") -> str:
    left, right = result.feet.left, result.feet.right
    feet = [
        ("load", _said(left.load_percent), _said(right.load_percent)),
        ("toe-out", _said(left.toe_out_deg), _said(right.toe_out_deg)),
        ("CoP from the heel", _said(left.cop_percent_length), _said(right.cop_percent_length)),
        ("of it on the rear half", _said(left.heel_load_percent), _said(right.heel_load_percent)),
        ("contact length", _said(left.length_mm, 0), _said(right.length_mm, 0)),
        ("contact area", _said(left.area_cm2, 0), _said(right.area_cm2, 0)),
    ]
    widths = result.stance_width_mm
    stance = [
        ("width, heel centres", _said(widths.heel_centres)),
        ("width, inside of heels", _said(widths.inside)),
        ("width, outside of feet", _said(widths.outside)),
        ("lead heel ahead", _said(result.fore_aft_offset_mm)),
        ("heel line, + open", _said(result.heel_line_deg)),
        ("load line to heel line, + open", _said(result.load_line_deg)),
        ("CoP to the right", _said(result.cop_mm.x)),
        ("CoP ahead of the heels", _said(result.cop_mm.y)),
        ("force", _said(result.total_force_n, 0)),
    ]
    if result.sway is not None:
        stance.append(("sway, mean velocity", _said(result.sway.mean_velocity_mm_s)))
        stance.append(("sway, 95 % ellipse", _said(result.sway.ellipse95_mm2, 0)))
    grade = result.grade
    verdict = "This recording is usable." if grade.usable else "This recording is not usable: take it again."
    parts = [table(feet, header=("", "left foot", "right foot")), table(stance)]
    parts.append("\n".join([verdict, *(f"{flag.where}: {flag.text}" for flag in grade.flags)]))
    parts.append("± is half the 95 % range, for this placement only: place the feet three times and pool.")
    return "\n\n".join(parts)
