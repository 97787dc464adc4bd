"""Files that outlive a pulled plug: what was synced stays, what was not may go, a name holds a whole file.

Everything that is journalled goes through these few doors, so that a test can put a disk behind them that
forgets whatever was not synced.
"""

import os
import sys
from pathlib import Path
from typing import Protocol

__all__ = ["LocalDisk", "SyncedDisk", "SyncedFile", "sync_folder"]

_LOCK_AT = 2**40  # far behind any frame: on some systems a locked byte cannot be read


class SyncedFile(Protocol):
    """A file that only grows."""

    def write(self, data: bytes) -> None:
        """Append all of it, perhaps only in memory so far."""

    def sync(self) -> None:
        """Return once everything appended is on the disk."""

    def cut(self, length: int) -> None:
        """Forget what lies behind the first `length` bytes."""

    def close(self) -> None:
        """Let the file go."""


class SyncedDisk(Protocol):
    """Where files are begun."""

    def begin(self, path: Path, first: bytes) -> SyncedFile:
        """Make a file that holds `first` and is held by nobody else; it appears under its name whole."""


class _LocalFile:
    """A file of this machine, locked for as long as it is open."""

    def __init__(self, path: Path) -> None:
        self._fd = os.open(path, os.O_RDWR | os.O_APPEND | getattr(os, "O_BINARY", 0))
        lock(self._fd)

    def write(self, data: bytes) -> None:
        left = memoryview(data)
        while left:
            left = left[os.write(self._fd, left) :]

    def sync(self) -> None:
        os.fsync(self._fd)

    def cut(self, length: int) -> None:
        os.ftruncate(self._fd, length)

    def close(self) -> None:
        os.close(self._fd)


class LocalDisk:
    """The disk of this machine."""

    def begin(self, path: Path, first: bytes) -> SyncedFile:
        """Write under another name, sync, rename, sync the folder: a name never stands for half a file.

        Raises
        ------
        OSError
            When the folder cannot be written to.
        """
        part = path.with_name(f"{path.name}.part")
        write_whole(part, path, first)
        return _LocalFile(path)


def write_whole(part: Path, path: Path, data: bytes) -> None:
    """Put a file under its name in one step, on the disk when this returns."""
    with part.open("wb") as out:
        out.write(data)
        out.flush()
        os.fsync(out.fileno())
    part.replace(path)
    sync_folder(path.parent)


def sync_folder(folder: Path) -> None:
    """Make a new or changed name last; Windows keeps no handle on folders and needs none."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def lock(handle: int) -> bool:
    """Take a file for this process until it is closed; False when another holds it."""
    try:
        if sys.platform == "win32":
            import msvcrt

            os.lseek(handle, _LOCK_AT, os.SEEK_SET)
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def held_elsewhere(path: Path) -> bool:
    """Whether somebody, perhaps this process, is still writing to a file."""
    handle = os.open(path, os.O_RDWR | getattr(os, "O_BINARY", 0))
    try:
        return not lock(handle)
    finally:
        os.close(handle)
