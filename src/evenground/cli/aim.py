"""`evenground aim`: bias, spread, and the chance to start inside the hole."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from evenground.cli.common import AsJson, show, table
from evenground.floor import Handed

if TYPE_CHECKING:
    from evenground.fit.aim import AimFit
    from evenground.fit.aim_compare import AimChange
    from evenground.visit import AimCheck

__all__ = ["aim"]


def aim(
    trials: Annotated[
        Path,
        typer.Argument(help="CSV: trial, one of offset_mm, dot_mm or face_deg, and, if wanted, condition."),
    ],
    distance_m: Annotated[float, typer.Option("--distance-m", help="Ball centre to hole centre, metres.")],
    read_at_m: Annotated[
        float | None,
        typer.Option("--read-at-m", min=0.05, max=400, help="Ball to the board or string, if not the hole."),
    ] = None,
    dot_at_m: Annotated[
        float | None,
        typer.Option("--dot-at-m", min=0.05, max=400, help="Mirror on the face to the board with the dot."),
    ] = None,
    past_m: Annotated[
        float | None, typer.Option("--past-m", help="How far past the hole the ball would stop.")
    ] = None,
    green_m: Annotated[
        float | None, typer.Option("--green-m", help="The green's reading on the standard ramp, metres.")
    ] = None,
    hole_mm: Annotated[
        float | None, typer.Option("--hole-mm", min=1, max=1000, help="Diameter of the hole.")
    ] = None,
    share: Annotated[
        float | None, typer.Option("--share", min=0.5, max=1, help="Share of the face in the start line.")
    ] = None,
    handed: Annotated[Handed, typer.Option(help="Which way round the player plays.")] = "right",
    chart: Annotated[
        Path | None, typer.Option("--chart", help="Draw each condition over the hole, .svg or .pdf.")
    ] = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Say where the face points, how steadily, and whether that starts inside the hole."""
    from evenground.capture.aim_trials import read_aims
    from evenground.fit.aim import fit_aims
    from evenground.fit.aim_compare import compare_aims
    from evenground.visit import AimCheck

    read = read_aims(trials)
    check = AimCheck(
        distance_m=distance_m,
        trials=read,
        read_at_m=read_at_m,
        dot_at_m=dot_at_m,
        past_m=past_m,
        green_m=green_m,
        hole_mm=hole_mm,
        face_share=share,
    )
    whole, each, unusable = fit_aims(read, check, handed=handed)
    first, *others = list(each.items()) or [("all aims", whole)]
    changes = [compare_aims(first, other) for other in others]
    if chart is not None:
        _draw(chart, each or {"all aims": whole}, check, handed)
    plain = {**_plain(whole), "conditions": {n: _plain(f) for n, f in each.items()}}
    plain["changes"] = [_change(c) for c in changes]
    plain["notes"] = [*whole.notes, *unusable]
    show(plain, as_json=as_json, text=_text(whole, each, unusable, changes, handed))


def _plain(value: Any) -> dict[str, Any]:
    from evenground.plain import to_plain

    plain: dict[str, Any] = to_plain(value)
    return plain


def _change(change: "AimChange") -> dict[str, Any]:
    plain = _plain(change)
    return {"from": plain.pop("was"), "to": plain.pop("now"), **plain}


def _draw(chart: Path, each: Mapping[str, "AimFit"], check: "AimCheck", handed: Handed) -> None:
    """One file a condition, numbered from the second."""
    from evenground.report.aim_hole import aim_hole_drawing
    from evenground.report.charts import write_chart

    for number, (name, fit) in enumerate(each.items()):
        path = chart if number == 0 else chart.with_stem(f"{chart.stem}-{number + 1}")
        write_chart(aim_hole_drawing(fit, check, handed), path, title=f"Aim over the hole, {name}")


def _text(
    whole: "AimFit",
    each: Mapping[str, "AimFit"],
    unusable: tuple[str, ...],
    changes: Sequence["AimChange"],
    handed: Handed,
) -> str:
    rows = [(name, *_row(fit)) for name, fit in (each or {"all aims": whole}).items()]
    header = ("condition", "bias deg", "spread deg", "starts inside", "more aims wanted")
    start = whole.start_probability
    lines = [
        f"+ is open for a {handed}-handed player; the hole allows {whole.window_deg:.2f} deg either way.",
        "",
        table(rows, header=header),
        "",
        (
            f"With a straight path, and {100 * whole.face_share:.0f} % of the start line from the face, "
            f"the hole allows the face {whole.face_window_deg:.2f} deg: {100 * start.value:.0f} in 100 start "
            "inside."
        ),
    ]
    lines += [_change_text(change) for change in changes]
    said = dict.fromkeys([*whole.notes, *(n for fit in each.values() for n in fit.notes), *unusable])
    return "\n".join([*lines, *said]).rstrip()


def _change_text(change: "AimChange") -> str:
    bias, inside = change.bias_deg, change.inside_change
    more = "" if change.more_trials is None else f"; {change.more_trials} more aims under each would tell"
    return (
        f"{change.now} against {change.was}: {bias.value:+.2f} ± {bias.half_width():.2f} deg, {change.word} "
        f"({change.why}{more}); spread {change.spread_ratio.low:.1f} to {change.spread_ratio.high:.1f} "
        f"times; starts inside {100 * inside.low:+.0f} to {100 * inside.high:+.0f} in 100"
    )


def _row(fit: "AimFit") -> tuple[str, ...]:
    low, high = 100.0 * fit.inside_interval.low, 100.0 * fit.inside_interval.high
    return (
        f"{fit.bias_deg.value:+.2f} ± {fit.bias_deg.half_width():.2f}",
        f"{fit.spread_deg.value:.2f} ({fit.spread_interval.low:.2f} to {fit.spread_interval.high:.2f})",
        f"{100 * fit.inside_probability.value:.0f} in 100 ({low:.0f} to {high:.0f})",
        f"{fit.more_trials}",
    )
