"""`evenground simulate`: data with a known truth beside them."""

from pathlib import Path
from typing import Annotated, Literal

import typer

from evenground.cli.simulate_live import EmptyS, LiveMat, MatName, OpenNetwork, UntilS, play_live
from evenground.cli.simulate_photos import board, hand, posture, tags
from evenground.cli.simulate_player import player

__all__ = ["simulate_app"]

simulate_app = typer.Typer(help="Make data with a known truth beside them.", no_args_is_help=True)


@simulate_app.callback()
def _root() -> None:
    """Make data with a known truth beside them."""


@simulate_app.command("mat")
def mat(
    out: Annotated[
        Path | None, typer.Argument(help="Recording to write (.parquet); none with --live.")
    ] = None,
    truth: Annotated[
        Path | None, typer.Option(help="Truth to write; without it, OUT with .json in place of .parquet.")
    ] = None,
    seed: Annotated[int, typer.Option(min=0, help="The same seed gives the same recording.")] = 1,
    handed: Annotated[Literal["right", "left"], typer.Option(help="Golfing hand.")] = "right",
    width_mm: Annotated[float, typer.Option(min=130.0, max=900.0, help="Between heel centres.")] = 300.0,
    left_ahead_mm: Annotated[float, typer.Option(min=-150.0, max=150.0, help="Left heel ahead.")] = 0.0,
    toe_out_left_deg: Annotated[float, typer.Option(min=-15.0, max=45.0)] = 10.0,
    toe_out_right_deg: Annotated[float, typer.Option(min=-15.0, max=45.0)] = 10.0,
    load_left_percent: Annotated[float, typer.Option(min=15.0, max=85.0)] = 50.0,
    forward_mm: Annotated[float, typer.Option(min=-20.0, max=20.0, help="Moves each foot's CoP.")] = 0.0,
    foot_length_mm: Annotated[float, typer.Option(min=200.0, max=340.0)] = 265.0,
    mass_kg: Annotated[float, typer.Option(min=20.0, max=200.0)] = 75.0,
    turned_deg: Annotated[float, typer.Option(min=-20.0, max=20.0, help="Whole stance turned.")] = 0.0,
    rows: Annotated[int, typer.Option(min=8, max=1000)] = 64,
    columns: Annotated[int, typer.Option(min=8, max=1000)] = 96,
    pitch_mm: Annotated[float, typer.Option(min=2.0, max=25.0)] = 8.0,
    noise_kpa: Annotated[float, typer.Option(min=0.0, max=20.0, help="SD of one cell.")] = 0.3,
    counts_per_kpa: Annotated[float | None, typer.Option(min=0.01, help="Give raw counts.")] = None,
    duration_s: Annotated[float, typer.Option(min=0.0, max=600.0, help="0 for one frame.")] = 10.0,
    rate_hz: Annotated[float, typer.Option(min=1.0, max=1000.0)] = 25.0,
    *,
    shod: Annotated[bool, typer.Option("--shod", help="Shoes: two blobs each.")] = False,
    live: LiveMat = False,
    name: MatName = "simulated mat",
    empty_s: EmptyS = 4.0,
    until_s: UntilS = None,
    network: OpenNetwork = False,
) -> None:
    """Write a recording of a standing player on a mat, and the truth of every figure; or send one live."""
    import numpy as np

    from evenground.capture.parquet import write_recording
    from evenground.cli.common import progress
    from evenground.plain import dump
    from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat

    standing = Standing(
        width_mm=width_mm,
        left_ahead_mm=left_ahead_mm,
        toe_out_left_deg=toe_out_left_deg,
        toe_out_right_deg=toe_out_right_deg,
        load_left_percent=load_left_percent,
        forward_mm=forward_mm,
        foot_length_mm=foot_length_mm,
        mass_kg=mass_kg,
        shod=shod,
        handed=handed,
        stance_turned_deg=turned_deg,
    )
    on = Mat(
        rows=rows,
        columns=columns,
        pitch_x_mm=pitch_mm,
        pitch_y_mm=pitch_mm,
        noise_kpa=noise_kpa,
        counts_per_kpa=counts_per_kpa,
    )
    if live:
        from evenground.simulate.live_mat import Playing

        play_live(
            Playing(
                standing=standing,
                mat=on,
                stands_s=max(duration_s, 1.0),
                empty_s=empty_s,
                rate_hz=rate_hz,
                name=name,
                seed=seed,
                length_s=until_s,
                network=network,
            )
        )
        return
    if out is None:
        msg = "say which file to write, or --live"
        raise typer.BadParameter(msg)
    swaying = Swaying(duration_s=duration_s, rate_hz=rate_hz) if duration_s > 0.0 else None
    with progress("Standing"):
        made = simulate_mat(standing, on, swaying, rng=np.random.default_rng(seed), name=out.name)
        write_recording(made.recording, out)
    beside = out.with_suffix(".json") if truth is None else truth
    beside.write_text(dump(made.truth) + "\n", encoding="utf-8")
    print(f"{out} holds {len(made.recording.cells)} frames, {beside} the truth behind them.")


simulate_app.command("player")(player)
simulate_app.command("hand")(hand)
simulate_app.command("tags")(tags)
simulate_app.command("board")(board)
simulate_app.command("posture")(posture)
