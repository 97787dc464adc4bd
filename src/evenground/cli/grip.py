"""`evenground grip`: wanted diameters, and the build from stock list and club sheet."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from evenground.cli.common import AsJson, progress, show, table

if TYPE_CHECKING:
    from evenground.estimate import Estimate
    from evenground.fit.grip import Hand
    from evenground.fit.grip_types import GripBuild, GripFit

__all__ = ["grip"]


def grip(
    *,
    upper_mm: Annotated[float | None, typer.Option(help="Diameter wanted under the upper hand.")] = None,
    lower_mm: Annotated[float | None, typer.Option(help="Diameter wanted under the lower hand.")] = None,
    upper_hand_mm: Annotated[float | None, typer.Option(help="Length of the upper hand.")] = None,
    upper_finger_mm: Annotated[
        float | None, typer.Option(help="Middle finger of the upper hand: hand length less palm length.")
    ] = None,
    lower_hand_mm: Annotated[float | None, typer.Option(help="Length of the lower hand.")] = None,
    lower_finger_mm: Annotated[
        float | None, typer.Option(help="Middle finger of the lower hand: hand length less palm length.")
    ] = None,
    stock: Annotated[Path | None, typer.Option(help="Stock list (TOML); needs --club.")] = None,
    club: Annotated[Path | None, typer.Option(help="Club sheet (TOML); needs --stock.")] = None,
    as_json: AsJson = False,
) -> None:
    """Work out the grip diameters a player's hands want, and the build that comes nearest to them."""
    from evenground.capture.stock import load_club, load_stock
    from evenground.fit.grip import entered_diameters, wanted_diameters
    from evenground.fit.grip_build import fit_grip
    from evenground.fit.grip_types import GripFit

    sizes = (upper_hand_mm, upper_finger_mm, lower_hand_mm, lower_finger_mm)
    entered = upper_mm is not None or lower_mm is not None
    if entered == any(size is not None for size in sizes):
        raise typer.BadParameter("give either the wanted diameters, or the hand and finger of each hand")
    if (stock is None) != (club is None):
        raise typer.BadParameter("--stock and --club belong together")
    if entered:
        wanted = entered_diameters(upper_mm, lower_mm)
    else:
        wanted = wanted_diameters(
            _hand("upper", upper_hand_mm, upper_finger_mm), _hand("lower", lower_hand_mm, lower_finger_mm)
        )
    if stock is None or club is None:
        fitted = GripFit(wanted=wanted, builds=(), reached=None, notes=wanted.notes)
    else:
        sheet = load_club(club)
        shelf = load_stock(stock)
        with progress("Trying every grip and layer"):
            fitted = fit_grip(wanted, shelf, sheet.to_club(), worn_grip_mass_g=sheet.grip_g)
    show(_plain(fitted), as_json=as_json, text=_text(fitted))


def _hand(which: str, length_mm: float | None, finger_mm: float | None) -> "Hand | None":
    from evenground.estimate import Estimate
    from evenground.fit.grip import Hand
    from evenground.fit.grip_constants import HAND_SE_MM

    if length_mm is None and finger_mm is None:
        return None
    if length_mm is None or finger_mm is None:
        raise typer.BadParameter(f"the {which} hand needs both its length and its middle finger")
    se = HAND_SE_MM.value
    return Hand(
        length_mm=Estimate(value=length_mm, se=se, unit="mm"),
        finger_mm=Estimate(value=finger_mm, se=se, unit="mm"),
    )


def _plain(fitted: "GripFit") -> dict[str, Any]:
    return {
        "wanted": {"upper_mm": fitted.wanted.upper_mm, "lower_mm": fitted.wanted.lower_mm},
        "builds": fitted.builds,
        "reached": fitted.reached,
        "notes": fitted.notes,
    }


def _text(fitted: "GripFit") -> str:
    wanted = [
        (f"wanted, {hand} hand", _size(size))
        for hand, size in (("upper", fitted.wanted.upper_mm), ("lower", fitted.wanted.lower_mm))
    ]
    parts = [table(wanted)]
    if fitted.builds:
        header = ("grip", "layers", "built mm", "error mm", "taper mm", "mass g", "Rules")
        parts += ["", table([_row(b) for b in fitted.builds], header=header)]
        parts += ["", *(f"{b.grip}: {note}" for b in fitted.builds for note in b.notes)]
    return "\n".join([*parts, *fitted.notes, *(["Measure after fitting."] if fitted.builds else [])])


def _size(size: "Estimate | None") -> str:
    from evenground.units import show_64ths

    if size is None:
        return "-"
    return f"{size.value:.2f} mm ({show_64ths(size.value)}), give or take {size.half_width():.1f} mm"


def _row(build: "GripBuild") -> tuple[str, ...]:
    rules = {True: "conforms", False: "does not conform", None: "cannot certify"}[build.conforming]
    if build.layers is None or build.built_mm is None or build.built_se_mm is None:
        return (build.grip, "measure", "-", "-", "-", "-", rules)
    sizes = [
        "-" if mm is None or se is None else f"{mm:.2f} ± {1.96 * se:.2f}"
        for mm, se in (
            (build.built_mm.upper, build.built_se_mm.upper),
            (build.built_mm.lower, build.built_se_mm.lower),
        )
    ]
    return (
        build.grip,
        f"{build.layers.upper} / {build.layers.lower}",
        " / ".join(sizes),
        f"{build.error_mm:.2f}",
        f"{build.taper_mm:.2f}",
        f"{build.added_mass_g:.0f}",
        rules,
    )
