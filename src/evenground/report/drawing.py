"""A drawing as plain marks in millimetres, the same for paper and screen; x to the right, y upwards."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

__all__ = [
    "Anchor",
    "Drawing",
    "Mark",
    "Point",
    "Style",
    "around",
    "disc",
    "kept_apart",
    "label",
    "line",
    "mirrored",
    "outline",
]

Point = tuple[float, float]

Style = Literal["ink", "bold", "soft", "hair", "dots", "dash", "hatch", "band", "hollow", "arrow", "accent"]
"""`hatch` fills with lines for what is uncertain, `band` with a flat tone, `arrow` is a filled triangle."""

Anchor = Literal["left", "right", "above", "below", "centre"]
"""Where a label stands, seen from its point."""

ACROSS: dict[Anchor, Anchor] = {"left": "right", "right": "left"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One line, outline, disc or label. `radius_mm` is a disc's; `text` and `anchor` are a label's.

    A disc with ``radius_mm = 0`` is a point mark of fixed size on paper.
    """

    kind: Literal["line", "outline", "disc", "label"]
    points_mm: tuple[Point, ...]
    style: Style = "ink"
    radius_mm: float = 0.0
    text: str = ""
    anchor: Anchor = "centre"


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """Marks and the rectangle that they need, labels not counted."""

    left_mm: float
    right_mm: float
    bottom_mm: float
    top_mm: float
    marks: tuple[Mark, ...]

    @property
    def width_mm(self) -> float:
        """Extent along x."""
        return self.right_mm - self.left_mm

    @property
    def height_mm(self) -> float:
        """Extent along y."""
        return self.top_mm - self.bottom_mm


def line(*points: Point, style: Style = "ink") -> Mark:
    """An open line through points."""
    return Mark(kind="line", points_mm=points, style=style)


def outline(points: Iterable[Point], *, style: Style = "ink") -> Mark:
    """A closed outline."""
    return Mark(kind="outline", points_mm=tuple(points), style=style)


def disc(at: Point, radius_mm: float, *, style: Style = "ink") -> Mark:
    """A circle, drawn as a line unless its style fills."""
    return Mark(kind="disc", points_mm=(at,), radius_mm=radius_mm, style=style)


def label(at: Point, text: str, anchor: Anchor = "centre", *, style: Style = "ink") -> Mark:
    """A text beside a point."""
    return Mark(kind="label", points_mm=(at,), text=text, anchor=anchor, style=style)


def around(marks: Iterable[Mark], *, pad_mm: float = 0.0) -> Drawing:
    """Put a rectangle around marks."""
    marks = tuple(marks)
    grown = [(x, y, m.radius_mm) for m in marks for x, y in m.points_mm]
    return Drawing(
        left_mm=min(x - r for x, _, r in grown) - pad_mm,
        right_mm=max(x + r for x, _, r in grown) + pad_mm,
        bottom_mm=min(y - r for _, y, r in grown) - pad_mm,
        top_mm=max(y + r for _, y, r in grown) + pad_mm,
        marks=marks,
    )


def mirrored(drawing: Drawing) -> Drawing:
    """The drawing as in a mirror: left and right change places, words stay readable."""
    return Drawing(
        left_mm=-drawing.right_mm,
        right_mm=-drawing.left_mm,
        bottom_mm=drawing.bottom_mm,
        top_mm=drawing.top_mm,
        marks=tuple(
            replace(
                m,
                points_mm=tuple((-x, y) for x, y in m.points_mm),
                anchor=ACROSS.get(m.anchor, m.anchor),
            )
            for m in drawing.marks
        ),
    )


def kept_apart(places: Sequence[float], least: float) -> list[float]:
    """Places for labels, each as near to its own as the others let it be, in the order given.

    Examples
    --------
    >>> kept_apart([10.0, 11.0, 30.0], 4.0)
    [8.5, 12.5, 30.0]
    """
    order = sorted(range(len(places)), key=lambda i: places[i])
    # Runs of labels that touch: each stands around the middle of what its labels point at.
    runs: list[list[int]] = []
    for i in order:
        runs.append([i])
        while len(runs) > 1 and _low(runs[-1], places, least) < _high(runs[-2], places, least) + least - 1e-9:
            runs[-2:] = [runs[-2] + runs[-1]]
    placed = [0.0] * len(places)
    for run in runs:
        for step, i in enumerate(run):
            placed[i] = _low(run, places, least) + step * least
    return placed


def _low(run: Sequence[int], places: Sequence[float], least: float) -> float:
    middle = sum(places[i] for i in run) / len(run)
    return middle - least * (len(run) - 1) / 2.0


def _high(run: Sequence[int], places: Sequence[float], least: float) -> float:
    return _low(run, places, least) + least * (len(run) - 1)
