"""`evenground effects`: what moves this player, from all trials of a visit."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from evenground.cli.common import AsJson, show, table

if TYPE_CHECKING:
    from evenground.fit.effects import Effects

__all__ = ["effects"]


def effects(
    bundle: Annotated[Path, typer.Argument(help="A visit bundle: its folder, or that folder zipped.")],
    chart: Annotated[
        Path | None, typer.Option("--chart", help="Draw each response into a file, .svg or .pdf.")
    ] = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Say what moves this player: the effect of everything that was varied, largest first."""
    from evenground.assess.effects import effects_of
    from evenground.capture.bundle import read_bundle

    read = read_bundle(bundle)
    worked = effects_of(read.visit, read.studio)
    if chart is not None:
        from evenground.report.charts import write_chart
        from evenground.report.effects_drawing import effects_drawing

        for number, (response, found) in enumerate(worked.found.items()):
            path = chart if number == 0 else chart.with_stem(f"{chart.stem}-{number + 1}")
            write_chart(effects_drawing(found), path, title=f"What moves the {response}")
    lines = [line for found in worked.found.values() for line in _text(found)]
    lines += [f"{response}: {why}" for response, why in worked.not_told.items()]
    show(worked, as_json=as_json, text="\n".join(lines).rstrip() or "No trials were taken in this visit.")


def _text(found: "Effects") -> list[str]:
    from evenground.report.effects_words import (
        change_words,
        effect_title,
        effect_verdict,
        never_varied_words,
    )

    counted = f"{found.trials} trials"
    if found.placements is not None:
        counted += f" in {found.placements} placements"
    lines = [f"{found.response}: {counted}; one reading scatters by {found.noise_sd:.1f} {found.unit}"]
    rows = [
        (effect_title(e), "-" if e.change is None else change_words(e.change), effect_verdict(e))
        for e in found.effects
    ]
    if rows:
        lines.append(table(rows, header=("what was changed", "moves it by", "")))
    never = never_varied_words(found)
    return [*lines, *found.notes, *([never] if never else []), ""]
