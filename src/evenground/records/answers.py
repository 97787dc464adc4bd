"""What the database and the disk say, turned into sentences a person can act on."""

import errno
from collections.abc import Iterator
from contextlib import contextmanager

from django.db import OperationalError

from evenground.errors import RecordsError

__all__ = ["BusyError", "NoRoomError", "answered", "no_room"]

_FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}


class NoRoomError(RecordsError):
    """The disk is full: nothing of this save was kept, everything before it is safe."""

    do = "Free some space and save again; what you typed is still on the page."

    def __init__(self) -> None:
        super().__init__()
        self.where = "data folder"
        self.what = "The disk is full, so this was not saved."


class BusyError(RecordsError):
    """Another program holds the records longer than a save can wait."""

    do = "Save again in a moment; nothing was lost."

    def __init__(self) -> None:
        super().__init__()
        self.where = "records"
        self.what = "The records are in use by another program."


@contextmanager
def answered() -> Iterator[None]:
    """Name a full disk and a locked database; every other failure goes on as it is."""
    try:
        yield
    except OperationalError as exc:
        said = str(exc).lower()
        if "full" in said or "no space" in said:
            raise NoRoomError from exc
        if "locked" in said:
            raise BusyError from exc
        raise


@contextmanager
def no_room() -> Iterator[None]:
    """Name a full disk met while writing a file."""
    try:
        yield
    except OSError as exc:
        if exc.errno in _FULL:
            raise NoRoomError from exc
        raise
