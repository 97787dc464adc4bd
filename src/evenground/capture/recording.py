"""One door for mat recordings: Parquet in our form, or a text export with its layout."""

from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

from evenground.capture.layout import Layout
from evenground.capture.parquet import read_parquet
from evenground.capture.text import EmptyFileError, read_bytes
from evenground.capture.textgrid import read_text_grid
from evenground.errors import CaptureError
from evenground.measure.recording import MatRecording

__all__ = ["LayoutWantedError", "load_recording", "read_recording"]

Advance = Callable[[int], object]


class LayoutWantedError(CaptureError):
    """A text export without a word on how it is laid out."""

    do = "Give its layout (docs/formats.md); rows, pitch, unit and directions are never guessed."

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
        Open for reading bytes.
    file
        Its name for messages.
    layout
        How a text export is laid out; None for Parquet.
    advance
        Called with numbers of lines read, for a progress bar.

    Raises
    ------
    CaptureError
        When the file cannot be taken in: `LayoutWantedError`, and the errors of `capture.parquet`,
        `capture.text` and `capture.textgrid`.
    MeasureError
        When a cell holds what no pressure can be.
    """
    return _recording(stream.read(), file, layout, advance)


def load_recording(
    path: Path, *, layout: Layout | None = None, advance: Advance | None = None
) -> MatRecording:
    """Read a recording from a path; as `read_recording`, and `MissingFileError`."""
    return _recording(read_bytes(path), path.name, layout, advance)


def _recording(raw: bytes, file: str, layout: Layout | None, advance: Advance | None) -> MatRecording:
    if layout is not None:
        return read_text_grid(raw, layout, file=file, advance=advance)
    if not raw.strip():
        raise EmptyFileError(file)
    if not raw.startswith(b"PAR1") and not file.endswith(".parquet"):
        raise LayoutWantedError(file)
    return read_parquet(raw, file=file)
