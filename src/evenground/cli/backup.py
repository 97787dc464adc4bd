"""`evenground backup DIR`: all records in one checked file, while the studio goes on working."""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from evenground.cli.common import AsJson, DataFolder, progress, show

__all__ = ["backup"]


def backup(
    into: Annotated[Path, typer.Argument(help="Folder for the backup, best on another disk.")],
    *,
    data: DataFolder = None,
    as_json: AsJson = False,
) -> None:
    """Copy all records of a studio into one new file, checked by digests, while the app may go on."""
    from evenground.studio.desk import back_up_studio

    with progress("copying the records"):
        done = back_up_studio(data, into, now=datetime.now())
    plain = {
        "file": str(done.file),
        "sha256": done.sha256,
        "size": done.size,
        "files": done.files,
        "missing": list(done.missing),
    }
    text = f"{done.file}: {done.size / 1024**2:.1f} MB, {done.files} files\nSHA-256 {done.sha256}"
    if done.missing:
        text += f"\n{len(done.missing)} files were missing in the data folder: evenground doctor says which."
    show(plain, as_json=as_json, text=text)
