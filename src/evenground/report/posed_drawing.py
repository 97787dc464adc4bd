"""An address from the side as a figure drawn through its landmarks: measured or solved, in millimetres."""

import math
from collections.abc import Mapping, Sequence

from evenground.fit.address import Address
from evenground.report.drawing import Anchor, Drawing, Mark, Point, around, disc, label, line, mirrored

__all__ = ["LIMBS", "address_drawing", "chains", "head", "posed_drawing"]

LIMBS: tuple[tuple[str, ...], ...] = (
    ("heel", "toe_tip"),
    ("ankle", "knee", "hip", "shoulder", "cervicale"),
    ("shoulder", "elbow", "wrist", "hands"),
    ("wrist", "fingertip"),
)
"""Chains of landmarks that a limb joins; a landmark that was not marked is passed over."""

DOT_MM = 12.0


def _at(points: Mapping[str, Sequence[float]], name: str) -> Point:
    x, y = points[name]
    return float(x), float(y)


def chains(points: Mapping[str, Sequence[float]]) -> list[list[Point]]:
    """The limbs' lines through the landmarks that are there."""
    found = [[_at(points, n) for n in chain if n in points] for chain in LIMBS]
    if "hands" in points and "fingertip" in points:
        found = found[:-1]  # a fist, not a stretched hand
    return [chain for chain in found if len(chain) > 1]


def head(points: Mapping[str, Sequence[float]]) -> tuple[Point, float] | None:
    """Centre and radius of the head, from the crown and the neck, None without both."""
    if "vertex" not in points or "cervicale" not in points:
        return None
    (x1, y1), (x0, y0) = _at(points, "vertex"), _at(points, "cervicale")
    tall = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
    middle = (x0 + 0.58 * (x1 - x0), y0 + 0.58 * (y1 - y0))
    return middle, 0.42 * tall


def posed_drawing(
    points: Mapping[str, Sequence[float]],
    *,
    balance_mm: Point | None = None,
    balance_half_mm: float = 0.0,
    butt_mm: Point | None = None,
    sole_mm: Point | None = None,
    notes: Sequence[tuple[Point, str, Anchor]] = (),
    faces_left: bool = False,
) -> Drawing:
    """The figure with its balance, and its club where there is one.

    Parameters
    ----------
    points
        Landmarks in mm, x ahead of the heel, y up.
    balance_mm, balance_half_mm
        Centre of mass, and half the width of its interval on the floor, drawn as a bar under it.
    butt_mm, sole_mm
        Ends of the club.
    notes
        Words beside places, such as an angle beside its limb, and the side on which they stand.
    faces_left
        For a left-handed player seen from behind the ball.
    """
    marks: list[Mark] = [line((-350.0, 0.0), (_farthest(points, sole_mm) + 150.0, 0.0), style="hair")]
    marks += [line(*chain, style="bold") for chain in chains(points)]
    if (skull := head(points)) is not None:
        marks.append(disc(skull[0], skull[1], style="hollow"))
    if butt_mm is not None and sole_mm is not None:
        marks.append(line(butt_mm, sole_mm, style="ink"))
    if "ball" in points:
        x, _ = _at(points, "ball")
        marks.append(disc((x, 21.3), 21.3, style="hollow"))
    if balance_mm is not None:
        marks += _balance(balance_mm, balance_half_mm)
    marks += [label(at, text, anchor) for at, text, anchor in notes]
    plain = around(marks, pad_mm=20.0)
    return mirrored(plain) if faces_left else plain


def _farthest(points: Mapping[str, Sequence[float]], sole_mm: Point | None) -> float:
    ahead = [float(p[0]) for p in points.values()]
    return max(ahead + ([sole_mm[0]] if sole_mm is not None else []))


def _balance(at: Point, half_mm: float) -> list[Mark]:
    """A plumb line from the centre of mass to the floor, and on the floor how far it may be off."""
    x, y = at
    band = [] if half_mm <= 0.0 else [line((x - half_mm, -22.0), (x + half_mm, -22.0), style="bold")]
    return [line((x, y), (x, 0.0), style="dots"), disc((x, y), DOT_MM, style="hollow"), *band]


def address_drawing(found: Address, *, faces_left: bool = False) -> Drawing:
    """A solved address with its club, angles beside the limbs, the ball's distance along the floor."""
    points, club = found.landmarks, found.club
    hands = points["hands"]
    lie = math.radians(club.lie_deg)
    butt = (hands[0] - club.station_mm * math.cos(lie), hands[1] + club.station_mm * math.sin(lie))
    sole = (hands[0] + club.reach_mm, 0.0)
    notes: list[tuple[Point, str, Anchor]] = []
    for figure, ends, words, anchor in _ANGLES:
        (x0, y0), (x1, y1) = (points[end] for end in ends)
        angle = getattr(found, figure)
        at = ((x0 + x1) / 2.0 + (30.0 if anchor == "right" else -30.0), (y0 + y1) / 2.0)
        notes.append((at, f"{words} {angle.value:.0f} ± {angle.half_width():.0f}°", anchor))
    toe, ball = points["toe_tip"][0], found.ball_from_toe_mm
    notes.append((((toe + sole[0]) / 2.0, -45.0), f"{ball.value:.0f} ± {ball.half_width():.0f} mm", "below"))
    plain = posed_drawing({**points, "ball": (sole[0], 0.0)}, butt_mm=butt, sole_mm=sole, notes=notes)
    measure = line((toe, -30.0), (sole[0], -30.0), style="soft")
    whole = around([*plain.marks, measure], pad_mm=20.0)
    return mirrored(whole) if faces_left else whole


_ANGLES: tuple[tuple[str, tuple[str, str], str, Anchor], ...] = (
    ("trunk_deg", ("hip", "shoulder"), "trunk", "left"),
    ("thigh_deg", ("knee", "hip"), "thigh", "left"),
    ("knee_flex_deg", ("knee", "knee"), "knee", "right"),
    ("arm_hang_deg", ("shoulder", "hands"), "arms", "right"),
)
