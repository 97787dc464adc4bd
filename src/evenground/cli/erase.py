"""`evenground erase WHO`: a player erased whole, which outlasts every restore."""

from typing import Annotated

import typer

from evenground.cli.common import DataFolder

__all__ = ["erase"]


def erase(
    who: Annotated[str, typer.Argument(help="The player's name, or the id in the address of their page.")],
    *,
    by: Annotated[str, typer.Option("--by", help="Who does it; kept with the bare id.")],
    yes: Annotated[bool, typer.Option("--yes", help="Don't ask for the name again.")] = False,
    data: DataFolder = None,
) -> None:
    """Erase a player: visits, readings, signed cards, files, consents, contact. Nothing brings them back."""
    from evenground.cli.who import player_called
    from evenground.studio.desk import open_desk

    open_desk(data)
    from evenground.records.privacy import erase_player

    player = player_called(who)
    visits = player.visits.count()
    if not yes:
        said = typer.prompt(f"{player.name}, {visits} visits. Write the name again to erase them for good")
        if said.strip() != player.name:
            print("Nothing was erased.")
            raise typer.Exit(1)
    erase_player(player.pk, by=by)
    print(f"Erased: {visits} visits and everything else. A restore does not bring them back.")
