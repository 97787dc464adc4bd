"""One door for mat recordings: Parquet in our form, or a text export with its layout."""

from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

from evenground.capture.layout import Layout
from evenground.capture.parquet import read_parquet
from evenground.capture.text import EmptyFileError, TooLargeFileError, opened, unpacked
from evenground.capture.textgrid import read_text_grid
from evenground.errors import CaptureError
from evenground.measure.recording import MatRecording

__all__ = ["LayoutWantedError", "load_recording", "read_recording"]

Advance = Callable[[int], object]
LARGEST_BYTES = 2_000_000_000


class LayoutWantedError(CaptureError):
    """A text export without a word on how it is laid out."""

    do = "Give its layout, or have one proposed: evenground ground FILE --guess."

    def __init__(self, file: str) -> None:
        super().__init__(file)
        self.where = file
        self.what = "This is no Parquet recording, and nothing says how it is laid out as text."


def read_recording(
    stream: BinaryIO, *, file: str, layout: Layout | None = None, advance: Advance | None = None
) -> MatRecording:
    """Read a recording from an open file.

    Parameters
    ----------
    stream
        Open for reading bytes, seekable; plain, gzipped or zipped.
    file
        Its name for messages.
    layout
        How a text export is laid out; None for Parquet.
    advance
        Called with numbers of bytes taken in, for a progress bar.

    Raises
    ------
    CaptureError
        When the file cannot be taken in: `LayoutWantedError`, and the errors of `capture.parquet`,
        `capture.text` and `capture.textgrid`.
    MeasureError
        When a cell holds what no pressure can be.
    """
    if layout is not None:
        return read_text_grid(stream, layout, file=file, advance=advance)
    raw = unpacked(stream, file=file).read(LARGEST_BYTES + 1)
    if len(raw) > LARGEST_BYTES:
        raise TooLargeFileError(file, LARGEST_BYTES // 1_000_000)
    if not raw.strip():
        raise EmptyFileError(file)
    if not raw.startswith(b"PAR1") and not file.endswith(".parquet"):
        raise LayoutWantedError(file)
    return read_parquet(raw, file=file)


def load_recording(
    path: Path, *, layout: Layout | None = None, advance: Advance | None = None
) -> MatRecording:
    """Read a recording from a path; as `read_recording`, and `MissingFileError`."""
    with opened(path) as stream:
        return read_recording(stream, file=path.name, layout=layout, advance=advance)
