"""Frames on their way from a mat to whoever looks at them, by way of the journal while one is kept."""

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from threading import Lock
from typing import Any

from evenground.capture.disk import SyncedDisk
from evenground.capture.frames import FrameSource, MatFrames
from evenground.capture.journal import Journal, JournalStoppedError, begin_journal

__all__ = ["Feed"]


class Feed:
    """Gives frames only after they are journalled.

    One thread pulls; recording may be begun and ended from another.

    Parameters
    ----------
    source
        Where frames come from.
    disk
        Where journals are written; this machine's disk.
    """

    def __init__(self, source: FrameSource, *, disk: SyncedDisk | None = None) -> None:
        self.source = source
        self._disk = disk
        self._journal: Journal | None = None
        self._lock = Lock()

    def pull(self, wait_s: float) -> MatFrames:
        """Frames that have come; while a recording runs they are on the disk already.

        Raises
        ------
        JournalStoppedError
            When the disk refuses them; the recording has ended then.
        CaptureError
            When the source gives nothing any more; a recording goes on, should it come back.
        """
        frames = self.source.pull(wait_s)
        with self._lock:
            if self._journal is not None and len(frames):
                self._keep(self._journal, frames)
        return frames

    def _keep(self, journal: Journal, frames: MatFrames) -> None:
        try:
            journal.append(frames)
        except Exception:
            self._journal = None
            journal.close()
            raise

    @property
    def recorded(self) -> int | None:
        """How many frames the running recording has; None when none runs."""
        journal = self._journal
        return None if journal is None else journal.count

    def record(self, path: Path, about: Mapping[str, Any]) -> None:
        """Keep every frame from the next one on.

        Raises
        ------
        JournalStoppedError
            When the journal cannot be begun.
        """
        begun = begin_journal(path, self.source.head, about, disk=self._disk)
        with self._lock:
            before, self._journal = self._journal, begun
        _end(before)

    def end(self) -> Path | None:
        """End the recording that runs and give its journal; None when none runs.

        A disk that refuses the mark at the end costs nothing but that mark: every frame is there.
        """
        with self._lock:
            journal, self._journal = self._journal, None
        if journal is None:
            return None
        _end(journal)
        return journal.path

    def close(self) -> None:
        """End what runs and let the source go."""
        try:
            self.end()
        finally:
            self.source.close()


def _end(journal: Journal | None) -> None:
    if journal is not None:
        with suppress(JournalStoppedError):
            journal.end()
