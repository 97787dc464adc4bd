"""The lines of a text file, plain or gzipped, or one sentence on why there are none."""

import gzip
import io
import zlib
from pathlib import Path

from evenground.capture.fields import MissingFileError
from evenground.errors import CaptureError

__all__ = [
    "BinaryFileError",
    "CutFileError",
    "EmptyFileError",
    "TooLargeFileError",
    "read_bytes",
    "text_lines",
]

_LARGEST_BYTES = 2_000_000_000
_GZIP = b"\x1f\x8b"


class EmptyFileError(CaptureError):
    """A file without content."""

    do = "Export it again; the copy may have failed."

    def __init__(self, file: str) -> None:
        super().__init__(file)
        self.where, self.what = file, "This file is empty."


class CutFileError(CaptureError):
    """A file that ends too early."""

    do = "Copy or export it again; the end is missing."

    def __init__(self, file: str, found: str) -> None:
        super().__init__(file, found)
        self.where, self.what = file, f"This file is cut off: {found}."


class BinaryFileError(CaptureError):
    """A file that should be text and is not."""

    do = "Export the recording as text, or as Parquet in the form of docs/formats.md."

    def __init__(self, file: str, byte: int) -> None:
        super().__init__(file, byte)
        self.where, self.what = file, f"This file is not text (byte {byte + 1})."


class TooLargeFileError(CaptureError):
    """A file larger than any recording."""

    do = "Cut the recording to the standing part."

    def __init__(self, file: str, megabytes: int) -> None:
        super().__init__(file, megabytes)
        self.where, self.what = file, f"This file holds more than {megabytes} MB."


def read_bytes(path: Path) -> bytes:
    """Content of a file.

    Raises
    ------
    MissingFileError, TooLargeFileError
        When it cannot be read, or is larger than any recording.
    """
    try:
        with path.open("rb") as stream:
            raw = stream.read(_LARGEST_BYTES + 1)
    except OSError as exc:
        raise MissingFileError(path.name, (exc.strerror or "unknown reason").lower()) from exc
    if len(raw) > _LARGEST_BYTES:
        raise TooLargeFileError(path.name, _LARGEST_BYTES // 1_000_000)
    return raw


def text_lines(raw: bytes, *, file: str) -> list[str]:
    """Lines of a text file, UTF-8 with or without a mark, gzipped or not, without their ends.

    Raises
    ------
    EmptyFileError, CutFileError, TooLargeFileError, BinaryFileError
        When there is no whole text.
    """
    if raw.startswith(_GZIP):
        raw = _unpacked(raw, file)
    if not raw.strip():
        raise EmptyFileError(file)
    nul = raw.find(b"\0")
    if nul >= 0:
        raise BinaryFileError(file, nul)
    try:
        return raw.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError as exc:
        raise BinaryFileError(file, exc.start) from exc


def _unpacked(raw: bytes, file: str) -> bytes:
    try:
        with gzip.open(io.BytesIO(raw)) as stream:
            plain: bytes = stream.read(_LARGEST_BYTES + 1)
    except (EOFError, zlib.error, gzip.BadGzipFile) as exc:
        raise CutFileError(file, "its gzip part does not end") from exc
    if len(plain) > _LARGEST_BYTES:
        raise TooLargeFileError(file, _LARGEST_BYTES // 1_000_000)
    return plain
