"""``evenground stance``: hip-line trials to stance widths, answers and the next width to test."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from evenground.cli.common import AsJson, show, table
from evenground.floor import Handed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from evenground.fit.stance_types import FamilyAnswer, StanceFit
    from evenground.visit import HipLineTrial

__all__ = ["stance"]


def stance(
    trials: Annotated[
        Path, typer.Argument(help="CSV: trial,width_mm,hip_line_deg; family, phase and more if wanted.")
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
    allowed_mm: Annotated[
        str, typer.Option("--allowed-mm", help="The only widths to set and choose, such as 320,380,440.")
    ] = "",
    turns: Annotated[
        Path | None,
        typer.Option("--turns", help="CSV: toward,turn_deg,width_mm; for --turn-at-least-deg."),
    ] = None,
    turn_at_least_deg: Annotated[
        float | None,
        typer.Option("--turn-at-least-deg", help="A turn that a width has to leave as well."),
    ] = None,
    turn_toward: Annotated[
        Literal["lead", "trail"], typer.Option("--turn-toward", help="To which side that turn is.")
    ] = "trail",
    studio: Annotated[
        Path | None, typer.Option("--studio", help="A studio.toml: its margin, order and studied errors.")
    ] = None,
    chart: Annotated[
        Path | None, typer.Option("--chart", help="Draw before and after into a file, .svg or .pdf.")
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
    from evenground.capture.studio_file import StudioFile, studio_from
    from evenground.capture.trials import read_trials
    from evenground.capture.turn_trials import read_turns
    from evenground.capture.visit_file import BodyTable
    from evenground.fit.stance import fit_stance
    from evenground.fit.stance_types import StanceOptions
    from evenground.visit import FAMILIES

    if body is not None:
        if stature_mm is not None:
            raise typer.BadParameter("give --body or --stature-mm, not both", param_hint="--stature-mm")
        stature_mm = load_toml(body, BodyTable).check().mean_mm("stature")
    snapshot = studio_from(StudioFile(format=1) if studio is None else load_toml(studio, StudioFile))
    arrived = dict(zip(FAMILIES, (putter_mm, irons_mm, woods_mm), strict=True))
    taken = read_trials(trials)
    fit = fit_stance(
        taken,
        options=StanceOptions(
            margin_deg=snapshot.settings.margin_deg if margin_deg is None else margin_deg,
            noise_deg=snapshot.errors.hip_line_deg if noise_deg is None else noise_deg,
            keep_order=snapshot.settings.order_families and not any_order,
            allowed_mm=_listed(allowed_mm),
            turn_at_least_deg=turn_at_least_deg,
            turn_toward=turn_toward,
            turn_noise_deg=snapshot.errors.turn_deg,
        ),
        stature_mm=stature_mm,
        as_arrived_mm={f: w for f, w in arrived.items() if w is not None},
        rng=np.random.default_rng(seed),
        turns=() if turns is None else read_turns(turns),
    )
    if chart is not None:
        _draw(fit, taken, chart)
    show(fit, as_json=as_json, text=_for_a_person(fit, handed))


def _listed(text: str) -> tuple[float, ...]:
    """Widths of a list, in mm."""
    try:
        return tuple(float(part) for part in text.replace(",", " ").split())
    except ValueError as exc:
        raise typer.BadParameter(f"{text!r} is no list of widths in mm", param_hint="--allowed-mm") from exc


def _draw(fit: "StanceFit", taken: "Sequence[HipLineTrial]", chart: Path) -> None:
    """One file for each phase that was taken after the first."""
    from evenground.fit.stance_words import phase_words
    from evenground.report.charts import write_chart
    from evenground.report.phase_slopes import phase_slopes
    from evenground.visit import PHASES

    drawn = {phase: phase_slopes(fit, taken, phase, "metric") for phase in reversed(PHASES[1:])}
    shown = {phase: drawing for phase, drawing in drawn.items() if drawing is not None}
    if not shown:
        raise typer.BadParameter(
            "no width was set both before and after the routine or a rest", param_hint="--chart"
        )
    for number, (phase, drawing) in enumerate(shown.items()):
        path = chart if number == 0 else chart.with_stem(f"{chart.stem}-{phase}")
        write_chart(drawing, path, title=f"Hip line before and {phase_words(phase)}")


def _for_a_person(fit: "StanceFit", handed: Handed) -> str:
    from evenground.report.phase_slopes import effect_words, phase_sentences
    from evenground.visit import PHASES

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
        *(s for phase in reversed(PHASES[1:]) for s in list(phase_sentences(fit, phase, "metric"))[1:]),
        *(effect_words(effect, "metric") for effect in fit.effects),
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
