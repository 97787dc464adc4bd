"""`evenground restore FILE`: a backup in the place of a studio's records, which are set aside."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer

from evenground.cli.common import AsJson, DataFolder, progress, show

__all__ = ["restore"]


def restore(
    file: Annotated[Path, typer.Argument(help="The file that backup wrote.")],
    *,
    data: DataFolder = None,
    as_json: AsJson = False,
) -> None:
    """Put a backup in the place of a studio's records; the app must not run meanwhile."""
    from evenground.studio.desk import restore_studio

    with progress("restoring"):
        done = restore_studio(data, file, now=datetime.now(UTC))
    plain = {
        "made_at": done.made_at,
        "aside": None if done.aside is None else str(done.aside),
        "files": done.files,
        "missing": list(done.missing),
        "erased_again": done.erased_again,
    }
    lines = [f"Restored what was backed up at {done.made_at}: {done.files} files and all records."]
    if done.aside is not None:
        lines.append(f"The records from before are in {done.aside}; delete that folder when all is well.")
    if done.erased_again:
        lines.append(f"{done.erased_again} players who had been erased since were erased again.")
    lines.append("Everybody signs in anew, and tablets are paired anew.")
    show(plain, as_json=as_json, text="\n".join(lines))
