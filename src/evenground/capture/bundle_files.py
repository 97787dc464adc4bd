"""The files of a visit bundle, from a folder or the same folder zipped, without ever leaving it."""

import hashlib
import io
import stat
import zipfile
from collections.abc import Iterator
from pathlib import Path, PurePosixPath
from typing import BinaryIO, Protocol

from evenground.errors import CaptureError

__all__ = [
    "BundleFiles",
    "BundleMissingError",
    "BundleTooLargeError",
    "DamagedZipError",
    "FileMissingError",
    "FolderFiles",
    "UnsafeNameError",
    "ZipFiles",
    "open_files",
]

MAX_FILES = 2_000
MAX_BYTES = 2 * 1024**3
MAX_RATIO = 200
"""A text grid of zeros shrinks a hundredfold; past this a small zip was made to swell (ours)."""
RATIO_FROM_BYTES = 16 * 1024**2


class BundleMissingError(CaptureError):
    """There is no folder or zip file of that name."""

    do = "Give the folder that holds visit.toml, or that folder zipped."

    def __init__(self, bundle: str) -> None:
        super().__init__(bundle)
        self.where = bundle
        self.what = "There is no such folder or zip file."


class DamagedZipError(CaptureError):
    """The file is no zip, or is cut or damaged."""

    do = "Copy or export it again."

    def __init__(self, bundle: str, reason: str) -> None:
        super().__init__(bundle, reason)
        self.where = bundle
        self.what = f"The file is not a whole zip file ({reason})."


class UnsafeNameError(CaptureError):
    """A name in the bundle points outside it."""

    do = "Zip the visit's own folder again; every file must lie inside it."

    def __init__(self, bundle: str, name: str) -> None:
        super().__init__(bundle, name)
        self.where = bundle
        self.what = f"The file name {name!r} leads out of the bundle."


class BundleTooLargeError(CaptureError):
    """The bundle holds more than a visit can, or unpacks to far more than it weighs."""

    do = "A visit holds recordings and photos of one day; leave everything else out."

    def __init__(self, bundle: str, what: str) -> None:
        super().__init__(bundle, what)
        self.where = bundle
        self.what = f"{what}."


class FileMissingError(CaptureError):
    """A file that the visit names is not in the bundle."""

    do = "Put the file into the bundle, or take its entry out of visit.toml."

    def __init__(self, bundle: str, name: str, wanted_by: str) -> None:
        super().__init__(bundle, name, wanted_by)
        self.where = bundle
        self.what = f"{wanted_by} names the file {name!r}, which is not in the bundle."


class BundleFiles(Protocol):
    """What a bundle's files can be asked: their names, their bytes."""

    where: str

    def names(self) -> tuple[str, ...]:
        """All files by their path inside the bundle, with forward slashes, sorted."""
        ...

    def open(self, name: str, *, wanted_by: str = "visit.toml") -> BinaryIO:
        """Open one file for reading bytes."""
        ...


def safe_name(where: str, name: str) -> str:
    """The name with forward slashes, refused when it is absolute, climbs, or hides a drive or a NUL."""
    path = PurePosixPath(name.replace("\\", "/"))
    if not name or path.is_absolute() or ".." in path.parts or ":" in name or "\0" in name:
        raise UnsafeNameError(where, name)
    return str(path)


class FolderFiles:
    """A bundle that is a folder; a link that leads out of it is refused."""

    def __init__(self, folder: Path) -> None:
        self.where = folder.name or str(folder)
        self._root = folder.resolve()

    def names(self) -> tuple[str, ...]:
        """All files inside, hidden ones left out."""
        found = [p.relative_to(self._root) for p in self._root.rglob("*") if p.is_file()]
        if len(found) > MAX_FILES:
            raise BundleTooLargeError(self.where, f"The folder holds {len(found)} files, at most {MAX_FILES}")
        return tuple(sorted(p.as_posix() for p in found if not any(x.startswith(".") for x in p.parts)))

    def open(self, name: str, *, wanted_by: str = "visit.toml") -> BinaryIO:
        """Open one file for reading bytes."""
        path = (self._root / safe_name(self.where, name)).resolve()
        if not path.is_relative_to(self._root):
            raise UnsafeNameError(self.where, name)
        if not path.is_file():
            raise FileMissingError(self.where, name, wanted_by)
        return path.open("rb")


class ZipFiles:
    """A bundle that is a zip file, checked whole before anything is read from it."""

    def __init__(self, path: Path) -> None:
        self.where = path.name
        try:
            self._zip = zipfile.ZipFile(path)
            self._check()
        except (zipfile.BadZipFile, EOFError, OSError, NotImplementedError) as exc:
            raise DamagedZipError(self.where, str(exc) or type(exc).__name__) from exc
        self._prefix = self._common_folder()

    def _check(self) -> None:
        entries = self._zip.infolist()
        if len(entries) > MAX_FILES:
            raise BundleTooLargeError(self.where, f"The zip holds {len(entries)} files, at most {MAX_FILES}")
        seen: set[str] = set()
        for entry in entries:
            name = safe_name(self.where, entry.filename)
            if stat.S_ISLNK(entry.external_attr >> 16) or name in seen:
                raise UnsafeNameError(self.where, entry.filename)
            seen.add(name)
            swollen = entry.file_size > RATIO_FROM_BYTES
            if swollen and entry.file_size > MAX_RATIO * max(entry.compress_size, 1):
                times = entry.file_size // max(entry.compress_size, 1)
                raise BundleTooLargeError(self.where, f"{name} unpacks to {times} times its packed size")
        size = sum(e.file_size for e in entries)
        if size > MAX_BYTES:
            raise BundleTooLargeError(self.where, f"The zip unpacks to {size / 1024**3:.1f} GiB, at most 2")

    def _common_folder(self) -> str:
        """The one folder that everything lies in, when the folder itself was zipped and not its contents."""
        names = [e.filename for e in self._zip.infolist() if not e.is_dir()]
        tops = {n.split("/", 1)[0] for n in names}
        nested = len(tops) == 1 and all("/" in n for n in names)
        return f"{tops.pop()}/" if nested else ""

    def names(self) -> tuple[str, ...]:
        """All files inside, hidden ones left out."""
        inside = (e.filename.removeprefix(self._prefix) for e in self._zip.infolist() if not e.is_dir())
        return tuple(sorted(n for n in inside if not any(x.startswith(".") for x in n.split("/"))))

    def open(self, name: str, *, wanted_by: str = "visit.toml") -> BinaryIO:
        """Read one file whole; its stated size was checked, and zipfile stops at that size."""
        inner = self._prefix + safe_name(self.where, name)
        try:
            return io.BytesIO(self._zip.read(inner))
        except KeyError as exc:
            raise FileMissingError(self.where, name, wanted_by) from exc
        except (zipfile.BadZipFile, EOFError, OSError, RuntimeError, NotImplementedError) as exc:
            raise DamagedZipError(self.where, f"{name}: {exc}") from exc


def open_files(path: Path) -> BundleFiles:
    """The files of a bundle, folder or zip.

    Raises
    ------
    BundleMissingError, DamagedZipError, UnsafeNameError, BundleTooLargeError
        Each says what is wrong with the bundle as a whole.
    """
    if path.is_dir():
        return FolderFiles(path)
    if path.is_file():
        return ZipFiles(path)
    raise BundleMissingError(str(path))


def digest(stream: BinaryIO) -> str:
    """SHA-256 of a stream, read in pieces."""
    sha = hashlib.sha256()
    for piece in _pieces(stream):
        sha.update(piece)
    return sha.hexdigest()


def _pieces(stream: BinaryIO) -> Iterator[bytes]:
    while piece := stream.read(1024 * 1024):
        yield piece
