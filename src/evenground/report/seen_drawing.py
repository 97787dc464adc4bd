"""What a mat saw of one placement: contour lines, heel points and axes, or what stood there instead."""

import math

from evenground.estimate import Estimate
from evenground.floor import Handed, lead_side
from evenground.measure.ground_types import Ground
from evenground.measure.seen import FootMark, Seen
from evenground.report.drawing import Anchor, Drawing, Mark, Point, disc, label, line, outline
from evenground.report.words import estimate_text
from evenground.units import LengthSystem

__all__ = ["seen_drawing", "seen_words"]

_MARGIN_MM = 45.0
_WORDS_MM = 24.0  # below, for the width
_SIDE_MM = 62.0  # on either side, for the names of the feet and their loads
_LINE_MM = 38.0  # from one line of words to the next where the picture is small
_LEAST_MM = 220.0  # of a picture with next to nothing on it
_HEEL_MM = 46.0  # from the heel point to its words
_BEYOND_MM = 22.0  # of the axis past the toes
_ARROW_MM = 60.0
_TARGET_MM = 46.0  # above what is drawn, for the arrow to the target


def seen_drawing(
    seen: Seen, handed: Handed, ground: Ground | None = None, system: LengthSystem = "metric"
) -> Drawing:
    """Contours as ink that grows darker inward, each foot's heel point and axis, and the mat's edge nearby.

    Parameters
    ----------
    seen
        What the mat saw.
    handed
        The player's golfing hand, for lead and trail and where the target is.
    ground
        The figures of the placement: load and toe-out stand at each foot, the width between the heels.
    system
        How the studio likes its lengths.

    Notes
    -----
    Toes are at the top, the player's left is on the left. Only the part of the mat where something presses is
    drawn; an edge of the mat within it is a bold line.
    """
    low, high = _frame(seen)
    marks = [*_contours(seen), *_edges(seen, low, high)]
    if len(seen.feet) == 2:
        marks += _heel_line(seen, None if ground is None else ground.stance_width_mm.heel_centres, system)
    for foot in seen.feet:
        marks += _foot(foot, handed)
        marks += [] if ground is None else _figures(foot, ground)
    marks += _target(low, high, handed)
    return Drawing(
        left_mm=low[0] - _SIDE_MM,
        right_mm=high[0] + _SIDE_MM,
        bottom_mm=low[1] - _WORDS_MM,
        top_mm=high[1] + _TARGET_MM,
        marks=tuple(marks),
    )


def seen_words(seen: Seen) -> str:
    """The picture in words, for whoever cannot see it."""
    if seen.refused is not None:
        return f"The mat from above. {seen.refused}"
    names = " and ".join(foot.side for foot in seen.feet)
    return f"The mat from above: pressure as contour lines, heel point and axis of the {names} foot."


def _frame(seen: Seen) -> tuple[Point, Point]:
    """Lower left and upper right corner of the part that is drawn."""
    points = [p for contour in seen.contours for p in contour.points_mm]
    points = points or [(0.5 * seen.wide_mm, 0.5 * seen.tall_mm)]
    sizes = (seen.wide_mm, seen.tall_mm)
    low, high = [], []
    for axis, size in enumerate(sizes):
        start, end = (pick(p[axis] for p in points) for pick in (min, max))
        spare = max(_MARGIN_MM, 0.5 * (_LEAST_MM - (end - start)))
        low.append(max(start - spare, 0.0))
        high.append(min(end + spare, size))
    return (low[0], low[1]), (high[0], high[1])


def _contours(seen: Seen) -> list[Mark]:
    """From outside inwards: tone within the first line, then a fine, then a firm line."""
    if not seen.contours:
        return []
    levels = sorted({contour.level for contour in seen.contours})
    outer = [c.points_mm for c in seen.contours if c.level == levels[0]]
    marks = [outline(points, style="band" if _area(points) > 0.0 else "hollow") for points in outer]
    marks += [outline(points, style="hair") for points in outer]
    for level, style in zip(levels[1:], ("hair", "soft"), strict=False):
        inner = [c.points_mm for c in seen.contours if c.level == level]
        marks += [outline(points, style=style) for points in inner]  # type: ignore[arg-type]
    return marks


def _area(points: tuple[Point, ...]) -> float:
    """Twice the signed area of a closed line: + with the higher pressure inside, - round a hole."""
    ends = (*points[1:], points[0])
    return sum(one[0] * other[1] - other[0] * one[1] for one, other in zip(points, ends, strict=True))


def _edges(seen: Seen, low: Point, high: Point) -> list[Mark]:
    """The mat's own edges where they lie in the picture."""
    upright = [x for x in (0.0, seen.wide_mm) if x in (low[0], high[0])]
    level = [y for y in (0.0, seen.tall_mm) if y in (low[1], high[1])]
    marks = [line((x, low[1]), (x, high[1]), style="bold") for x in upright]
    return marks + [line((low[0], y), (high[0], y), style="bold") for y in level]


def _foot(foot: FootMark, handed: Handed) -> list[Mark]:
    role = "lead" if foot.side == lead_side(handed) else "trail"
    at, outward = _beside(foot, 0.5 * _LINE_MM)
    return [
        line(foot.rear_mm, _tip(foot), style="dash"),
        disc(foot.forefoot_mm, 3.5, style="hollow"),
        disc(foot.heel_mm, 5.0, style="ink"),
        disc(foot.heel_mm, 1.2, style="ink"),
        label(at, f"{foot.side}, {role}", outward),
    ]


def _heel_line(seen: Seen, width: Estimate | None, system: LengthSystem) -> list[Mark]:
    ends = (seen.feet[0].heel_mm, seen.feet[1].heel_mm)
    marks = [line(*ends, style="dots")]
    if width is not None:
        under = min(foot.rear_mm[1] for foot in seen.feet) - 8.0
        middle = 0.5 * (ends[0][0] + ends[1][0])
        marks.append(label((middle, under), estimate_text(width, system, decimals=0), "below"))
    return marks


def _figures(foot: FootMark, ground: Ground) -> list[Mark]:
    """Load beside the heel, toe-out where the axis ends."""
    own = ground.feet.left if foot.side == "left" else ground.feet.right
    marks = []
    if own.load_percent is not None:
        at, outward = _beside(foot, -0.5 * _LINE_MM)
        marks.append(label(at, estimate_text(own.load_percent, decimals=0), outward))
    if own.toe_out_deg is not None:
        marks.append(label(_tip(foot), estimate_text(own.toe_out_deg, decimals=0), "above"))
    return marks


def _beside(foot: FootMark, up_mm: float) -> tuple[Point, Anchor]:
    """A place outside the heel, where nothing is drawn."""
    away = -1.0 if foot.side == "left" else 1.0
    return (foot.heel_mm[0] + away * _HEEL_MM, foot.heel_mm[1] + up_mm), foot.side


def _tip(foot: FootMark) -> Point:
    """Where the axis ends, a little past the toes."""
    ahead = (foot.front_mm[0] - foot.rear_mm[0], foot.front_mm[1] - foot.rear_mm[1])
    beyond = _BEYOND_MM / max(math.hypot(*ahead), 1.0)
    return foot.front_mm[0] + beyond * ahead[0], foot.front_mm[1] + beyond * ahead[1]


def _target(low: Point, high: Point, handed: Handed) -> list[Mark]:
    """A small arrow toward the target, in the upper corner on its side."""
    away = -1.0 if lead_side(handed) == "left" else 1.0
    edge = (low[0] if away < 0.0 else high[0]) - away * 8.0
    y = high[1] + 0.5 * _TARGET_MM
    tail = edge - away * _ARROW_MM
    head = [(edge, y), (edge - away * 14.0, y + 5.0), (edge - away * 14.0, y - 5.0)]
    return [
        line((tail, y), (edge - away * 12.0, y), style="soft"),
        outline(head, style="arrow"),
        label((tail, y), "target", "right" if away < 0.0 else "left", style="soft"),
    ]
