"""Decodes one photo from standard input and writes it anew; run as a process, with little memory and time.

With the argument ``as-it-lies`` it is not turned upright.
Writes the media type, a line break and the picture. Leaves with 3 for another format, 4 for too many pixels,
5 for a damaged file, 6 for too much memory.
"""

import sys
from io import BytesIO

__all__ = ["main"]

MEMORY_BYTES = 1024 * 1024**2
"""Address space: 60 million pixels take 180 MB, and turning them upright the same again (ours)."""
CPU_SECONDS = 20
MAX_PIXELS = 60_000_000
FORMATS = ("JPEG", "PNG", "WEBP")


def _limit() -> None:
    """Give this process its limits, where the system has them; Windows has only the parent's clock."""
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))


def _again(raw: bytes, *, upright: bool) -> bytes:
    from PIL import Image, ImageOps

    Image.MAX_IMAGE_PIXELS = MAX_PIXELS
    with Image.open(BytesIO(raw), formats=FORMATS) as photo:
        if photo.width * photo.height > MAX_PIXELS:
            raise Image.DecompressionBombError
        lossless = photo.format == "PNG"
        photo.load()
        turned = ImageOps.exif_transpose(photo) if upright else photo
    plain = Image.new("RGB", turned.size)
    plain.paste(turned.convert("RGB"))
    out = BytesIO()
    if lossless:
        plain.save(out, "PNG")
        return b"image/png\n" + out.getvalue()
    plain.save(out, "JPEG", quality=92, subsampling=0)
    return b"image/jpeg\n" + out.getvalue()


def main() -> int:
    """Decode and encode; gives the exit status."""
    import warnings

    from PIL import Image, UnidentifiedImageError

    raw = sys.stdin.buffer.read()
    warnings.simplefilter("error", Image.DecompressionBombWarning)
    _limit()
    try:
        sys.stdout.buffer.write(_again(raw, upright="as-it-lies" not in sys.argv[1:]))
    except UnidentifiedImageError:
        return 3
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        return 4
    except MemoryError:
        return 6
    except (OSError, ValueError, SyntaxError, EOFError):
        return 5
    sys.stdout.buffer.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
