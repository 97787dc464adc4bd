"""One door for whatever a standing player was measured with: a mat, force plates, or bathroom scales."""

import tomllib
from pathlib import Path
from typing import BinaryIO

from evenground.capture.c3d import Facing, read_c3d
from evenground.capture.fields import Typed, read_toml
from evenground.capture.layout import Layout, read_layout
from evenground.capture.long_recording import is_long_parquet, open_long_parquet, pack_text
from evenground.capture.plate_series import PlateColumns, read_plate_series
from evenground.capture.recording import Advance, read_recording
from evenground.capture.scales_file import read_scales
from evenground.capture.text import TooLargeFileError, opened
from evenground.measure.ways import Standing

__all__ = ["AnyLayout", "PlateFacing", "load_standing", "read_any_layout", "read_standing"]

_LARGEST_BYTES = 400_000_000
_LONG_TEXT_BYTES = 100_000_000


class PlateFacing(Typed):
    """The layout of a C3D file: where in the laboratory's axes the player looked."""

    facing: Facing


AnyLayout = Layout | PlateColumns | PlateFacing


def read_any_layout(raw: bytes, *, file: str) -> AnyLayout:
    """Read a layout of a mat's text, of plates' columns, or of a C3D file, told apart by their keys.

    Raises
    ------
    NotTomlError, UnreadableFieldError
        With the file, the key, the value, and what is allowed.
    """
    keys = _keys(raw)
    if "plates" in keys:
        return read_toml(raw, PlateColumns, file=file)
    if "facing" in keys:
        return read_toml(raw, PlateFacing, file=file)
    return read_layout(raw, file=file)


def _keys(raw: bytes) -> set[str]:
    try:
        return set(tomllib.loads(raw.decode("utf-8-sig")))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError):
        return set()  # whoever reads it in earnest says what is wrong


def read_standing(
    stream: BinaryIO, *, file: str, layout: AnyLayout | None = None, advance: Advance | None = None
) -> Standing:
    """Read what a standing player was measured with.

    Parameters
    ----------
    stream
        Open for reading bytes, seekable.
    file
        Its name, which tells C3D files (.c3d) and scales (.toml, or a CSV that begins with foot) apart.
    layout
        How a text is laid out, or how a player stood on the plates of a C3D file.
    advance
        Called with numbers of bytes taken in, for a progress bar.

    Raises
    ------
    CaptureError
        When the file cannot be taken in; a class a case.
    MeasureError
        When it holds what no standing can.
    """
    name = file.lower()
    if isinstance(layout, PlateColumns):
        return read_plate_series(_all(stream, file), layout, file=file)
    if name.endswith(".c3d"):
        facing = layout.facing if isinstance(layout, PlateFacing) else "y"
        return read_c3d(_all(stream, file), file=file, facing=facing)
    if layout is None and (name.endswith(".toml") or (name.endswith(".csv") and _begins_with_foot(stream))):
        return read_scales(_all(stream, file), file=file)
    grid = layout if isinstance(layout, Layout) else None
    return read_recording(stream, file=file, layout=grid, advance=advance)


def _begins_with_foot(stream: BinaryIO) -> bool:
    start = stream.tell()
    head = stream.read(200)
    stream.seek(start)
    return b"foot" in head.partition(b"\n")[0]


def _all(stream: BinaryIO, file: str) -> bytes:
    raw = stream.read(_LARGEST_BYTES + 1)
    if len(raw) > _LARGEST_BYTES:
        raise TooLargeFileError(file, _LARGEST_BYTES // 1_000_000)
    return raw


def _is_long_text(path: Path) -> bool:
    """Whether a text may hold more than is held at once; packed ones unpack to ten times their size."""
    if not path.is_file():
        return False  # whoever opens it says so
    packed = path.suffix.lower() in (".gz", ".zip")
    return path.stat().st_size > (_LONG_TEXT_BYTES // 10 if packed else _LONG_TEXT_BYTES)


def load_standing(path: Path, *, layout: AnyLayout | None = None, advance: Advance | None = None) -> Standing:
    """Read from a path as `read_standing`, or `MissingFileError`; what is too long to hold stays on disk."""
    if isinstance(layout, Layout) and _is_long_text(path):
        return pack_text(path, layout, advance=advance)
    if layout is None and path.suffix.lower() == ".parquet" and path.is_file() and is_long_parquet(path):
        return open_long_parquet(path, file=path.name)
    with opened(path) as stream:
        return read_standing(stream, file=path.name, layout=layout, advance=advance)
