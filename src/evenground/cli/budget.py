"""`evenground budget`: what the errors on a card are made of, and what would help."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from evenground.cli.common import AsJson, show, table

if TYPE_CHECKING:
    from evenground.fit.budgets import FindingBudget

__all__ = ["budget"]


def budget(
    bundle: Annotated[Path, typer.Argument(help="A visit bundle: its folder, or that folder zipped.")],
    line: Annotated[
        str | None, typer.Argument(help="One card line, such as irons.width; all lines without it.")
    ] = None,
    chart: Annotated[
        Path | None, typer.Option("--chart", help="Draw each budget into a file, .svg or .pdf.")
    ] = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Say what each error on the card is made of, and what would make it smaller."""
    from evenground.assess import assess
    from evenground.assess.budgets import budgets_of, budgets_on
    from evenground.capture.bundle import read_bundle

    read = read_bundle(bundle)
    findings = assess(read.visit, read.studio, read.open_blob, digests=read.digests)
    found = budgets_of(read.visit, read.studio, findings)
    shown = found if line is None else budgets_on(line, found)
    if chart is not None:
        from evenground.report.budget_drawing import budget_drawing
        from evenground.report.charts import write_chart

        for number, one in enumerate(shown):
            path = chart if number == 0 else chart.with_stem(f"{chart.stem}-{number + 1}")
            write_chart(budget_drawing(one), path, title=f"Error budget, {one.what}")
    text = [part for one in shown for part in _text(one, full=line is not None)]
    show({"budgets": shown}, as_json=as_json, text="\n".join(text).rstrip() or "Nothing has an error yet.")


def _text(one: "FindingBudget", *, full: bool) -> list[str]:
    made = one.budget
    lines = [f"{one.line}: {one.what} {one.value:.1f} {made.unit}, standard error {made.se:.2g}"]
    if full:
        rows = [
            (s.name, f"{s.se:.2g} {made.unit}", f"{100.0 * share:.0f} %")
            for s, share in zip(made.sources, one.shares, strict=True)
        ]
        lines += [table(rows, header=("source", "standard error", "share"))]
        helps = [
            (h.action, f"{h.se_after:.2g} {made.unit}", f"{100.0 * h.saves:.0f} % less") for h in one.helps
        ]
        lines += [table(helps, header=("what would help", "leaves", ""))]
    return [*lines, f"  {one.advice}", ""]
