"""The text of a file in blocks of whole lines, whatever it is packed and coded in; or why there is none.

Plain, gzipped or zipped; UTF-8 with or without a mark, UTF-16 either way round, else Windows-1252; lines
ended by LF, CRLF or CR. Nothing here holds more than a few blocks, so a file may be larger than memory.
"""

import codecs
import gzip
import io
import zipfile
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import BinaryIO

from evenground.capture.fields import MissingFileError
from evenground.errors import CaptureError

__all__ = [
    "BinaryFileError",
    "CutFileError",
    "EmptyFileError",
    "LongLineError",
    "ManyFilesError",
    "SpreadsheetError",
    "TooLargeFileError",
    "opened",
    "read_bytes",
    "text_blocks",
    "text_lines",
    "unpacked",
]

BLOCK_BYTES = 500_000  # what is worked out of a block stays in a processor's cache
_LARGEST_BYTES = 2_000_000_000
_LONGEST_LINE = 64_000_000
_GZIP, _ZIP = b"\x1f\x8b", b"PK\x03\x04"
_MARKS = ((b"\xef\xbb\xbf", "utf-8"), (b"\xff\xfe", "utf-16-le"), (b"\xfe\xff", "utf-16-be"))
_LAYERS = 2  # a zip may hold a gzip
_BROKEN = (EOFError, zlib.error, OSError, zipfile.BadZipFile, ValueError, OverflowError)


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


class LongLineError(CaptureError):
    """A file without line ends."""

    do = "Export the recording as text with a line for each row or frame."

    def __init__(self, file: str, megabytes: int) -> None:
        super().__init__(file, megabytes)
        self.where, self.what = file, f"This file has {megabytes} MB without a line end."


class TooLargeFileError(CaptureError):
    """A file larger than any recording."""

    do = "Cut the recording to the standing part."

    def __init__(self, file: str, megabytes: int) -> None:
        super().__init__(file, megabytes)
        self.where, self.what = file, f"This file holds more than {megabytes} MB."


class ManyFilesError(CaptureError):
    """A zip with several files, or one that cannot be opened."""

    do = "Unpack it and give the one file with the recording."

    def __init__(self, file: str, what: str) -> None:
        super().__init__(file, what)
        self.where, self.what = file, f"This zip {what}."


class SpreadsheetError(CaptureError):
    """A spreadsheet's own file."""

    do = "Save the sheet as CSV or text and give that file."

    def __init__(self, file: str) -> None:
        super().__init__(file)
        self.where, self.what = file, "This is a spreadsheet, not a text export."


def opened(path: Path) -> BinaryIO:
    """Open a file for reading.

    Raises
    ------
    MissingFileError
        When it cannot be opened.
    """
    try:
        return path.open("rb")
    except OSError as exc:
        raise MissingFileError(path.name, (exc.strerror or "unknown reason").lower()) from exc


def read_bytes(path: Path) -> bytes:
    """Content of a file.

    Raises
    ------
    MissingFileError, TooLargeFileError
        When it cannot be read, or is larger than any recording.
    """
    with opened(path) as stream:
        try:
            raw = stream.read(_LARGEST_BYTES + 1)
        except OSError as exc:
            raise MissingFileError(path.name, (exc.strerror or "unknown reason").lower()) from exc
    if len(raw) > _LARGEST_BYTES:
        raise TooLargeFileError(path.name, _LARGEST_BYTES // 1_000_000)
    return raw


def unpacked(stream: BinaryIO, *, file: str) -> BinaryIO:
    """The stream inside a gzip or zip, or the stream itself; it has to be seekable.

    Raises
    ------
    ManyFilesError, SpreadsheetError, CutFileError
        When it is packed and does not hold one file.
    """
    for _ in range(_LAYERS):
        start = stream.tell()
        head = stream.read(4)
        stream.seek(start)
        if head.startswith(_GZIP):
            stream = gzip.GzipFile(fileobj=stream)  # type: ignore[assignment]
        elif head.startswith(_ZIP):
            stream = _only_member(stream, file)
        else:
            break
    return stream


def _only_member(stream: BinaryIO, file: str) -> BinaryIO:
    try:
        archive = zipfile.ZipFile(stream)
        names = [i for i in archive.infolist() if not i.is_dir() and not i.filename.startswith("__MACOSX/")]
        if any(i.filename == "xl/workbook.xml" for i in names):
            raise SpreadsheetError(file)
        if len(names) != 1:
            raise ManyFilesError(file, f"holds {len(names)} files, not one")
        return archive.open(names[0])  # type: ignore[return-value]
    except (NotImplementedError, RuntimeError) as exc:
        raise ManyFilesError(file, "has a password, or is packed in a way that is not read here") from exc
    except _BROKEN as exc:
        raise CutFileError(file, "its zip part cannot be read") from exc


def text_blocks(
    stream: BinaryIO, *, file: str, size: int = BLOCK_BYTES, largest: int | None = None
) -> Iterator[bytes]:
    """Blocks of whole lines as UTF-8, each line ended by LF, the last one of the file perhaps not.

    Parameters
    ----------
    stream
        Open for reading bytes, seekable, plain or packed.
    file
        Its name for messages.
    size
        About how many bytes a block has.
    largest
        Bytes after which the file is too large; None for no limit.

    Raises
    ------
    EmptyFileError, CutFileError, BinaryFileError, LongLineError, TooLargeFileError
        When there is no whole text.
    ManyFilesError, SpreadsheetError
        When it is packed and does not hold one file.
    """
    read = _reader(unpacked(stream, file=file), file)
    rest, taken, seen = b"", 0, False
    while True:
        piece = read(size)
        _refuse_binary(file, piece, taken)
        taken += len(piece)
        if largest is not None and taken > largest:
            raise TooLargeFileError(file, largest // 1_000_000)
        whole, rest = _whole_lines(rest + piece) if piece else (rest, b"")
        if len(rest) > _LONGEST_LINE:
            raise LongLineError(file, _LONGEST_LINE // 1_000_000)
        if whole:
            seen = seen or bool(whole.strip())
            yield _as_utf8(_line_feeds(whole))
        if not piece:
            break
    if not seen:
        raise EmptyFileError(file)


def _reader(stream: BinaryIO, file: str) -> Callable[[int], bytes]:
    """Reads so many bytes of text in an eight-bit code, its mark left out."""
    pending, coding = _coding(_read(stream, 4096, file))

    def read(size: int) -> bytes:
        nonlocal pending
        head, pending = pending, b""
        return head or _read(stream, size, file)

    if coding == "utf-8":
        return read
    decoder = codecs.getincrementaldecoder(coding)(errors="replace")

    def decoded(size: int) -> bytes:
        text = ""
        while not text:  # a piece may end within a character
            piece = read(size)
            text = decoder.decode(piece, final=not piece)
            if not piece:
                break
        return text.encode("utf-8", errors="replace")

    return decoded


def _coding(head: bytes) -> tuple[bytes, str]:
    for mark, coding in _MARKS:
        if head.startswith(mark):
            return head[len(mark) :], coding
    even, odd = head[0::2].count(0), head[1::2].count(0)
    if even + odd > len(head) // 4 and 0 in (even, odd):  # every other byte of plain figures in UTF-16
        return head, "utf-16-le" if odd else "utf-16-be"
    return head, "utf-8"


def _read(stream: BinaryIO, size: int, file: str) -> bytes:
    try:
        return stream.read(size)
    except _BROKEN as exc:
        raise CutFileError(file, "its gzip or zip part does not end, or is damaged") from exc


def _refuse_binary(file: str, piece: bytes, before: int) -> None:
    nul = piece.find(b"\0")
    if nul >= 0:
        raise BinaryFileError(file, before + nul)


def _whole_lines(text: bytes) -> tuple[bytes, bytes]:
    """What ends with a line end, and the rest; a CR at the very end may be half of a line end."""
    at = text.rfind(b"\n")
    if at < 0:
        at = text.rfind(b"\r", 0, len(text) - 1)
    return text[: at + 1], text[at + 1 :]


def _line_feeds(text: bytes) -> bytes:
    return text.replace(b"\r\n", b"\n").replace(b"\r", b"\n") if b"\r" in text else text


def _as_utf8(text: bytes) -> bytes:
    if text.isascii():
        return text
    try:
        text.decode("utf-8")
    except UnicodeDecodeError:
        return text.decode("cp1252", errors="replace").encode("utf-8")
    return text


def text_lines(raw: bytes, *, file: str) -> list[str]:
    """All lines of a text file without their ends; errors as in `text_blocks`."""
    blocks = text_blocks(io.BytesIO(raw), file=file, largest=_LARGEST_BYTES)
    return b"".join(blocks).decode("utf-8").splitlines()
