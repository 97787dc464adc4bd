"""`evenground export WHO DIR`: all that is kept of a player, as bundles and one JSON file."""

from pathlib import Path
from typing import Annotated

import typer

from evenground.cli.common import AsJson, DataFolder, show

__all__ = ["export"]


def export(
    who: Annotated[str, typer.Argument(help="The player's name, or the id in the address of their page.")],
    into: Annotated[Path, typer.Argument(help="A new folder.")],
    *,
    data: DataFolder = None,
    as_json: AsJson = False,
) -> None:
    """Write all that is kept of a player: player.json, and a bundle for each visit."""
    from evenground.cli.who import player_called
    from evenground.studio.desk import open_desk

    open_desk(data)
    from evenground.records.privacy import export_player

    player = player_called(who)
    export_player(player.pk, into)
    visits = sorted(folder.name for folder in into.iterdir() if folder.is_dir())
    text = f"{player.name}: player.json and {len(visits)} visit{'' if len(visits) == 1 else 's'} in {into}"
    show({"player": str(player.pk), "folder": str(into), "visits": visits}, as_json=as_json, text=text)
