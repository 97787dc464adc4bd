"""The files of a visit bundle, from a folder or the same folder zipped, without ever leaving it."""

import hashlib
import io
import lzma
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterable, Iterator
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
    "NotABundleError",
    "UnreadableFileError",
    "UnsafeNameError",
    "ZipFiles",
    "open_files",
]

MAX_FILES = 2_000
MAX_BYTES = 2 * 1024**3
MAX_RATIO = 200
"""A text grid of zeros shrinks a hundredfold; past this a small zip was made to swell (ours)."""
RATIO_FROM_BYTES = 16 * 1024**2
VISIT = "visit.toml"

DAMAGE = (
    zipfile.BadZipFile,
    zlib.error,
    lzma.LZMAError,
    struct.error,
    EOFError,
    OSError,
    RuntimeError,  # a password is wanted, or a packing that is not known
    ValueError,
    OverflowError,
)
"""What `zipfile` raises on its way through a cut, flipped or locked zip."""


class BundleMissingError(CaptureError):
    """There is no folder or zip file of that name."""

    do = "Give the folder that holds visit.toml, or that folder zipped."

    def __init__(self, bundle: str) -> None:
        super().__init__(bundle)
        self.where = bundle
        self.what = "There is no such folder or zip file."


class NotABundleError(CaptureError):
    """A folder or zip file without a visit in it."""

    do = "Give the folder that holds visit.toml, or that folder zipped."

    def __init__(self, bundle: str) -> None:
        super().__init__(bundle)
        self.where = bundle
        self.what = f"There is no {VISIT} in it, so it holds no visit."


class UnreadableFileError(CaptureError):
    """A file in the folder that the system would not open."""

    do = "Check that the file may be read and is no link to itself."

    def __init__(self, bundle: str, name: str, reason: str) -> None:
        super().__init__(bundle, name, reason)
        self.where = f"{bundle}/{name}"
        self.what = f"This file cannot be opened ({reason})."


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
        return tuple(sorted(p.as_posix() for p in found if not _hidden(p.as_posix())))

    def open(self, name: str, *, wanted_by: str = "visit.toml") -> BinaryIO:
        """Open one file for reading bytes."""
        try:
            path = (self._root / safe_name(self.where, name)).resolve()
            if not path.is_relative_to(self._root):
                raise UnsafeNameError(self.where, name)
            if not path.is_file():
                raise _missing(self.where, name, wanted_by)
            return path.open("rb")
        except (OSError, RuntimeError) as exc:  # no permission; a link that leads to itself
            reason = getattr(exc, "strerror", None) or "it leads to itself"
            raise UnreadableFileError(self.where, name, reason.lower()) from exc


class ZipFiles:
    """A bundle that is a zip file, checked whole before anything is read from it."""

    def __init__(self, path: Path) -> None:
        self.where = path.name
        try:
            self._zip = zipfile.ZipFile(path)
            entries = self._checked()
        except DAMAGE as exc:
            raise DamagedZipError(self.where, str(exc) or type(exc).__name__) from exc
        prefix = _common_folder(entries)
        self._entries = {name.removeprefix(prefix): entry for name, entry in entries.items()}

    def _checked(self) -> dict[str, zipfile.ZipInfo]:
        """Every file by its safe name; the folders' own entries are checked and left out."""
        entries = self._zip.infolist()
        if len(entries) > MAX_FILES:
            raise BundleTooLargeError(self.where, f"The zip holds {len(entries)} files, at most {MAX_FILES}")
        seen: dict[str, zipfile.ZipInfo] = {}
        for entry in entries:
            name = safe_name(self.where, entry.filename)
            if stat.S_ISLNK(entry.external_attr >> 16) or name in seen:
                raise UnsafeNameError(self.where, entry.filename)
            seen[name] = entry
            swollen = entry.file_size > RATIO_FROM_BYTES
            if swollen and entry.file_size > MAX_RATIO * max(entry.compress_size, 1):
                times = entry.file_size // max(entry.compress_size, 1)
                raise BundleTooLargeError(self.where, f"{name} unpacks to {times} times its packed size")
        size = sum(e.file_size for e in entries)
        if size > MAX_BYTES:
            raise BundleTooLargeError(self.where, f"The zip unpacks to {size / 1024**3:.1f} GiB, at most 2")
        return {name: entry for name, entry in seen.items() if not entry.is_dir()}

    def names(self) -> tuple[str, ...]:
        """All files inside, hidden ones left out."""
        return tuple(sorted(n for n in self._entries if not _hidden(n)))

    def open(self, name: str, *, wanted_by: str = "visit.toml") -> BinaryIO:
        """Read one file whole; its stated size was checked, and zipfile stops at that size."""
        entry = self._entries.get(safe_name(self.where, name))
        if entry is None:
            raise _missing(self.where, name, wanted_by)
        try:
            return io.BytesIO(self._zip.read(entry))
        except DAMAGE as exc:
            raise DamagedZipError(self.where, f"{name}: {exc}") from exc


def _hidden(name: str) -> bool:
    """Whether a name is some system's own note about the folder rather than part of the visit."""
    return any(part.startswith(".") or part == "__MACOSX" for part in name.split("/"))


def _missing(where: str, name: str, wanted_by: str) -> CaptureError:
    return NotABundleError(where) if name == VISIT else FileMissingError(where, name, wanted_by)


def _common_folder(names: Iterable[str]) -> str:
    """The one folder that everything lies in, when the folder itself was zipped and not its contents."""
    shown = [n for n in names if not _hidden(n)]
    tops = {n.split("/", 1)[0] for n in shown}
    nested = len(tops) == 1 and all("/" in n for n in shown)
    return f"{tops.pop()}/" if nested else ""


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
