"""`evenground simulate player OUT_DIR`: a whole visit bundle of an invented player, the truth beside it."""

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from evenground.cli.common import progress, table
from evenground.floor import Handed

if TYPE_CHECKING:
    from evenground.visit import Check, Family

__all__ = ["player"]

Curve = Literal["any", "line", "parabola", "logistic", "sine", "kinked", "pieces", "never square"]


def player(
    out_dir: Annotated[Path, typer.Argument(help="Folder for the bundle; made new, or empty.")],
    *,
    truth: Annotated[
        Path | None, typer.Option("--truth", help="File for what is true of this player, as JSON.")
    ] = None,
    seed: Annotated[int, typer.Option(min=0, help="The same seed, the same visit.")] = 1,
    handed: Annotated[Handed, typer.Option(help="Left is the mirror image of right.")] = "right",
    visit: Annotated[str, typer.Option(help="The visit's own name.")] = "simulated",
    name: Annotated[str, typer.Option(help="The invented player's name.")] = "Simulated Player",
    teacher: Annotated[str, typer.Option(help="The invented teacher's name.")] = "Simulated Teacher",
    studio: Annotated[str, typer.Option(help="The invented studio's name.")] = "Simulated Studio",
    day: Annotated[
        datetime, typer.Option("--date", formats=["%Y-%m-%d"], help="Day of the visit.")
    ] = datetime(2026, 5, 9),
    reference: Annotated[
        Literal["any", "women", "men"], typer.Option(help="Whose body sizes are drawn.")
    ] = "any",
    curve: Annotated[Curve, typer.Option(help="Shape of the hip line against stance width.")] = "any",
    noise_deg: Annotated[float, typer.Option(min=0.0, max=10.0, help="SD of one hip-line reading.")] = 1.2,
    turned_deg: Annotated[
        float, typer.Option(min=-30.0, max=30.0, help="How far open the whole stance stands.")
    ] = 0.0,
    skip: Annotated[
        list[str] | None,
        typer.Option("--skip", help='A check left out and why: "turn=no time", "ball:woods=no time".'),
    ] = None,
    tape: Annotated[
        Literal["metric", "inch"], typer.Option(help="How stature and club lengths are typed.")
    ] = "metric",
) -> None:
    """Make a visit bundle of an invented player, and say what is true of them."""
    from evenground.capture.bundle_writer import write_bundle
    from evenground.plain import dump
    from evenground.simulate.player import simulate_player
    from evenground.simulate.player_files import blobs_of
    from evenground.simulate.player_scenario import Scenario

    skipped, skipped_family = _skipped(skip or [])
    scenario = Scenario(
        visit=visit,
        day=day.date(),
        name=name,
        teacher=teacher,
        studio=studio,
        reference=None if reference == "any" else reference,
        curve=curve,
        noise_deg=noise_deg,
        stance_turned_deg=turned_deg,
        skipped=skipped,
        skipped_family=skipped_family,
    )
    with progress("simulating the visit", total=3) as step:
        made = simulate_player(seed, handed=handed, scenario=scenario)
        step()
        blobs = blobs_of(made)
        step()
        write_bundle(out_dir, made.visit, made.studio, blobs, tape=tape)
        if truth is not None:
            truth.write_text(dump(made.truth) + "\n", encoding="utf-8")
        step()
    size = sum(len(b) for b in blobs.values()) / 1e6
    rows = [("bundle", str(out_dir)), ("files", str(len(blobs) + 2)), ("size", f"{size:.1f} MB")]
    typer.echo(table(rows + ([] if truth is None else [("truth", str(truth))])))


def _skipped(entries: list[str]) -> "tuple[dict[Check, str], dict[Check, Family]]":
    """Reason by check, and the family where only that one is left out."""
    from evenground.visit import CHECKS, FAMILIES

    reasons: dict[Check, str] = {}
    families: dict[Check, Family] = {}
    for entry in entries:
        what, _, reason = entry.partition("=")
        name, _, only = what.partition(":")
        check = next((c for c in CHECKS if c == name.strip()), None)
        family = next((f for f in FAMILIES if f == only.strip()), None)
        by_family = check in ("as arrived", "ball", "posture")
        if check is None or not reason.strip() or (only and not (family and by_family)):
            msg = (
                f"{entry!r} is not CHECK=REASON with a check out of {', '.join(CHECKS)}; "
                "as arrived, ball and posture may be CHECK:FAMILY=REASON"
            )
            raise typer.BadParameter(msg, param_hint="--skip")
        reasons[check] = reason.strip()
        if family is not None:
            families[check] = family
    return reasons, families
