"""`evenground grip-check`: which of two grips brings the hip line nearer to square, in pairs."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from evenground.cli.common import AsJson, show, table

if TYPE_CHECKING:
    from evenground.fit.grip_check import GripVerdict

__all__ = ["grip_check"]


def grip_check(
    trials: Annotated[
        Path,
        typer.Argument(help="CSV: pair,grip,hip_line_deg; if wanted club, hand, knee_flex_lead_deg, glove."),
    ],
    sem_deg: Annotated[
        float | None,
        typer.Option("--sem-deg", min=0.1, max=50, help="The studio's SD of one reading of the hip line."),
    ] = None,
    knee_sem_deg: Annotated[
        float | None, typer.Option("--knee-sem-deg", min=0.1, max=50, help="The same for the bend of a knee.")
    ] = None,
    matters_deg: Annotated[
        float | None,
        typer.Option("--matters-deg", min=0.1, max=45, help="The smallest difference worth acting on."),
    ] = None,
    chart: Annotated[Path | None, typer.Option("--chart", help="Draw each comparison, .svg or .pdf.")] = None,
    *,
    glove: Annotated[bool, typer.Option("--glove/--no-glove", help="Worn in trials that do not say.")] = True,
    as_json: AsJson = False,
) -> None:
    """Compare two grips in pairs: prefer one, no real difference, or keep testing and how much more."""
    from evenground.capture.grip_trials import read_grip_trials
    from evenground.fit.grip_check import GripErrors, grip_verdicts
    from evenground.fit.grip_check_constants import MATTERS_DEG

    found, unusable = grip_verdicts(
        read_grip_trials(trials),
        glove=glove,
        errors=GripErrors(hip_line_deg=sem_deg, knee_flex_deg=knee_sem_deg),
        matters_deg=MATTERS_DEG.value if matters_deg is None else matters_deg,
    )
    if chart is not None:
        from evenground.report.charts import write_chart
        from evenground.report.grip_slopes import grip_slopes

        for number, verdict in enumerate(found):
            path = chart if number == 0 else chart.with_stem(f"{chart.stem}-{number + 1}")
            write_chart(grip_slopes(verdict), path, title=f"Two grips in pairs, {verdict.club}")
    rows = [_row(v) for v in found]
    lines = [
        table(rows, header=("club", "hands", "pairs", "proposed less own, + open", "verdict")),
        *(f"{v.club}, {v.hand}: {v.why}" for v in found),
        *(line for v in found for line in _knees(v)),
        *dict.fromkeys(note for v in found for note in v.notes),
        *unusable,
    ]
    show({"comparisons": found, "notes": unusable}, as_json=as_json, text="\n".join(lines))


def _row(verdict: "GripVerdict") -> tuple[str, ...]:
    from evenground.fit.grip_check import verdict_words

    apart = verdict.difference_deg
    return (
        verdict.club,
        verdict.hand,
        str(apart.n),
        f"{apart.value:+.1f} ± {apart.half_width():.1f} deg",
        verdict_words(verdict),
    )


def _knees(verdict: "GripVerdict") -> list[str]:
    return [
        f"{verdict.club}, {verdict.hand}: {k.side} knee {k.difference_deg.value:+.1f} ± "
        f"{k.difference_deg.half_width():.1f} deg of bend, {'differs' if k.seen else 'within its error'}"
        for k in verdict.knees
    ]
