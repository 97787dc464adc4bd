"""A folder that a mat's own program saves to: a file that appears and stops growing is a recording.

Looked at from time to time, without anything of the system's own that tells of changes; what lay there before
the watch began is left alone.
"""

from dataclasses import dataclass
from pathlib import Path

from evenground.capture.fields import MissingFileError

__all__ = ["SETTLED_S", "Settled", "WatchedFolder"]

SETTLED_S = 1.0
"""Unchanged for so long a file is taken to be whole (ours: programs write out at least once a second)."""

ENDINGS = (".parquet", ".csv", ".txt", ".tsv", ".asc", ".dat", ".gz", ".zip")
_UNFINISHED = (".part", ".tmp", ".crdownload", "~")


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """A file that has stopped growing."""

    path: Path
    size: int


@dataclass(frozen=True, slots=True)
class _Seen:
    size: int
    changed_ns: int
    since_s: float


class WatchedFolder:
    """A folder under watch.

    Parameters
    ----------
    folder
        Which one.
    endings
        Only files whose names end like this count.

    Raises
    ------
    MissingFileError
        When there is no such folder.
    """

    def __init__(self, folder: Path, *, endings: tuple[str, ...] = ENDINGS) -> None:
        self.folder, self._endings = folder, endings
        self._waiting: dict[Path, _Seen] = {}
        self._done = {path: (size, changed) for path, size, changed in self._files()}

    def look(self, now_s: float) -> tuple[Settled, ...]:
        """Give the files that have settled since the last look, by name.

        Parameters
        ----------
        now_s
            The time, on any clock that only runs forward.

        Raises
        ------
        MissingFileError
            When the folder has gone.
        """
        settled, there = [], set()
        for path, size, changed in self._files():
            there.add(path)
            if self._done.get(path) == (size, changed):
                continue
            seen = self._waiting.get(path)
            if seen is None or (seen.size, seen.changed_ns) != (size, changed):
                self._waiting[path] = _Seen(size, changed, now_s)
            elif size > 0 and now_s - seen.since_s >= SETTLED_S:
                settled.append(Settled(path=path, size=size))
                self._done[path] = (size, changed)
                del self._waiting[path]
        for path in [p for p in self._waiting if p not in there]:
            del self._waiting[path]
        return tuple(settled)

    def _files(self) -> list[tuple[Path, int, int]]:
        """Every file that may be a recording, with its size and when it was changed, by name."""
        found = []
        try:
            for path in sorted(self.folder.iterdir()):
                name = path.name.lower()
                if name.startswith(".") or name.endswith(_UNFINISHED) or not name.endswith(self._endings):
                    continue
                try:
                    stat = path.stat()
                except OSError:  # gone between the two looks, or not ours to see
                    continue
                if path.is_file():
                    found.append((path, stat.st_size, stat.st_mtime_ns))
        except OSError as exc:
            raise MissingFileError(str(self.folder), (exc.strerror or "unknown reason").lower()) from exc
        return found
