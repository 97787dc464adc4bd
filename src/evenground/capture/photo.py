"""Photos at the door: size and kind checked before a pixel is decoded, turned upright, nothing else kept."""

import io
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image, ImageOps, UnidentifiedImageError

from evenground.errors import CaptureError

__all__ = ["MOST_PIXELS", "Photo", "PhotoTooLargeError", "UnreadablePhotoError", "read_photo"]

MOST_PIXELS = 60_000_000
_FORMATS = ["JPEG", "PNG", "WEBP"]
_HEIF = "HEIF"


class UnreadablePhotoError(CaptureError):
    """A file that is no photo that can be read here."""

    do = "Send the photo as the camera made it, as JPEG, PNG or WebP; HEIC needs the extra `heic`."

    def __init__(self, file: str, why: str) -> None:
        super().__init__(file, why)
        self.where = file
        self.what = f"This photo cannot be read: {why}."


class PhotoTooLargeError(CaptureError):
    """A picture whose header promises more pixels than any camera here takes."""

    do = "Send the camera's own photo, not a collage or a scan beyond 60 million pixels."

    def __init__(self, file: str, width: int, height: int) -> None:
        super().__init__(file, width, height)
        self.where = file
        self.what = f"The picture says that it has {width} x {height} pixels; nothing of it was opened."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Photo:
    """Pixels (R, C, 3), uint8, upright; `reduced` is a pixel here over a pixel of the file, 1 or less.

    `focal_px` is the lens's focal length in these pixels where the camera wrote it down.
    """

    name: str
    rgb: NDArray[np.uint8]
    reduced: float
    focal_px: float | None


def _heif_too() -> list[str]:
    """Formats that can be read here: HEIC only where its reader is installed."""
    try:
        from pillow_heif import register_heif_opener
    except ImportError:
        return _FORMATS
    register_heif_opener()
    return [*_FORMATS, _HEIF]


def read_photo(
    source: Path | BinaryIO | bytes, *, file: str = "", most_side: int = 4200, upright: bool = True
) -> Photo:
    """A photo's pixels, upright, without place, time or any other tag.

    Parameters
    ----------
    source
        A path, an open file, or the file's bytes.
    file
        What the sender calls it, for the sentence when it is refused.
    most_side
        A larger picture is reduced until its longer side is no longer than this; a 48 megapixel photo then
        stays well under 1 GB.
    upright
        False leaves it as the sensor lies, whichever way the phone was held: a lens is calibrated like that,
        and a phone that looks straight down does not know what is up.

    Raises
    ------
    UnreadablePhotoError
        If it is no picture, damaged, or cut short.
    PhotoTooLargeError
        If its header promises more than 60 million pixels.
    """
    name = file or (source.name if isinstance(source, Path) else "photo")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # odd tags are nobody's business: none of them is kept
            stream = io.BytesIO(source) if isinstance(source, bytes) else source
            with Image.open(stream, formats=_heif_too()) as opened:
                return _decoded(opened, name, most_side, upright=upright)
    except (UnidentifiedImageError, Image.DecompressionBombError) as exc:
        raise UnreadablePhotoError(name, "it is not a JPEG, PNG, WebP or HEIC picture") from exc
    except (OSError, SyntaxError, ValueError, EOFError) as exc:
        raise UnreadablePhotoError(name, "it is damaged or cannot be opened") from exc


def _decoded(opened: Image.Image, name: str, most_side: int, *, upright: bool) -> Photo:
    width, height = opened.size
    if width * height > MOST_PIXELS:
        raise PhotoTooLargeError(name, width, height)
    focal = _focal_share(opened)
    opened.draft("RGB", (most_side, most_side))  # a JPEG is then halved while it is decoded
    plain = (ImageOps.exif_transpose(opened) if upright else opened).convert("RGB")
    if max(plain.size) > most_side:
        plain.thumbnail((most_side, most_side), Image.Resampling.LANCZOS, reducing_gap=2.0)
    rgb = np.asarray(plain)
    diagonal = float(np.hypot(*plain.size))
    reduced = diagonal / float(np.hypot(width, height))
    return Photo(name=name, rgb=rgb, reduced=reduced, focal_px=None if focal is None else focal * diagonal)


def _focal_share(opened: Image.Image) -> float | None:
    """Focal length over the picture's diagonal, from what the camera says of a 35 mm film's 43.27 mm."""
    try:
        said = opened.getexif().get_ifd(ExifTags.IFD.Exif).get(ExifTags.Base.FocalLengthIn35mmFilm)
        millimetres = float(said) if said is not None else 0.0
    except (ValueError, TypeError, KeyError, SyntaxError, OSError):
        return None
    return millimetres / 43.27 if 8.0 <= millimetres <= 400.0 else None
