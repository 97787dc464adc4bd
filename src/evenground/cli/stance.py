"""``evenground stance``: hip-line trials to stance widths, answers and the next width to test."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from evenground.cli.common import AsJson, show, table
from evenground.floor import Handed

if TYPE_CHECKING:
    from evenground.fit.stance_types import FamilyAnswer, StanceFit

__all__ = ["stance"]


def stance(
    trials: Annotated[
        Path, typer.Argument(help="CSV: trial,width_mm,hip_line_deg and, if wanted, family,phase.")
    ],
    body: Annotated[
        Path | None, typer.Option("--body", help="TOML with the body's sizes; its stature sets the windows.")
    ] = None,
    stature_mm: Annotated[
        float | None, typer.Option("--stature-mm", help="Stature, instead of --body.")
    ] = None,
    handed: Annotated[
        Handed, typer.Option(help="Which way round the player plays; hip_line_deg is + open for either.")
    ] = "right",
    margin_deg: Annotated[
        float | None, typer.Option("--margin-deg", help="What counts as square, degrees either way.")
    ] = None,
    noise_deg: Annotated[
        float | None, typer.Option("--noise-deg", help="The studio's own SD of one hip-line reading.")
    ] = None,
    putter_mm: Annotated[
        float | None, typer.Option("--putter-mm", help="Width as arrived with the putter.")
    ] = None,
    irons_mm: Annotated[
        float | None, typer.Option("--irons-mm", help="Width as arrived with the irons.")
    ] = None,
    woods_mm: Annotated[
        float | None, typer.Option("--woods-mm", help="Width as arrived with the woods.")
    ] = None,
    *,
    any_order: Annotated[
        bool,
        typer.Option("--any-order", help="Let the putter stand wider than irons, irons wider than woods."),
    ] = False,
    seed: Annotated[
        int, typer.Option(min=0, help="Settles draws and near-ties; the same seed, the same answer.")
    ] = 1,
    as_json: AsJson = False,
) -> None:
    """Find the stance widths at which this player's hips are square, and the width to test next."""
    import numpy as np

    from evenground.capture.fields import load_toml
    from evenground.capture.trials import read_trials
    from evenground.capture.visit_file import BodyTable
    from evenground.fit.stance import fit_stance
    from evenground.fit.stance_types import StanceOptions
    from evenground.visit import FAMILIES

    if body is not None:
        if stature_mm is not None:
            raise typer.BadParameter("give --body or --stature-mm, not both", param_hint="--stature-mm")
        stature_mm = load_toml(body, BodyTable).check().mean_mm("stature")
    defaults = StanceOptions()
    arrived = dict(zip(FAMILIES, (putter_mm, irons_mm, woods_mm), strict=True))
    fit = fit_stance(
        read_trials(trials),
        options=StanceOptions(
            margin_deg=defaults.margin_deg if margin_deg is None else margin_deg,
            noise_deg=noise_deg,
            keep_order=not any_order,
        ),
        stature_mm=stature_mm,
        as_arrived_mm={f: w for f, w in arrived.items() if w is not None},
        rng=np.random.default_rng(seed),
    )
    show(fit, as_json=as_json, text=_for_a_person(fit, handed))


def _for_a_person(fit: "StanceFit", handed: Handed) -> str:
    rows = [(family, *_row(answer)) for family, answer in fit.families.items()]
    drift = fit.drift_deg_per_trial
    lines = [
        f"Square: hip line within {fit.margin_deg:g} deg of zero (+ open, for a {handed}-handed player).",
        "Widths run from heel centre to heel centre.",
        "",
        table(rows, header=("family", "answer", "width", "chance of square")),
        "",
        *(f"Likely square: {low:.0f} to {high:.0f} mm" for low, high, _ in fit.square_bands_mm),
        f"Drift: {drift.value:+.2f} +/- {drift.half_width():.2f} deg a trial",
        *(flag.text for flag in fit.flags),
    ]
    if fit.next is not None:
        lines.append(f"Next: {fit.next.width_mm:.0f} mm. {fit.next.reason}")
    if fit.stop.done:
        lines.append(f"Stop: {fit.stop.reason}")
    return "\n".join(lines)


def _row(answer: "FamilyAnswer") -> tuple[str, str, str]:
    width = answer.width_mm
    shown = "-" if width is None else f"{width.value:.0f} mm, error {width.se:.0f} mm"
    word = f"{answer.answer} (carried over)" if answer.carried_over else answer.answer
    return word, shown, f"{answer.probability:.2f}"
