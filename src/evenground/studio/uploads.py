"""Files at the door: photos decoded in a process of their own with little memory, and encoded anew."""

import subprocess
import sys
from typing import BinaryIO

from evenground.errors import StudioError

__all__ = ["MAX_PHOTO_BYTES", "NoPhotoSentError", "PhotoRefusedError", "clean_photo"]

MAX_PHOTO_BYTES = 40 * 1024**2
_SECONDS = 30
_WHY = {
    3: "it is not a JPEG, PNG or WebP picture",
    4: "it has more than 60 million pixels",
    5: "it is damaged",
    6: "opening it takes more memory than a photo needs",
}


class PhotoRefusedError(StudioError):
    """A file sent as a photo that is not one, or not one that may be opened here."""

    do = "Send the photo as the camera made it, as JPEG or PNG."

    def __init__(self, name: str, why: str) -> None:
        super().__init__(name, why)
        self.where = name
        self.what = f"This photo cannot be taken: {why}."


class NoPhotoSentError(StudioError):
    """A photo to measure from without a photo."""

    do = "Choose or take the photo first."

    def __init__(self) -> None:
        super().__init__()
        self.where = "photo"
        self.what = "No photo was sent."


def clean_photo(source: BinaryIO, name: str, *, upright: bool = True) -> tuple[bytes, str]:
    """A photo's pixels, upright, encoded anew without place, time or anything else; and its media type.

    Parameters
    ----------
    source
        The file as it was sent.
    name
        What the sender calls it, for the sentence when it is refused.
    upright
        False leaves it as the sensor lies, as a calibrated lens needs it.

    Raises
    ------
    PhotoRefusedError
        When it is too large, not a picture, damaged, or asks for too much memory or time. SVG is refused:
        it is a program, not pixels.
    """
    raw = source.read(MAX_PHOTO_BYTES + 1)
    if len(raw) > MAX_PHOTO_BYTES:
        raise PhotoRefusedError(name, f"it is larger than {MAX_PHOTO_BYTES // 1024**2} MB")
    worker = [sys.executable, "-I", "-m", "evenground.studio.photo_worker"]
    worker += [] if upright else ["as-it-lies"]
    try:
        done = subprocess.run(worker, input=raw, capture_output=True, timeout=_SECONDS, check=False)  # noqa: S603
    except subprocess.TimeoutExpired as exc:
        raise PhotoRefusedError(name, "opening it takes too long") from exc
    if done.returncode != 0:
        raise PhotoRefusedError(name, _WHY.get(done.returncode, "opening it failed"))
    media_type, _, pixels = done.stdout.partition(b"\n")
    return pixels, media_type.decode("ascii")
