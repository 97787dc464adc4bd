"""`evenground grip`: wanted diameters, the build from stock list and club sheet, and a studio's own model."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from evenground.cli.common import AsJson, progress, show, table

if TYPE_CHECKING:
    from evenground.capture.stock import ClubSheet
    from evenground.estimate import Estimate
    from evenground.fit.grip import GripWanted, Hand, Held
    from evenground.fit.grip_model import GripModelFit
    from evenground.fit.grip_types import GripBuild, GripFit
    from evenground.visit import OwnClub

__all__ = ["grip"]

Style = Literal["usual", "cross-handed", "split", "lead hand only", "trail hand only"]
HAND_HELP = "Middle finger of the {} hand: hand length less palm length."


def grip(
    *,
    upper_mm: Annotated[float | None, typer.Option(help="Diameter wanted under the upper hand.")] = None,
    lower_mm: Annotated[float | None, typer.Option(help="Diameter wanted under the lower hand.")] = None,
    upper_hand_mm: Annotated[float | None, typer.Option(help="Length of the upper hand.")] = None,
    upper_finger_mm: Annotated[float | None, typer.Option(help=HAND_HELP.format("upper"))] = None,
    lower_hand_mm: Annotated[float | None, typer.Option(help="Length of the lower hand.")] = None,
    lower_finger_mm: Annotated[float | None, typer.Option(help=HAND_HELP.format("lower"))] = None,
    sore: Annotated[
        Literal["upper", "lower", "both"] | None, typer.Option(help="A hand for which comfort outranks size.")
    ] = None,
    style: Annotated[
        Style | None, typer.Option(help="How the club is held; else as the club sheet says, or usual.")
    ] = None,
    glove: Annotated[
        Literal["none", "lead", "trail", "both"] | None,
        typer.Option(help="Which hand wears a glove on this club, where it is not the lead hand alone."),
    ] = None,
    glove_mm: Annotated[float | None, typer.Option(help="Thickness of the glove's leather.")] = None,
    stock: Annotated[Path | None, typer.Option(help="Stock list (TOML); needs --club.")] = None,
    club: Annotated[Path | None, typer.Option(help="Club sheet (TOML); needs --stock.")] = None,
    fits: Annotated[
        Path | None, typer.Option(help="Confirmed fits (CSV): fit the studio's own model, and use it.")
    ] = None,
    picture: Annotated[
        Path | None, typer.Option(help="Draw the best build at true size into FILE.svg or FILE.pdf.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Work out the grip diameters a player's hands want, and the build that comes nearest to them."""
    from evenground.capture.stock import load_club, load_stock
    from evenground.fit.grip_build import fit_grip
    from evenground.fit.grip_types import GripFit

    sizes = (upper_hand_mm, upper_finger_mm, lower_hand_mm, lower_finger_mm)
    entered = upper_mm is not None or lower_mm is not None
    by_hand = any(size is not None for size in sizes)
    if (entered and by_hand) or not (entered or by_hand or fits is not None):
        raise typer.BadParameter("give either the wanted diameters, or the hand and finger of each hand")
    if (stock is None) != (club is None):
        raise typer.BadParameter("--stock and --club belong together")
    if picture is not None and stock is None:
        raise typer.BadParameter("a build is drawn: give --stock and --club", param_hint="--picture")
    model = None if fits is None else _model(fits)
    if not (entered or by_hand):
        show({"model": model}, as_json=as_json, text="\n".join(_model_text(model)))
        return
    sheet = None if club is None else load_club(club)
    if entered:
        wanted = _entered(upper_mm, lower_mm)
    else:
        hands = (
            _hand("upper", upper_hand_mm, upper_finger_mm, sore=sore in ("upper", "both")),
            _hand("lower", lower_hand_mm, lower_finger_mm, sore=sore in ("lower", "both")),
        )
        wanted = _wanted(hands, _held(sheet, style, glove, glove_mm), model)
    if stock is None or sheet is None:
        fitted = GripFit(wanted=wanted, builds=(), reached=None, notes=wanted.notes)
    else:
        with progress("Trying every grip and layer"):
            fitted = fit_grip(wanted, load_stock(stock), sheet.to_club(), worn_grip_mass_g=sheet.grip_g)
    own = None if sheet is None else _as_held(sheet, style, glove)
    if picture is not None and own is not None:
        _draw(picture, fitted, own)
    show(_plain(fitted, model), as_json=as_json, text=_text(fitted, model, own))


def _model(fits: Path) -> "GripModelFit":
    from evenground.capture.fits import read_fits
    from evenground.fit.grip_model import fit_grip_model

    return fit_grip_model(read_fits(fits))


def _entered(upper_mm: float | None, lower_mm: float | None) -> "GripWanted":
    from evenground.fit.grip import entered_diameters

    return entered_diameters(upper_mm, lower_mm)


def _held(sheet: "ClubSheet | None", style: Any, glove: Any, glove_mm: float | None) -> "Held":
    """How the club is held: as asked, else as its sheet says."""
    from evenground.fit.grip import Held

    usual = Held() if sheet is None else Held(style=sheet.grip_style, glove=sheet.glove)
    return Held(
        style=style or usual.style,
        glove=glove or usual.glove,
        glove_mm=usual.glove_mm if glove_mm is None else glove_mm,
    )


def _wanted(
    hands: "tuple[Hand | None, Hand | None]", held: "Held", model: "GripModelFit | None"
) -> "GripWanted":
    """The hands stand by place here: the upper one is the lead hand unless the style says otherwise."""
    from evenground.fit.grip import DEFAULT_MODEL, wanted_as_held

    upper_leads = held.style not in ("cross-handed", "trail hand only")
    lead, trail = hands if upper_leads else (hands[1], hands[0])
    return wanted_as_held(lead, trail, held, model=DEFAULT_MODEL if model is None else model.model)


def _hand(which: str, length_mm: float | None, finger_mm: float | None, *, sore: bool) -> "Hand | None":
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
        sore=sore,
    )


def _as_held(sheet: "ClubSheet", style: Any, glove: Any) -> "OwnClub":
    """The club of the sheet, held as it was asked."""
    club = sheet.to_club()
    return replace(club, grip_style=style or club.grip_style, glove=glove or club.glove)


def _draw(picture: Path, fitted: "GripFit", club: "OwnClub") -> None:
    from evenground.report.charts import write_chart
    from evenground.report.grip_drawing import whole_drawing

    drawn = whole_drawing(club, fitted)
    if drawn is None:
        raise typer.BadParameter("nothing was worked out that could be drawn", param_hint="--picture")
    title = f"{club.mark}: {fitted.builds[0].grip}"
    write_chart(drawn, picture, title=title, wide_mm=drawn.width_mm, room_mm=8.0)


def _plain(fitted: "GripFit", model: "GripModelFit | None") -> dict[str, Any]:
    plain = {
        "wanted": {"upper_mm": fitted.wanted.upper_mm, "lower_mm": fitted.wanted.lower_mm},
        "comfort_first": fitted.wanted.comfort_first,
        "builds": fitted.builds,
        "making": fitted.making,
        "reached": fitted.reached,
        "notes": fitted.notes,
    }
    return plain if model is None else plain | {"model": model}


def _model_text(model: "GripModelFit | None") -> list[str]:
    """The studio's model, and the lines that put it into `studio.toml`."""
    from evenground.capture.toml_text import given
    from evenground.capture.toml_text import table as toml_table

    if model is None:
        return []
    numbers = (
        ("at the reference hand, mm", model.at_reference_mm, 2),
        ("a millimetre of hand, mm", model.hand_slope, 3),
        ("a millimetre of finger, mm", model.finger_slope, 3),
        ("lower hand less, mm", model.taper_mm, 2),
    )
    rows = [(what, f"{e.value:.{n}f} ± {e.half_width():.{n}f}") for what, e, n in numbers]
    rows.append(("players, hands", f"{model.model.players}, {model.model.hands}"))
    block = toml_table("grip_model", given(model.model))
    return [table(rows), "", *model.notes, "For studio.toml:", *block, ""]


def _text(fitted: "GripFit", model: "GripModelFit | None", club: "OwnClub | None") -> str:
    from evenground.report.build_view import work_lines

    wanted = [
        (f"wanted, {hand} hand", _size(size))
        for hand, size in (("upper", fitted.wanted.upper_mm), ("lower", fitted.wanted.lower_mm))
    ]
    parts = [*_model_text(model), table(wanted)]
    if fitted.builds:
        header = ("grip", "layers", "built mm", "error mm", "taper mm", "mass g", "Rules")
        parts += ["", table([_row(b) for b in fitted.builds], header=header)]
        work = list(work_lines(club, fitted.builds[0], fitted.making))
        parts += ["", table(work)] if work else []
        parts += ["", *(f"{b.grip}: {note}" for b in fitted.builds for note in b.notes)]
    return "\n".join([*parts, *fitted.notes, *(["Measure after fitting."] if fitted.builds else [])])


def _size(size: "Estimate | None") -> str:
    from evenground.units import show_64ths

    if size is None:
        return "-"
    return f"{size.value:.2f} mm ({show_64ths(size.value)}), give or take {size.half_width():.1f} mm"


def _row(build: "GripBuild") -> tuple[str, ...]:
    rules = {True: "conforms", False: "does not conform", None: "cannot certify"}[build.conforming]
    if build.built_mm is None or build.built_se_mm is None:
        return (build.grip, build.how, "-", "-", "-", "-", rules)
    sizes = [
        "-" if mm is None or se is None else f"{mm:.2f} ± {1.96 * se:.2f}"
        for mm, se in (
            (build.built_mm.upper, build.built_se_mm.upper),
            (build.built_mm.lower, build.built_se_mm.lower),
        )
    ]
    layers = build.how if build.layers is None else f"{build.layers.upper} / {build.layers.lower}"
    taper = "-" if build.taper_mm is None else f"{build.taper_mm:.2f}"
    mass = f"{build.added_mass_g:.0f}"
    return (build.grip, layers, " / ".join(sizes), f"{build.error_mm:.2f}", taper, mass, rules)
