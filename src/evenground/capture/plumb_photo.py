"""The printed plumb target in a photo from the side: its two tags give what is upright, and the scale."""

from dataclasses import dataclass

from evenground.capture.photo import Photo
from evenground.capture.sheets import sheets
from evenground.capture.tags import TooDarkError, find_tags

__all__ = ["PlumbTarget", "find_plumb"]

Spot = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlumbTarget:
    """Middles of the upper and the lower tag in the file's own pixels, and how far they are apart."""

    top: Spot
    bottom: Spot
    apart_mm: float
    apart_error_mm: float


def find_plumb(photo: Photo) -> PlumbTarget | None:
    """The plumb target, None where it is not (or not clearly) in the photo.

    Raises
    ------
    MirroredPrintError
        When tags are seen only in a mirror: then the photo shows the player's other side.
    """
    sheet = sheets().plain["plumb"]
    try:
        seen = find_tags(photo).corners_px
    except TooDarkError:
        return None
    if not {sheet["top"], sheet["bottom"]} <= set(seen):
        return None
    middles = [(seen[sheet[end]].mean(axis=0) + 0.5) / photo.reduced - 0.5 for end in ("top", "bottom")]
    (x1, y1), (x2, y2) = ((float(x), float(y)) for x, y in middles)
    return PlumbTarget(
        top=(x1, y1),
        bottom=(x2, y2),
        apart_mm=sheet["apart_mm"],
        apart_error_mm=sheet["apart_mm"] * sheet["print_error"],
    )
