"""One study put into use in a `studio.toml`: read, changed in one table, and put back whole or not at all."""

import os
from dataclasses import replace
from pathlib import Path

from evenground.capture.bundle_writer import studio_toml
from evenground.capture.fields import load_toml
from evenground.capture.studio_file import StudioFile, studio_from
from evenground.errors import CaptureError
from evenground.studies import Studied, with_study
from evenground.visit import StudioSnapshot

__all__ = ["StudioNotWrittenError", "use_study"]


class StudioNotWrittenError(CaptureError):
    """A studio file that could not be put back; the old one is as it was."""

    do = "Check that the folder may be written to and has room."

    def __init__(self, file: str, reason: str) -> None:
        super().__init__(file, reason)
        self.where = file
        self.what = f"The file could not be written ({reason}); it is as it was."


def use_study(path: Path, kind: Studied, sd: float, between: float | None) -> StudioSnapshot:
    """Write a study's errors into a `studio.toml`, which is made when it is not there.

    Comments in the file are not kept; everything it says is.

    Raises
    ------
    CaptureError
        When the file is there and cannot be read as a studio's, or cannot be written.
    """
    now = studio_from(load_toml(path, StudioFile)) if path.exists() else StudioSnapshot()
    changed = replace(now, errors=with_study(now.errors, kind, sd, between))
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        beside.write_text(studio_toml(changed), "utf-8")
        beside.replace(path)
    except OSError as exc:
        beside.unlink(missing_ok=True)
        raise StudioNotWrittenError(path.name, (exc.strerror or "unknown reason").lower()) from exc
    return changed
