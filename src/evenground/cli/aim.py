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
        typer.Argument(
            help="CSV: trial, one of offset_mm, dot_mm, face_deg; if wanted condition, or club and target_m."
        ),
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
    eyes_mm: Annotated[
        list[float] | None,
        typer.Option("--eyes-mm", help="Eyes beyond the ball's line, - inside; once for each look."),
    ] = None,
    eyes_deg: Annotated[
        list[float] | None,
        typer.Option("--eyes-deg", help="Line through the eyes, + open; once for each look."),
    ] = None,
    handed: Annotated[Handed, typer.Option(help="Which way round the player plays.")] = "right",
    chart: Annotated[
        Path | None, typer.Option("--chart", help="Draw each condition over the hole, .svg or .pdf.")
    ] = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Say where the face points, how steadily, and whether that starts inside the hole."""
    from evenground.capture.aim_trials import read_putts_and_swings
    from evenground.visit import AimCheck, EyeLine

    putts, swings = read_putts_and_swings(trials)
    looks = [EyeLine(offset_mm=v) for v in eyes_mm or ()] + [EyeLine(direction_deg=v) for v in eyes_deg or ()]
    check = AimCheck(
        distance_m=distance_m,
        trials=putts,
        eyes=tuple(looks),
        full_swing=swings,
        read_at_m=read_at_m,
        dot_at_m=dot_at_m,
        past_m=past_m,
        green_m=green_m,
        hole_mm=hole_mm,
        face_share=share,
    )
    plain: dict[str, Any] = {}
    lines: list[str] = []
    if putts or not swings:
        plain, text = _putts(check, handed, chart)
        lines.append(text)
    plain["eyes"], looked = _eyes(check)
    plain["full_swing"], swung = _swings(check, handed)
    show(plain, as_json=as_json, text="\n".join([*lines, *looked, *swung]))


def _putts(check: "AimCheck", handed: Handed, chart: Path | None) -> tuple[dict[str, Any], str]:
    """What the aims at the hole amount to, plain and in words; drawn where asked."""
    from evenground.fit.aim import fit_aims
    from evenground.fit.aim_compare import compare_aims

    whole, each, unusable = fit_aims(check.trials, check, handed=handed)
    first, *others = list(each.items()) or [("all aims", whole)]
    changes = [compare_aims(first, other) for other in others]
    if chart is not None:
        _draw(chart, each or {"all aims": whole}, check, handed)
    plain = {**_plain(whole), "conditions": {n: _plain(f) for n, f in each.items()}}
    plain["changes"] = [_change(c) for c in changes]
    plain["notes"] = [*whole.notes, *unusable]
    return plain, _text(whole, each, unusable, changes, handed)


def _eyes(check: "AimCheck") -> tuple[Any, list[str]]:
    """The eye line's two facts, None where nobody looked."""
    from evenground.measure.eyes import eye_facts

    if not check.eyes:
        return None, []
    found = eye_facts(check.eyes)
    told = (("eyes beyond the ball's line", found.offset_mm), ("line through the eyes", found.direction_deg))
    lines = [
        f"{words}: {fact.value:+.1f} ± {fact.half_width():.1f} {fact.unit}" for words, fact in told if fact
    ]
    return found, [*lines, *found.notes]


def _swings(check: "AimCheck", handed: Handed) -> tuple[Any, list[str]]:
    """Full-swing clubs in metres at their targets, None without any."""
    from evenground.fit.full_swing import full_swing_aim

    if not check.full_swing:
        return None, []
    from evenground.report.trial_parts import swing_words

    found = full_swing_aim(check.full_swing, check, handed=handed)
    return found, list(swing_words(found))


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
