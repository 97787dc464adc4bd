"""`evenground turn`: how far trunk and pelvis turn to each side, and what stance does to it."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from evenground.cli.common import AsJson, show, table
from evenground.floor import Handed

if TYPE_CHECKING:
    from evenground.fit.turn import TurnResponse
    from evenground.measure.turn import TurnRanges, TurnSide

__all__ = ["turn"]

CAUTION = "Stop before any pain; a turn that pain stopped is no range, and is not repeated."


def turn(
    turns: Annotated[
        Path, typer.Argument(help="CSV: toward,turn_deg; if wanted part, width_mm, trunk_deg, knee_flex_deg.")
    ],
    sd_deg: Annotated[
        float | None, typer.Option("--sd-deg", min=0.1, max=50, help="The studio's SD of one turn.")
    ] = None,
    handed: Annotated[Handed, typer.Option(help="Which way round the player plays.")] = "right",
    chart: Annotated[Path | None, typer.Option("--chart", help="Draw the fan, .svg or .pdf.")] = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Turn to each side, mean and best with their errors; no norm. Stop before any pain."""
    from evenground.capture.turn_trials import read_turns
    from evenground.fit.turn import NothingVariedError, turn_response
    from evenground.measure.turn import turn_ranges

    read = read_turns(turns)
    parts = [p for p in ("trunk", "pelvis") if any(t.part == p for t in read)]
    found = {p: turn_ranges([t for t in read if t.part == p], known_sd_deg=sd_deg) for p in parts}
    response = None
    try:
        response = turn_response(read, known_sd_deg=sd_deg)
    except NothingVariedError as exc:
        notes = [f"{exc.what} {exc.do}"]
    else:
        notes = list(response.notes)
    if chart is not None:
        from evenground.report.charts import write_chart
        from evenground.report.turn_drawing import turn_drawing

        write_chart(turn_drawing(list(found.values()), handed), chart, title="Turn to each side")
    text = "\n".join([*_ranges(found), *_slopes(response), *notes, CAUTION])
    show({"parts": found, "response": response, "notes": notes}, as_json=as_json, text=text)


def _ranges(found: dict[str, "TurnRanges"]) -> list[str]:
    from evenground.measure.turn import turn_words

    rows = [
        (part, turn_words(side.toward), *_side(side))
        for part, ranges in found.items()
        for side in (ranges.lead, ranges.trail)
    ]
    lines = [table(rows, header=("part", "side", "mean deg", "best deg", "turns"))]
    for part, ranges in found.items():
        apart = ranges.difference_deg
        if apart is not None:
            farther = f"{apart.value:+.1f} ± {apart.half_width():.1f} deg farther toward the target"
            lines.append(f"{part}: {farther}")
        lines += [f"{part}: {note}" for note in ranges.notes]
    return lines


def _side(side: "TurnSide") -> tuple[str, ...]:
    if side.mean_deg is None or side.best_deg is None:
        return "-", "-", side.reason or ""
    mean, best = side.mean_deg, side.best_deg
    stopped = f", {side.stopped} stopped by pain" if side.stopped else ""
    return (
        f"{mean.value:.1f} ± {mean.half_width():.1f}",
        f"{best.value:.1f} ± {best.half_width():.1f}",
        f"{mean.n}{stopped}",
    )


def _slopes(response: "TurnResponse | None") -> list[str]:
    from evenground.report.turn_words import slope_words

    return [] if response is None else [slope_words(slope) for slope in response.slopes]
