"""`evenground held-load`: how far a known mass at the chest should move the balance, and how far it did."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from evenground.cli.common import AsJson, show

if TYPE_CHECKING:
    from evenground.estimate import Estimate
    from evenground.fit.held_load import HeldLoadFit, LoadLimit, LoadPair
    from evenground.visit import HeldLoadPair

__all__ = ["held_load"]

YEARS_MOST = 110


def held_load(
    pairs: Annotated[
        Path | None,
        typer.Argument(help="CSV: load_kg, load_ahead_mm, without_mm and with_mm (or recordings by name)."),
    ] = None,
    mass_kg: Annotated[float, typer.Option("--mass-kg", min=10, max=350, help="The player's mass.")] = ...,  # type: ignore[assignment]
    years: Annotated[
        int | None,
        typer.Option("--years", min=3, max=YEARS_MOST, help="Age; unknown holds as little as a minor."),
    ] = None,
    load_kg: Annotated[
        float, typer.Option("--load-kg", min=0.1, max=10, help="For a prediction alone: the mass.")
    ] = 1.0,
    load_ahead_mm: Annotated[
        float, typer.Option("--load-ahead-mm", min=-200, max=1000, help="Its middle, ahead of the heels.")
    ] = 300.0,
    weight_ahead_mm: Annotated[
        float, typer.Option("--weight-ahead-mm", min=-300, max=600, help="The weight without it, likewise.")
    ] = 100.0,
    chart: Annotated[Path | None, typer.Option("--chart", help="Draw it, .svg or .pdf.")] = None,
    *,
    cleared: Annotated[
        bool, typer.Option("--cleared", help="A screening cleared the player; without it nothing is held.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Predict how a mass held at the chest moves the balance, and test it. Stop at pain."""
    from evenground.fit.held_load import LoadTooHeavyError, fit_held_load, load_limit
    from evenground.needs import NotOfferedError

    if not cleared:
        unanswered = "the screening is not answered yet (--cleared says that it cleared the player)"
        raise NotOfferedError("held load", unanswered)
    limit = load_limit(mass_kg, years)
    read = () if pairs is None else _read(pairs)
    heaviest = max((p.load_kg for p in read), default=load_kg)
    if heaviest > limit.most_kg:
        raise LoadTooHeavyError(heaviest, limit.most_kg, limit.why)
    if pairs is None:
        predicted = _predicted(mass_kg, load_kg, load_ahead_mm, weight_ahead_mm)
        plain = {"limit": limit, "predicted_mm": predicted, "tested": []}
        show(plain, as_json=as_json, text=_predicted_text(limit, predicted, load_kg))
        return
    groups: dict[float, list[LoadPair]] = {}
    for pair in read:
        groups.setdefault(round(pair.load_kg, 1), []).append(_pair(pair, pairs.parent, mass_kg))
    fits = [fit_held_load(own, mass_kg) for own in groups.values()]
    if chart is not None:
        _draw(chart, fits)
    plain = {"limit": limit, "predicted_mm": None, "tested": fits}
    show(plain, as_json=as_json, text=_text(limit, fits))


def _read(path: Path) -> "tuple[HeldLoadPair, ...]":
    from evenground.capture.extra_trials import read_held_loads

    return read_held_loads(path)


def _pair(pair: "HeldLoadPair", folder: Path, mass_kg: float) -> "LoadPair":
    from evenground.assess.extras import placed_pair
    from evenground.capture.text import opened

    return placed_pair(pair, mass_kg, lambda name: opened(folder / name))


def _predicted(mass_kg: float, load_kg: float, load_ahead_mm: float, weight_ahead_mm: float) -> "Estimate":
    from evenground.estimate import Estimate
    from evenground.fit.held_load import predicted_shift_mm
    from evenground.fit.held_load_constants import LOAD_AHEAD_SD_MM

    ahead = Estimate(value=load_ahead_mm, se=LOAD_AHEAD_SD_MM.value, n=1, unit="mm")
    weight = Estimate(value=weight_ahead_mm, se=LOAD_AHEAD_SD_MM.value, n=1, unit="mm")
    return predicted_shift_mm(mass_kg, weight, load_kg, ahead)


def _draw(chart: Path, fits: "list[HeldLoadFit]") -> None:
    """One file a mass, numbered from the second."""
    from evenground.report.charts import write_chart
    from evenground.report.extras_drawing import held_load_drawing

    for number, fit in enumerate(fits):
        path = chart if number == 0 else chart.with_stem(f"{chart.stem}-{number + 1}")
        write_chart(held_load_drawing(fit), path, title=f"Held load, {fit.load_kg:g} kg")


def _cautions(limit: "LoadLimit") -> list[str]:
    from evenground.report.extras_words import LOAD_CAUTIONS, limit_words

    return [*LOAD_CAUTIONS, limit_words(limit), ""]


def _predicted_text(limit: "LoadLimit", predicted: "Estimate", load_kg: float) -> str:
    said = (
        f"{load_kg:g} kg at the chest should move the balance {predicted.value:+.1f} mm (± "
        f"{predicted.half_width():.1f}) ahead if the body does not give way."
    )
    return "\n".join([*_cautions(limit), said])


def _text(limit: "LoadLimit", fits: "list[HeldLoadFit]") -> str:
    from evenground.report.extras_words import held_load_words

    lines = _cautions(limit)
    for fit in fits:
        lines += [held_load_words(fit), *(f"{note.capitalize()}." for note in fit.notes)]
    return "\n".join(lines)
