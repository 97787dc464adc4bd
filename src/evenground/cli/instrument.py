"""`evenground instrument`: what the mat, the bar and the printer add of their own, checked and dated."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from evenground.cli.common import AsJson, progress, show, table
from evenground.cli.instrument_look import show_checks, since, weigh

if TYPE_CHECKING:
    from evenground.instruments import EmptyMat, Figures, Instrument, InstrumentCheck, Step
    from evenground.measure.instrument_mat import PlacedWeight
    from evenground.measure.recording import MatRecording

__all__ = ["instrument_app"]

instrument_app = typer.Typer(
    help="Check what measures: an empty mat, weights on it, a flipped bar, a printed length.",
    no_args_is_help=True,
)

Into = Annotated[
    Path | None,
    typer.Option("--into", help="instrument.toml to append the check to; made where it is not there."),
]
At = Annotated[
    datetime | None, typer.Option("--at", help="When it was done; without it, now. 2026-05-09T08:30:00.")
]
MatName = Annotated[str, typer.Option("--name", help="What the studio calls the mat.")]
BarName = Annotated[str, typer.Option("--name", help="What the studio calls the bar.")]
PrinterName = Annotated[str, typer.Option("--name", help="What the studio calls the printer.")]
LayoutFile = Annotated[
    Path | None, typer.Option("--layout", help="TOML file that says how a text export is laid out.")
]
Picture = Annotated[
    Path | None, typer.Option("--picture", help="Draw the mat with what was found, .svg or .pdf.")
]
Known = Annotated[
    Path | None, typer.Option("--instrument", help="instrument.toml whose bad cells are filled first.")
]
Mass = Annotated[float, typer.Option("--mass-kg", min=1.0, max=500.0, help="The weight's true mass.")]
Normal = Annotated[list[float], typer.Option("--normal", help="Degrees, the bar as always; repeat it.")]
Flipped = Annotated[
    list[float], typer.Option("--flipped", help="Degrees, the bar flipped end for end; repeat it.")
]
Measured = Annotated[
    list[float], typer.Option("--measured-mm", help="What a ruler says of the 100 mm bar; repeat it.")
]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Done:
    """Checks of one instrument, for the file and for the screen."""

    name: str
    kind: str
    checks: tuple["InstrumentCheck", ...]


instrument_app.command("show")(show_checks)
instrument_app.command("since")(since)
instrument_app.command("weigh")(weigh)


@instrument_app.callback()
def _root() -> None:
    """Check what measures: an empty mat, weights on it, a flipped bar, a printed length."""


@instrument_app.command("empty")
def empty(
    file: Annotated[Path, typer.Argument(help="About 15 s with nobody on the mat.")],
    layout: LayoutFile = None,
    name: MatName = "mat",
    into: Into = None,
    at: At = None,
    picture: Picture = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Record an empty mat: noise, offset, and cells that are dead, stuck, noisy or drifting."""
    from evenground.measure.instrument_mat import measure_empty_mat

    recording = _read(file, layout)
    with progress("Looking at every cell"):
        figures = measure_empty_mat(recording)
    done = _Done(name=name, kind="mat", checks=(_judged("empty mat", figures, at),))
    _finish([done], into, picture, recording, as_json=as_json)


@instrument_app.command("weight")
def weight(
    file: Annotated[Path, typer.Argument(help="About 30 s of a weight that does not move.")],
    mass_kg: Mass,
    layout: LayoutFile = None,
    name: MatName = "mat",
    instrument: Known = None,
    into: Into = None,
    at: At = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Record a dead weight of 20 kg or more: the floor of path, velocity and area."""
    from evenground.measure.instrument_mat import measure_dead_weight

    recording = _read(file, layout)
    with progress("Weighing"):
        figures = measure_dead_weight(_placed(recording, mass_kg, _bad_cells(instrument or into)))
    done = _Done(name=name, kind="mat", checks=(_judged("dead weight", figures, at),))
    _finish([done], into, None, recording, as_json=as_json)


@instrument_app.command("places")
def places(
    files: Annotated[list[Path], typer.Argument(help="One recording a place, 3 s or more each.")],
    mass_kg: Annotated[
        list[float],
        typer.Option("--mass-kg", min=1.0, max=500.0, help="One for all, or one a file in their order."),
    ],
    layout: LayoutFile = None,
    name: MatName = "mat",
    instrument: Known = None,
    into: Into = None,
    at: At = None,
    picture: Picture = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Record known weights in several places: how the mat's gain changes over it and with the load."""
    from evenground.measure.instrument_mat import measure_known_weights

    if len(mass_kg) not in (1, len(files)):
        msg = f"give --mass-kg once, or once for each of the {len(files)} files"
        raise typer.BadParameter(msg)
    masses = mass_kg * len(files) if len(mass_kg) == 1 else mass_kg
    bad = _bad_cells(instrument or into)
    with progress("Weighing", total=len(files)) as advance:
        placed = []
        for file, mass in zip(files, masses, strict=True):
            placed.append(_placed(_read(file, layout), mass, bad))
            advance()
        figures = measure_known_weights(placed)
    done = _Done(name=name, kind="mat", checks=(_judged("known weight", figures, at),))
    _finish([done], into, picture, placed[0].recording, as_json=as_json)


@instrument_app.command("bar")
def bar(
    normal: Normal,
    flipped: Flipped,
    name: BarName = "bar",
    into: Into = None,
    at: At = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Flip a bar end for end on one fixed line: half of the difference is its own error."""
    done = _bar(name, normal, flipped, at)
    _finish([done], into, None, None, as_json=as_json)


@instrument_app.command("print")
def printed(
    measured_mm: Measured,
    name: PrinterName = "printer",
    into: Into = None,
    at: At = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Measure the printed 100 mm: the printer's scale."""
    done = _print(name, measured_mm, at)
    _finish([done], into, None, None, as_json=as_json)


@instrument_app.command("opening")
def opening(
    into: Annotated[Path, typer.Option("--into", help="instrument.toml to append the checks to.")],
    empty_mat: Annotated[
        Path | None, typer.Option("--empty", help="About 15 s with nobody on the mat.")
    ] = None,
    weight_on: Annotated[
        Path | None, typer.Option("--weight", help="About 30 s of a weight that does not move.")
    ] = None,
    mass_kg: Annotated[
        float, typer.Option("--mass-kg", min=1.0, max=500.0, help="The weight's true mass.")
    ] = 20.0,
    normal: Annotated[
        list[float] | None, typer.Option("--normal", help="Degrees, the bar as always.")
    ] = None,
    flipped: Annotated[
        list[float] | None, typer.Option("--flipped", help="Degrees, the bar flipped end for end.")
    ] = None,
    measured_mm: Annotated[
        list[float] | None, typer.Option("--measured-mm", help="What a ruler says of the 100 mm bar.")
    ] = None,
    layout: LayoutFile = None,
    mat: Annotated[str, typer.Option("--mat", help="What the studio calls the mat.")] = "mat",
    at: At = None,
    picture: Picture = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Do the opening check of two minutes in one go; steps that are not given are left out."""
    from evenground.measure.instrument_mat import measure_dead_weight, measure_empty_mat

    done, checks, seen = [], [], None
    bad: tuple[tuple[int, int], ...] = ()
    with progress("Checking"):
        if empty_mat is not None:
            seen = _read(empty_mat, layout)
            found = measure_empty_mat(seen)
            bad = found.bad
            checks.append(_judged("empty mat", found, at))
        if weight_on is not None:
            seen = _read(weight_on, layout)
            dead = measure_dead_weight(_placed(seen, mass_kg, bad or _bad_cells(into)))
            checks.append(_judged("dead weight", dead, at))
    if checks:
        done.append(_Done(name=mat, kind="mat", checks=tuple(checks)))
    if normal and flipped:
        done.append(_bar("bar", normal, flipped, at))
    if measured_mm:
        done.append(_print("printer", measured_mm, at))
    if not done:
        msg = "give at least one of --empty, --weight, --normal with --flipped, --measured-mm"
        raise typer.BadParameter(msg)
    _finish(done, into, picture, seen, as_json=as_json)


def _read(file: Path, layout: Path | None) -> "MatRecording":
    from evenground.capture.layout import load_layout
    from evenground.capture.recording import load_recording

    declared = None if layout is None else load_layout(layout)
    with progress("Reading") as advance:
        return load_recording(file, layout=declared, advance=advance)


def _placed(recording: "MatRecording", mass_kg: float, bad: tuple[tuple[int, int], ...]) -> "PlacedWeight":
    from evenground.measure.instrument_mat import PlacedWeight

    return PlacedWeight(recording=recording, mass_kg=mass_kg, bad=bad)


def _bad_cells(file: Path | None) -> tuple[tuple[int, int], ...]:
    """Cells that the last empty mat showed; none without a file or a mat in it."""
    from evenground.capture.instrument_file import load_instruments
    from evenground.measure.instrument_apply import mat_checks

    if file is None or not file.exists():
        return ()
    mats = [one for one in load_instruments(file) if one.kind == "mat"]
    empty_one: EmptyMat | None = mat_checks(mats[0]).empty if len(mats) == 1 else None
    return () if empty_one is None else empty_one.bad


def _moment(at: datetime | None) -> datetime:
    return (at or datetime.now()).astimezone().replace(microsecond=0)


def _judged(step: "Step", figures: "Figures", at: datetime | None) -> "InstrumentCheck":
    from evenground.measure.instrument_judge import judged

    return judged(step, figures, _moment(at))


def _bar(name: str, normal: list[float], flipped: list[float], at: datetime | None) -> _Done:
    from evenground.instruments import FlippedBar

    figures = FlippedBar(normal_deg=tuple(normal), flipped_deg=tuple(flipped))
    return _Done(name=name, kind="bar", checks=(_judged("flipped bar", figures, at),))


def _print(name: str, measured_mm: list[float], at: datetime | None) -> _Done:
    from evenground.instruments import PrintedLength

    check = _judged("printed length", PrintedLength(measured_mm=tuple(measured_mm)), at)
    return _Done(name=name, kind="printer", checks=(check,))


def _finish(
    done: Iterable[_Done],
    into: Path | None,
    picture: Path | None,
    recording: "MatRecording | None",
    *,
    as_json: bool,
) -> None:
    """Keep the checks, draw them, show them; exit status 1 when one did not pass."""
    done = list(done)
    if into is not None:
        _append(into, done)
    if picture is not None and recording is not None:
        _draw(picture, done, recording)
    checks = [check for one in done for check in one.checks]
    plain = [{"name": one.name, "kind": one.kind, "checks": one.checks} for one in done]
    show(plain, as_json=as_json, text=_text(done, into))
    if not all(check.passed for check in checks):
        raise typer.Exit(1)


def _append(into: Path, done: Iterable[_Done]) -> None:
    from evenground.capture.instrument_file import load_instruments, with_checks, write_instruments

    instruments: tuple[Instrument, ...] = load_instruments(into) if into.exists() else ()
    for one in done:
        instruments = with_checks(instruments, one.name, one.kind, one.checks)
    write_instruments(into, instruments)


def _draw(picture: Path, done: Iterable[_Done], recording: "MatRecording") -> None:
    from evenground.report.charts import write_chart
    from evenground.report.instrument_drawing import MatOutline, mat_check_drawing

    figures = [check.figures for one in done for check in one.checks if check.figures is not None]
    size = MatOutline(
        rows=recording.shape[1],
        columns=recording.shape[2],
        pitch_x_mm=recording.pitch_x_mm,
        pitch_y_mm=recording.pitch_y_mm,
    )
    write_chart(mat_check_drawing(size, figures), picture, title="The mat and its check", wide_mm=140.0)


def _text(done: Iterable[_Done], into: Path | None) -> str:
    from evenground.measure.instrument_judge import remarks_of
    from evenground.report.instrument_words import figure_lines

    parts = []
    for one in done:
        for check in one.checks:
            head = f"{one.name}, {check.step}: {'in order' if check.passed else 'not in order'}"
            rows = [] if check.figures is None else figure_lines(check.figures)
            notes = [] if check.figures is None else remarks_of(check.figures)
            parts.append("\n".join([head, table(rows), *([check.why] if check.why else []), *notes]))
    if into is not None:
        parts.append(f"Kept in {into}.")
    return "\n\n".join(parts)
