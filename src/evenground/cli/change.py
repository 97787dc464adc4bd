"""`evenground change`: two visits of one player, line by line."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from evenground.cli.common import AsJson, show, table

if TYPE_CHECKING:
    from evenground.assess.change_lines import Told
    from evenground.assess.changes import VisitChange
    from evenground.fit.forecast import ForecastScore

__all__ = ["change"]


def change(
    old: Annotated[Path, typer.Argument(help="The earlier visit's bundle, folder or zip.")],
    new: Annotated[Path, typer.Argument(help="The later visit's bundle, folder or zip.")],
    chart: Annotated[
        Path | None, typer.Option("--chart", help="Draw the lines into FILE.svg or .pdf.")
    ] = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Compare two visits of one player, and score what the earlier card claimed."""
    from evenground.assess.changes import compare_visits
    from evenground.fit.forecast import score_forecasts

    found = compare_visits(_told(old), _told(new))
    if chart is not None:
        from evenground.report.change_drawing import change_drawing
        from evenground.report.charts import write_chart

        write_chart(change_drawing(found.lines), chart, title=f"Change from {found.before} to {found.after}")
    score = score_forecasts(found.forecasts) if found.forecasts else None
    show({"change": found, "score": score}, as_json=as_json, text="\n".join(_text(found, score)))


def _told(path: Path) -> "Told":
    from evenground.assess import assess
    from evenground.assess.change_lines import Told
    from evenground.capture.bundle import read_bundle
    from evenground.plain import to_plain

    read = read_bundle(path)
    findings = assess(read.visit, read.studio, read.open_blob, digests=read.digests)
    return Told(visit=read.visit, studio=read.studio, findings=to_plain(findings))


def _text(found: "VisitChange", score: "ForecastScore | None") -> list[str]:
    from evenground.report.change_words import figure_words, kept_words

    rows = [
        (line.title, figure_words(line.before), figure_words(line.after), line.word, line.reason)
        for line in found.lines
    ]
    lines = [f"{found.before} to {found.after}, {found.days} days", ""]
    lines += [table(rows, header=("line", "before", "now", "", "because")), ""]
    lines += [kept_words(kept) for kept in found.kept]
    if found.forecasts:
        said = [(f.what, f"{f.said:.2f}", f"{f.came:.2f}") for f in found.forecasts]
        lines += ["", table(said, header=("claimed by the earlier card", "said", "came"))]
    if score is not None:
        lines += [f"Brier score {score.brier:.3f}, log score {score.log_score:.2f}; {score.verdict}"]
    return [*lines, *found.notes]
