"""Photos at the door: only pixels come in, upright, with nothing of place or time; and within limits."""

import io
import struct
import subprocess
import sys
import zlib

import pytest
from PIL import Image

from evenground.studio import uploads
from evenground.studio.uploads import PhotoRefusedError, clean_photo

GPS, TAKEN, TURNED = 0x8825, 0x9003, 0x0112  # Exif 2.32 tags: GPS, date taken, orientation


def photo(kind: str = "JPEG", *, turned: int | None = None) -> bytes:
    """A wide picture, left half dark, with place, time and a comment in it."""
    picture = Image.new("RGB", (120, 60), (240, 240, 240))
    picture.paste((20, 20, 20), (0, 0, 60, 60))
    exif = Image.Exif()
    exif.get_ifd(GPS)[1] = "N"
    exif.get_ifd(0x8769)[TAKEN] = "2026:05:09 10:00:00"
    exif[0x010E] = "SECRET-PLACE"
    if turned is not None:
        exif[TURNED] = turned
    out = io.BytesIO()
    picture.save(out, kind, exif=exif)
    return out.getvalue()


def cleaned(raw: bytes) -> tuple[bytes, str]:
    return clean_photo(io.BytesIO(raw), "hand.jpg")


@pytest.mark.parametrize(
    ("kind", "comes_out"), [("JPEG", "image/jpeg"), ("PNG", "image/png"), ("WEBP", "image/jpeg")]
)
def test_a_photo_loses_place_time_and_words_and_keeps_its_pixels(kind: str, comes_out: str) -> None:
    raw = photo(kind)
    assert b"SECRET-PLACE" in raw
    pixels, media_type = cleaned(raw)
    with Image.open(io.BytesIO(pixels)) as after:
        assert (media_type, after.size) == (comes_out, (120, 60))
        assert not after.getexif()
        dark, light = after.getpixel((10, 30)), after.getpixel((110, 30))
    assert b"SECRET-PLACE" not in pixels
    assert isinstance(dark, tuple)
    assert isinstance(light, tuple)
    assert max(dark) < 40 < 220 < min(light)


def test_a_photo_taken_sideways_is_turned_upright() -> None:
    pixels, _ = cleaned(photo(turned=6))  # 6: the camera was turned a quarter, show it rotated clockwise
    with Image.open(io.BytesIO(pixels)) as after:
        top, bottom = after.getpixel((30, 10)), after.getpixel((30, 110))
        assert after.size == (60, 120)
    assert isinstance(top, tuple)
    assert isinstance(bottom, tuple)
    assert max(top) < 40 < 220 < min(bottom)


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
GIF = b"GIF89a\x01\x00\x01\x00\x00\x00\x00;"


@pytest.mark.parametrize(
    "raw", [SVG, b'<?xml version="1.0"?>' + SVG, GIF, b"", b"%PDF-1.4", b"not a photo at all"]
)
def test_whatever_is_not_a_photo_is_refused(raw: bytes) -> None:
    with pytest.raises(PhotoRefusedError, match="not a JPEG, PNG or WebP"):
        cleaned(raw)


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_a_photo_cut_short_is_refused(kind: str) -> None:
    raw = photo(kind)
    with pytest.raises(PhotoRefusedError):
        cleaned(raw[: len(raw) // 2])


def png_of(width: int, height: int) -> bytes:
    """A PNG that says it is this large and holds one line of zeros, by the PNG specification's chunks."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    header = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + header + chunk(b"IDAT", zlib.compress(bytes(1000))) + chunk(b"IEND", b"")


@pytest.mark.parametrize("size", [(8000, 8000), (100_000, 100_000), (60_000, 1001)])
def test_a_small_file_that_claims_a_huge_picture_is_refused(size: tuple[int, int]) -> None:
    with pytest.raises(PhotoRefusedError, match=r"60 million pixels|damaged|memory"):
        cleaned(png_of(*size))


def test_a_file_beyond_the_limit_is_refused_before_it_is_decoded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(uploads, "MAX_PHOTO_BYTES", 1000)
    monkeypatch.setattr(subprocess, "run", lambda *_, **__: pytest.fail("it was decoded"))
    with pytest.raises(PhotoRefusedError, match="larger than"):
        cleaned(bytes(1001))


def test_the_decoder_may_not_take_much_memory() -> None:
    # The worker's own limits, asked of the kernel inside it: address space and file size.
    asked = (
        "from evenground.studio.photo_worker import _limit; import resource as r; _limit();"
        "print(r.getrlimit(r.RLIMIT_AS)[0], r.getrlimit(r.RLIMIT_FSIZE)[0], r.getrlimit(r.RLIMIT_CPU)[0])"
    )
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert done.stdout.split() == [str(1024**3), "0", "20"]
