"""`evenground practice`: balls through a gate between visits, beside what the aim check expects."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from evenground.cli.common import AsJson, show
from evenground.floor import Handed

if TYPE_CHECKING:
    from evenground.fit.aim import AimFit
    from evenground.fit.practice import PracticeCompared, PracticeScore

__all__ = ["practice"]


def practice(
    sheet: Annotated[
        Path | None, typer.Argument(help="CSV: day, distance_m, gate_mm, rolled, passed; a line each ten.")
    ] = None,
    aims: Annotated[
        Path | None, typer.Option("--aims", help="The aims that the card stood on, as for the aim command.")
    ] = None,
    aims_at_m: Annotated[
        float | None, typer.Option("--aims-at-m", min=0.3, max=30, help="How far those aims' target was.")
    ] = None,
    handed: Annotated[Handed, typer.Option(help="Which way round the player plays.")] = "right",
    chart: Annotated[Path | None, typer.Option("--chart", help="Draw it, .svg or .pdf.")] = None,
    print_to: Annotated[
        Path | None, typer.Option("--print", help="Write an empty practice sheet into this PDF.")
    ] = None,
    gate_mm: Annotated[
        float, typer.Option("--gate-mm", min=43, max=400, help="Clear width of the printed sheet's gate.")
    ] = 80.0,
    gate_m: Annotated[
        float, typer.Option("--gate-m", min=0.2, max=10, help="How far that gate is from the ball.")
    ] = 1.5,
    paper: Annotated[Literal["a4", "us-letter"], typer.Option(help="The printer's paper.")] = "a4",
    *,
    as_json: AsJson = False,
) -> None:
    """Score practice through a gate as a share with its range, and hold it against the aim check."""
    if print_to is not None:
        from evenground.report.handouts import handout_pdf, practice_handout

        print_to.write_bytes(handout_pdf(practice_handout(gate_mm, gate_m, paper=paper)))
        if sheet is None:
            print(f"{print_to}: an empty practice sheet.")
            return
    if sheet is None:
        wanted = "a practice sheet (CSV), or --print FILE.pdf for an empty one"
        raise typer.BadParameter(wanted, param_hint="SHEET")
    if (aims is None) != (aims_at_m is None):
        both = "--aims and --aims-at-m go together"
        raise typer.BadParameter(both)
    from evenground.capture.extra_trials import read_practice
    from evenground.fit.practice import compare_practice, score_practice

    scores = score_practice(read_practice(sheet))
    compared: list[PracticeCompared] = []
    if aims is not None and aims_at_m is not None:
        from evenground.assess.extras import aim_forecast

        forecast = aim_forecast(_fit(aims, aims_at_m, handed))
        compared = [compare_practice(score, forecast) for score in scores]
    if chart is not None:
        from evenground.report.charts import write_chart
        from evenground.report.extras_drawing import practice_drawing

        write_chart(practice_drawing(compared or scores), chart, title="Practice beside the aim check")
    show({"scores": scores, "compared": compared}, as_json=as_json, text=_text(scores, compared))


def _fit(aims: Path, at_m: float, handed: Handed) -> "AimFit":
    """The aims under the condition tried last, as a card has them."""
    from evenground.capture.aim_trials import read_aims
    from evenground.fit.aim import fit_aim
    from evenground.visit import AimCheck

    read = read_aims(aims)
    own = [t for t in read if t.condition == read[-1].condition]
    return fit_aim(own, AimCheck(distance_m=at_m, trials=()), handed=handed)


def _text(scores: "tuple[PracticeScore, ...]", compared: "list[PracticeCompared]") -> str:
    from evenground.report.extras_words import practice_words, score_words

    lines = []
    for i, score in enumerate(scores):
        lines += [score_words(score)] + ([practice_words(compared[i])] if compared else [])
        lines += [f"{note.capitalize()}." for note in score.notes]
    return "\n".join(lines)
