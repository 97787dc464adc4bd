"""A photo with its points, in plain shapes that one template prints for hands and for postures."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from PIL import Image

from evenground.records.blobs import open_blob
from evenground.records.merge import Merged, Slot
from evenground.records.models import Blob
from evenground.studio.pages.view import Fact
from evenground.studio.svg import Picture
from evenground.visit import Check

__all__ = ["Numbers", "PhotoSheet", "PointMark", "file_of", "marks_of", "placed_in", "size_of"]

Spot = tuple[float, float]
SMALLEST = (1200, 1600)
"""Size of a sheet whose photo is gone and whose points do not say how large it was."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PointMark:
    """One point: where it is drawn; *asked* when nobody placed or found it yet, so that it does not count.

    `found` is where the program found it, None where it did not look for it.
    """

    name: str
    label: str
    state: Literal["found", "placed", "asked"]
    x: float
    y: float
    found: Spot | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbers:
    """What the points say: figures with errors, sentences beside them, why there are none; a picture."""

    facts: tuple[Fact, ...] = ()
    notes: tuple[str, ...] = ()
    trouble: str = ""
    picture: Picture | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoSheet:
    """A photo with its points. `sha256` is empty once the photo was deleted; `chains` are drawn as lines."""

    view: str
    check: Check
    kind: Literal["side view", "hand photo"]
    title: str
    how: str
    says: str
    sha256: str
    width: int
    height: int
    marks: tuple[PointMark, ...]
    chains: tuple[tuple[str, ...], ...]
    numbers: Numbers

    @property
    def dot_px(self) -> float:
        """Radius of a point's dot before the script knows how large the photo is shown (ours)."""
        return round(max(self.width, self.height) / 150.0, 1)

    @property
    def mark_px(self) -> float:
        """Radius within which a point is taken hold of."""
        return 3.0 * self.dot_px

    @property
    def lines(self) -> tuple[tuple[str, str], ...]:
        """Each chain as it stands: names, and the coordinates of those that count."""
        at = {m.name: f"{m.x:g},{m.y:g}" for m in self.marks if m.state != "asked"}
        return tuple(("|".join(c), " ".join(at[n] for n in c if n in at)) for c in self.chains)


def marks_of(
    names: Mapping[str, str], found: Mapping[str, Spot], placed: Mapping[str, Spot], asked: Mapping[str, Spot]
) -> tuple[PointMark, ...]:
    """Every point by its label: placed, else found, else where it is asked for."""
    marks = []
    for name, label in names.items():
        state: Literal["found", "placed", "asked"] = "asked"
        state = "placed" if name in placed else "found" if name in found else state
        x, y = placed.get(name) or found.get(name) or asked[name]
        marks.append(PointMark(name=name, label=label, state=state, x=x, y=y, found=found.get(name)))
    return tuple(marks)


def placed_in(log: Merged, kind: str, view: str) -> dict[str, Spot]:
    """Points that people placed on one photo, by name."""
    slots = [s for s in log.of(kind) if s.key[0] == view]
    return {
        str(s.key[1]): (float(s.values["x_px"]), float(s.values["y_px"]))
        for s in slots
        if {"x_px", "y_px"} <= set(s.values)
    }


def file_of(log: Merged, slot: Slot) -> str:
    """Digest of a photo that is still there, empty when it was deleted or none is named."""
    name = str(slot.values.get("photo", ""))
    entries = {e.id: e for e in log.entries}
    digest = next((entries[r].blobs[name] for r in slot.readings if name in entries[r].blobs), "")
    there = digest and Blob.objects.filter(sha256=digest, deleted_at__isnull=True).exists()
    return digest if there else ""


def size_of(digest: str, spots: Sequence[Spot]) -> tuple[int, int]:
    """Width and height of a stored photo; of one that is gone, what its points need."""
    if digest:
        with open_blob(digest) as stream, Image.open(stream) as photo:
            return photo.width, photo.height
    wide = max((x for x, _ in spots), default=0.0)
    tall = max((y for _, y in spots), default=0.0)
    return max(SMALLEST[0], int(1.05 * wide)), max(SMALLEST[1], int(1.05 * tall))
