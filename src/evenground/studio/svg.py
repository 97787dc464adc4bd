"""A paper drawing (`report.drawing`) as marks in screen pixels that an SVG template prints, one by one."""

from dataclasses import dataclass

from evenground.report.drawing import Anchor, Drawing, Mark, Point

__all__ = ["Picture", "Shape", "picture"]

GAP_PX = 5.0
"""Between a point and the label that stands beside it."""

ANCHORS: dict[Anchor, tuple[str, float, float]] = {
    "left": ("end", -1.0, 0.0),
    "right": ("start", 1.0, 0.0),
    "above": ("middle", 0.0, -1.0),
    "below": ("middle", 0.0, 1.0),
    "centre": ("middle", 0.0, 0.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """One SVG element: `kind` is line, outline, disc or label; `style` names its CSS class."""

    kind: str
    style: str
    points: str = ""
    x: float = 0.0
    y: float = 0.0
    r: float = 0.0
    text: str = ""
    anchor: str = "middle"
    baseline: str = "middle"


WIDE = 3.5
"""Times as wide as high: a grip along its length."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawing ready for a template; `says` is what a screen reader hears, `notes` stand under it."""

    width: float
    height: float
    shapes: tuple[Shape, ...]
    says: str
    name: str
    title: str = ""
    notes: tuple[str, ...] = ()

    @property
    def is_wide(self) -> bool:
        """Whether it needs the page's whole width to be read."""
        return self.width > WIDE * self.height


@dataclass(frozen=True, slots=True)
class _Frame:
    """From drawing millimetres, y up, to pixels, y down."""

    left_mm: float
    top_mm: float
    scale: float

    def at(self, point: Point) -> Point:
        return (
            round((point[0] - self.left_mm) * self.scale, 1),
            round((self.top_mm - point[1]) * self.scale, 1),
        )


def picture(
    drawing: Drawing,
    *,
    says: str,
    name: str,
    wide_px: float = 720.0,
    margin_px: tuple[float, float] = (0.0, 0.0),
    title: str = "",
    notes: tuple[str, ...] = (),
) -> Picture:
    """A drawing at a width in pixels.

    Parameters
    ----------
    drawing
        What paper shows.
    says
        The same in words.
    name
        Unique on the page; names the hatching.
    wide_px
        Width of the drawing's rectangle.
    margin_px
        Room left and right of it for labels, and above and below.
    title
        Stands over it.
    notes
        Sentences that stand under it.
    """
    across, down = margin_px
    scale = wide_px / drawing.width_mm
    frame = _Frame(
        left_mm=drawing.left_mm - across / scale, top_mm=drawing.top_mm + down / scale, scale=scale
    )
    return Picture(
        width=round(wide_px + 2.0 * across, 1),
        height=round(drawing.height_mm * scale + 2.0 * down, 1),
        shapes=tuple(_shape(mark, frame) for mark in drawing.marks),
        says=says,
        name=name,
        title=title,
        notes=notes,
    )


def _shape(mark: Mark, frame: _Frame) -> Shape:
    if mark.kind in ("line", "outline"):
        points = " ".join(f"{x:g},{y:g}" for x, y in map(frame.at, mark.points_mm))
        return Shape(kind=mark.kind, style=mark.style, points=points)
    x, y = frame.at(mark.points_mm[0])
    if mark.kind == "disc":
        return Shape(kind="disc", style=mark.style, x=x, y=y, r=round(mark.radius_mm * frame.scale, 1) or 6.0)
    anchor, right, down = ANCHORS[mark.anchor]
    baseline = {-1.0: "auto", 0.0: "middle", 1.0: "hanging"}[down]
    return Shape(
        kind="label",
        style=mark.style,
        x=x + right * GAP_PX,
        y=y + down * GAP_PX,
        text=mark.text,
        anchor=anchor,
        baseline=baseline,
    )
