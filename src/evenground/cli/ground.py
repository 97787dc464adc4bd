"""`evenground ground`: one standing recording in figures."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from evenground.cli.common import AsJson, progress, show, table
from evenground.cli.ground_live import (
    Live,
    LiveWanted,
    Network,
    Out,
    Seconds,
    Stream,
    Watch,
    live_or_watch,
)

if TYPE_CHECKING:
    from evenground.estimate import Estimate
    from evenground.measure.ground import Ground
    from evenground.measure.instrument_apply import MatChecks

__all__ = ["ground"]

NOT_MEASURED = "not measured"
BELOW = "below this mat's floor"


def ground(
    file: Annotated[
        Path | None, typer.Argument(help="A recording: .parquet, text with --layout, .c3d, or scales.toml.")
    ] = None,
    layout: Annotated[
        Path | None, typer.Option("--layout", help="TOML file that says how a text export is laid out.")
    ] = None,
    mass_kg: Annotated[
        float | None,
        typer.Option("--mass-kg", min=20.0, max=300.0, help="The player's mass; scales raw counts."),
    ] = None,
    handed: Annotated[Literal["right", "left"], typer.Option(help="The player's golfing hand.")] = "right",
    instrument: Annotated[
        Path | None, typer.Option("--instrument", help="instrument.toml with the mat's own checks.")
    ] = None,
    *,
    absent: Annotated[
        Literal["left", "right"] | None,
        typer.Option("--absent", help="A foot that the player has lost: the other one is described alone."),
    ] = None,
    prosthetic: Annotated[
        Literal["left", "right"] | None,
        typer.Option("--prosthetic", help="A foot that is a prosthesis; a blade or a peg leaves the other."),
    ] = None,
    guess: Annotated[
        bool, typer.Option("--guess", help="Propose a layout for an unknown text export, with its picture.")
    ] = False,
    write_layout: Annotated[
        Path | None, typer.Option("--write-layout", help="With --guess: where to keep the layout.")
    ] = None,
    picture: Annotated[
        Path | None, typer.Option("--picture", help="Draw the mat from above, .svg or .pdf.")
    ] = None,
    pitch_mm: Annotated[
        str | None, typer.Option("--pitch-mm", help="With --guess: the mat's pitch, 8.5 or 8.5x5.")
    ] = None,
    rate_hz: Annotated[
        float | None, typer.Option("--rate-hz", min=0.1, max=10_000.0, help="With --guess: frames a second.")
    ] = None,
    unit: Annotated[
        Literal["kPa", "N/cm2", "psi", "N", "counts", "mm", "cm", "m"] | None,
        typer.Option("--unit", help="With --guess: what the cells hold; with --columns: unit of the CoP."),
    ] = None,
    columns: Annotated[
        str | None,
        typer.Option("--columns", help="Force plates as a table: t,force,right,ahead, or left and right."),
    ] = None,
    facing: Annotated[
        Literal["x", "-x", "y", "-y"] | None,
        typer.Option("--facing", help="Force plates in C3D: where the player looks; y when left out."),
    ] = None,
    turn: Annotated[
        Literal["0", "90", "180", "270"],
        typer.Option("--turn", help="With --guess: turn the picture counter-clockwise."),
    ] = "0",
    mirror: Annotated[
        bool, typer.Option("--mirror", help="With --guess: change left for right in the picture.")
    ] = False,
    live: Live = False,
    watch: Watch = None,
    out: Out = None,
    seconds: Seconds = None,
    stream: Stream = None,
    network: Network = False,
    as_json: AsJson = False,
) -> None:
    """Describe how a player stands: load, toe-out, widths, lines, centre of pressure, sway."""
    from evenground.cli.ground_read import pictured, read, states

    feet = states(absent=absent, prosthetic=prosthetic)
    if live or watch is not None:
        wanted = LiveWanted(
            layout=layout,
            mass_kg=mass_kg,
            handed=handed,
            stream=stream,
            network=network,
            out=out,
            seconds=seconds,
            as_json=as_json,
            feet=feet,
        )
        live_or_watch(wanted, watch, _text)
        return
    if file is None:
        msg = "say which FILE to describe, or --live, or --watch FOLDER"
        raise typer.BadParameter(msg)
    if guess:
        from evenground.cli import ground_guess

        options = ground_guess.GuessOptions(
            write_layout=write_layout,
            picture=picture,
            pitch_mm=pitch_mm,
            rate_hz=rate_hz,
            unit=unit,
            mass_kg=mass_kg,
            turn=int(turn),
            mirror=mirror,
            handed=handed,
        )
        ground_guess.guess(file, options, as_json=as_json)
        return
    from evenground.measure.ways import describe_standing

    standing = read(file, layout=layout, columns=columns, unit=unit, facing=facing)
    with pictured(standing, picture, handed, feet) as made, progress("Measuring"):
        result = describe_standing(
            standing, handed=handed, mass_kg=mass_kg, checks=_checks(instrument), feet=feet
        )
        made.append(result)
    show(result, as_json=as_json, text=_text(result))


def _checks(file: Path | None) -> "MatChecks | None":
    """What `evenground instrument` found of the one mat in the file."""
    if file is None:
        return None
    from evenground.assess.instruments import checks_on
    from evenground.capture.instrument_file import load_instruments, only_of_kind

    mat = only_of_kind(load_instruments(file), "mat", file=file.name)
    return checks_on(mat, date.today(), limit_days=7)


def _said(estimate: "Estimate | None", digits: int = 1) -> str:
    if estimate is None:
        return NOT_MEASURED
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
        own = () if result.sway_floor is None else result.sway_floor.below
        velocity, ellipse = _said(result.sway.mean_velocity_mm_s), _said(result.sway.ellipse95_mm2, 0)
        stance.append(("sway, mean velocity", BELOW if "mean_velocity_mm_s" in own else velocity))
        stance.append(("sway, 95 % ellipse", BELOW if "ellipse95_mm2" in own else ellipse))
    if result.quiet is not None:
        stance.append(("quiet part used", f"{result.quiet.from_s:.1f} to {result.quiet.to_s:.1f} s"))
    grade = result.grade
    verdict = "This recording is usable." if grade.usable else "This recording is not usable: take it again."
    seen = [row for row in (*feet, *stance) if set(row[1:]) != {NOT_MEASURED}]
    unseen = [row[0] for row in (*feet, *stance) if row not in seen]
    heads = ("", "left foot", "right foot")
    parts = [table([r for r in feet if r in seen], header=heads), table([r for r in stance if r in seen])]
    parts += [f"Not measured: {'; '.join(unseen)}."] if unseen else []
    parts += ["\n".join(result.noticed)] if result.noticed else []
    parts.append("\n".join([verdict, *(f"{flag.where}: {flag.text}" for flag in grade.flags)]))
    parts.append("± is half the 95 % range, for this placement only: place the feet three times and pool.")
    return "\n\n".join(parts)
