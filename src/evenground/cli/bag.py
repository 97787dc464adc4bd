"""`evenground bag`: the own clubs as one table and one picture."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from evenground.cli.common import AsJson, show, table

if TYPE_CHECKING:
    from evenground.fit.bag import Stands
    from evenground.floor import Handed
    from evenground.visit import OwnClub

__all__ = ["bag"]


def bag(
    file: Annotated[Path, typer.Argument(help="A visit bundle, or a club list as TOML or CSV.")],
    *,
    counterweight_g: Annotated[
        float | None,
        typer.Option(min=1.0, max=300.0, help="What a weight of so many grams would do to each club."),
    ] = None,
    counterweight_at_mm: Annotated[
        float, typer.Option(min=0.0, max=1300.0, help="How far below the cap that weight would sit.")
    ] = 0.0,
    picture: Annotated[
        Path | None, typer.Option(help="Draw the bag at address into FILE.svg or FILE.pdf.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Describe each club of a bag: length, lie as held, reach, ball, balance, and the Rules."""
    from dataclasses import replace

    from evenground.fit.bag import describe_bag
    from evenground.report.bag_drawing import bag_drawing
    from evenground.report.bag_view import bag_rows, bag_sentences
    from evenground.report.charts import write_chart

    clubs, stands, handed = _read(file)
    if counterweight_g is not None:
        clubs = tuple(
            replace(c, counterweight_g=counterweight_g, counterweight_at_mm=counterweight_at_mm)
            for c in clubs
        )
    found = describe_bag(clubs, stands)
    if picture is not None:
        drawing = bag_drawing(found, handed=handed)
        if drawing is None:
            raise typer.BadParameter("no club has both its length and its lie", param_hint="--picture")
        write_chart(drawing, picture, title="The bag at address", wide_mm=90.0, room_mm=38.0)
    columns, rows = bag_rows(found)
    text = table(rows, header=("club", *columns)) if rows else "No club is entered."
    show(found, as_json=as_json, text="\n".join([text, "", *bag_sentences(found)]).rstrip())


def _read(file: Path) -> "tuple[tuple[OwnClub, ...], Stands, Handed]":
    from evenground.assess.bag import stands_of
    from evenground.capture.bundle import read_bundle
    from evenground.capture.club_file import read_clubs
    from evenground.fit.bag import NOWHERE

    if not file.is_dir() and file.suffix.lower() != ".zip":
        return read_clubs(file), NOWHERE, "right"
    bundle = read_bundle(file)
    return bundle.visit.own_clubs, stands_of(bundle.visit, bundle.studio), bundle.visit.player.handed
