"""``evenground next``: what to do next in a visit, and why."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from evenground.cli.common import AsJson, show, table

if TYPE_CHECKING:
    from evenground.fit.protocol import Agenda

__all__ = ["next_step"]


def next_step(
    bundle: Annotated[Path, typer.Argument(help="A visit bundle: its folder, or that folder zipped.")],
    gone_min: Annotated[
        int | None,
        typer.Option("--gone-min", min=0, help="Minutes since the first reading, to see what still fits."),
    ] = None,
    *,
    every: Annotated[
        bool, typer.Option("--every", help="Show the next step of every check, not of the open ones alone.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Say what to do next in a visit and why, what a skip costs, and what is left of the hour."""
    from evenground.assess import assess
    from evenground.assess.known import known_of
    from evenground.capture.bundle import read_bundle
    from evenground.fit.protocol import agenda

    read = read_bundle(bundle)
    findings = assess(read.visit, read.studio, read.open_blob, digests=read.digests)
    told = agenda(read.visit, known_of(read.visit, read.studio, findings), elapsed_min=gone_min)
    show(told, as_json=as_json, text=_for_a_person(told, every=every))


def _for_a_person(told: "Agenda", *, every: bool) -> str:
    lines = []
    if told.next is None:
        lines.append("Every check is done or left out.")
    else:
        step = told.checks[told.next].step
        lines += [f"{told.next}: {step.what}", step.why]
        if step.rest:
            lines.append("Let the player sit down for a minute first.")
        lines.append(f"Left out or ended here: {step.ending or told.checks[told.next].price}")
    shown = {c: a for c, a in told.checks.items() if every or a.step.state in ("next", "waiting", "partly")}
    if shown:
        rows = [(c, a.step.state, a.step.count, f"{a.minutes} min", a.step.what) for c, a in shown.items()]
        lines += ["", table(rows, header=("check", "state", "taken", "open", "next there"))]
    left = "" if told.minutes_left is None else f", {told.minutes_left} min of the hour left"
    lines += ["", f"{told.minutes_open} min of checks open{left}."]
    if told.leave_out:
        lines.append(f"To fit the hour leave out: {', '.join(told.leave_out)}.")
    return "\n".join(line for line in lines if line is not None)
