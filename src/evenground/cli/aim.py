"""`evenground aim`: bias, spread, and the chance to start inside the hole."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from evenground.cli.common import AsJson, show, table
from evenground.floor import Handed

if TYPE_CHECKING:
    from evenground.fit.aim import AimFit

__all__ = ["aim"]


def aim(
    trials: Annotated[Path, typer.Argument(help="CSV: trial,offset_mm and, if wanted, condition.")],
    distance_m: Annotated[
        float, typer.Option("--distance-m", help="Ball to where the offsets were read, metres.")
    ],
    past_m: Annotated[
        float | None, typer.Option("--past-m", help="How far past the hole the ball would stop.")
    ] = None,
    green_m: Annotated[
        float | None, typer.Option("--green-m", help="The green's reading on the standard ramp, metres.")
    ] = None,
    hole_mm: Annotated[
        float | None, typer.Option("--hole-mm", min=1, max=1000, help="Diameter of the hole.")
    ] = None,
    handed: Annotated[Handed, typer.Option(help="Which way round the player plays.")] = "right",
    *,
    as_json: AsJson = False,
) -> None:
    """Say where the face points, how steadily, and whether that starts inside the hole."""
    from evenground.capture.aim_trials import read_aims
    from evenground.fit.aim import bias_change, fit_aims

    hole = {"past_m": past_m, "green_m": green_m, "hole_mm": hole_mm}
    given = {name: value for name, value in hole.items() if value is not None}
    whole, each, unusable = fit_aims(read_aims(trials), distance_m=distance_m, handed=handed, **given)
    names = list(each)
    changes = [
        {"from": names[0], "to": name, "bias_deg": bias_change(each[name], each[names[0]])}
        for name in names[1:]
    ]
    plain = {**_plain(whole), "conditions": {n: _plain(f) for n, f in each.items()}, "changes": changes}
    plain["notes"] = [*whole.notes, *unusable]
    show(plain, as_json=as_json, text=_text(whole, each, unusable, changes, handed))


def _plain(fit: "AimFit") -> dict[str, Any]:
    from evenground.plain import to_plain

    plain: dict[str, Any] = to_plain(fit)
    return plain


def _text(
    whole: "AimFit",
    each: Mapping[str, "AimFit"],
    unusable: tuple[str, ...],
    changes: list[dict[str, Any]],
    handed: Handed,
) -> str:
    rows = [(name, *_row(fit)) for name, fit in (each or {"all aims": whole}).items()]
    header = ("condition", "bias deg", "spread deg", "starts inside", "more aims wanted")
    lines = [
        f"+ is open for a {handed}-handed player; the hole allows {whole.window_deg:.2f} deg either way.",
        "",
        table(rows, header=header),
        "",
    ]
    for change in changes:
        bias = change["bias_deg"]
        lines.append(
            f"{change['to']} against {change['from']}: {bias.value:+.2f} ± {bias.half_width():.2f} deg"
        )
    return "\n".join([*lines, *whole.notes, *unusable]).rstrip()


def _row(fit: "AimFit") -> tuple[str, ...]:
    low, high = 100.0 * fit.inside_interval.low, 100.0 * fit.inside_interval.high
    return (
        f"{fit.bias_deg.value:+.2f} ± {fit.bias_deg.half_width():.2f}",
        f"{fit.spread_deg.value:.2f} ± {1.96 * fit.spread_deg.se:.2f}",
        f"{100 * fit.inside_probability.value:.0f} in 100 ({low:.0f} to {high:.0f})",
        f"{fit.more_trials}",
    )
