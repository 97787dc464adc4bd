"""`evenground doctor`: whether a studio's records are sound."""

from typing import Annotated

import typer

from evenground.cli.common import AsJson, DataFolder, progress, show, table

__all__ = ["doctor"]


def doctor(
    *,
    files: Annotated[
        bool, typer.Option("--files", help="Also read every stored file against its digest.")
    ] = False,
    data: DataFolder = None,
    as_json: AsJson = False,
) -> None:
    """Look whether records, files, erasures and disk are sound; exit status 1 when something is not."""
    from evenground.studio.desk import open_desk

    home = open_desk(data)
    from evenground.records.doctor import examine

    with progress("looking at the records"):
        found = examine(every_byte=files)
    plain = {
        "folder": str(home.folder),
        "sound": not any(c.wrong for c in found),
        "looked_at": [{"what": c.looked_at, "found": c.found, "wrong": c.wrong} for c in found],
    }
    rows = [(c.looked_at, c.wrong or c.found) for c in found]
    show(plain, as_json=as_json, text=f"{home.folder}\n{table(rows)}")
    if not plain["sound"]:
        raise typer.Exit(1)
