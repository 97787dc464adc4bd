"""A QR code as one SVG path, drawn in the page's own ink."""

from dataclasses import dataclass

import segno

__all__ = ["QrPicture", "qr_svg"]

_QUIET = 4
"""Blank modules around a code (ISO/IEC 18004)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class QrPicture:
    """A code as rectangles: the side in modules with the quiet zone, and the path of the dark ones."""

    side: int
    path: str


def qr_svg(text: str) -> QrPicture:
    """The code of a text, error correction M."""
    code = segno.make_qr(text, error="m")
    rows = [list(row) for row in code.matrix]
    parts = [
        f"M{x + _QUIET} {y + _QUIET}h1v1h-1z"
        for y, row in enumerate(rows)
        for x, dark in enumerate(row)
        if dark
    ]
    return QrPicture(side=len(rows) + 2 * _QUIET, path="".join(parts))
