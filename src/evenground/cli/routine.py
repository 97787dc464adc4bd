"""`evenground routine`: the short hip routine, printed; its own or a studio's."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from evenground.cli.common import AsJson, show

if TYPE_CHECKING:
    from evenground.library import Routine

__all__ = ["routine"]

RoutineForm = Literal["usual", "easier", "seated"]


def routine(
    file: Annotated[
        Path | None, typer.Option("--file", help="A studio's own routine.toml in place of ours.")
    ] = None,
    visit: Annotated[
        Path | None,
        typer.Option("--visit", help="A visit bundle: its screening decides, its studio's routine."),
    ] = None,
    form: Annotated[RoutineForm | None, typer.Option("--form", help="As it is, easier, or sitting.")] = None,
    out: Annotated[Path | None, typer.Option("--out", help="Print it into this PDF.")] = None,
    paper: Annotated[Literal["a4", "us-letter"], typer.Option(help="The printer's paper.")] = "a4",
    *,
    toml: Annotated[
        bool, typer.Option("--toml", help="Write it as routine.toml, to change and to put in use.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Print the short hip routine. Only for whom the screening cleared; stop at pain."""
    from evenground.capture.fields import load_toml
    from evenground.capture.library_file import RoutineFile, routine_from, routine_toml, usual_routine

    found, suits = usual_routine(), "usual"
    if visit is not None:
        found, suits = _of_visit(visit)
    if file is not None:
        found = routine_from(load_toml(file, RoutineFile))
    version: RoutineForm = form or suits  # type: ignore[assignment]
    if out is not None:
        from evenground.report.handouts import handout_pdf, routine_handout

        out.write_bytes(handout_pdf(routine_handout(found, version, paper)))
    plain = {"form": version, "seconds": found.seconds, "routine": found}
    show(plain, as_json=as_json, text=routine_toml(found) if toml else _text(found, version))


def _of_visit(path: Path) -> "tuple[Routine, str]":
    from evenground.capture.bundle import read_bundle
    from evenground.capture.library_file import usual_routine
    from evenground.needs import routine_form

    read = read_bundle(path)
    return read.studio.routine or usual_routine(), routine_form(read.visit)


def _text(found: "Routine", version: RoutineForm) -> str:
    from evenground.report.handouts import routine_handout

    sheet = routine_handout(found, version)
    lines = [f"{sheet.title}. {sheet.under}.", "", *sheet.cautions]
    for number, step in enumerate(sheet.steps, 1):
        lines += ["", f"{number}. {step.name} ({step.time})", f"   {step.how}"]
        lines += [f"   {' '.join(filter(None, more))}" for more in step.more]
    return "\n".join([*lines, "", *sheet.closing])
