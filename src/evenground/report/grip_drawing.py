"""A club's grip drawn at scale: the sections under the hands, and the profile along it, old under new.

Sections stand side by side, seen along the shaft from the cap: bare butt inside, new outside in ink with its
range hatched, wanted dashed, what is on the club now dotted. The profile lies on its side, cap to the left.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from evenground.estimate import Estimate
from evenground.fit.grip import GripWanted
from evenground.fit.grip_types import GripBuild, GripFit, GripMaking, ProfilePoint
from evenground.report.drawing import Drawing, Mark, Point, Style, around, label, line, outline
from evenground.visit import OwnClub

__all__ = [
    "built_size",
    "profile_drawing",
    "profile_says",
    "round_outline",
    "sections_drawing",
    "sections_say",
    "whole_drawing",
]

APART_MM = 48.0  # between the middles of the two sections: more than the widest grip the Rules allow
CORNERS = 90
CAP_DROP_MM = 2.0
BETWEEN_MM = 16.0  # between sections and profile: two lines of words


def built_size(build: GripBuild, hand: str) -> Estimate | None:
    """What a build comes to under one hand, None where no hand is."""
    if build.built_mm is None or build.built_se_mm is None:
        return None
    value, se = getattr(build.built_mm, hand), getattr(build.built_se_mm, hand)
    return None if value is None else Estimate(value=value, se=se, unit="mm")


def sections_drawing(
    club: OwnClub, wanted: GripWanted, build: GripBuild, making: GripMaking | None = None
) -> Drawing | None:
    """Cross-sections under each hand, to be set at true size or larger; None when nothing is known.

    A grip that is not round is drawn as the oval of its width (along the face) and depth, as `making` has it.
    """
    marks: list[Mark] = []
    x = 0.0
    for hand in ("upper", "lower"):
        size = built_size(build, hand)
        if size is None:
            continue
        across = None if making is None else getattr(making, f"{hand}_across_mm")
        marks += _section(club, wanted, hand, _Section(at=(x, 0.0), size=size, across_mm=across))
        x += APART_MM
    return around(marks, pad_mm=1.0) if marks else None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Section:
    """One new section: where it is drawn, its round size, and width and depth where it was measured."""

    at: Point
    size: Estimate
    across_mm: tuple[float, float] | None

    def half_axes(self, wider_mm: float = 0.0) -> Point:
        """Half width and half depth of its outline, all round a little wider."""
        width, depth = self.across_mm or (self.size.value, self.size.value)
        return (width + wider_mm) / 2.0, (depth + wider_mm) / 2.0


def _section(club: OwnClub, wanted: GripWanted, hand: str, new: _Section) -> Iterator[Mark]:
    at, size = new.at, new.size
    butt, now, want = (
        getattr(club, f"butt_{hand}_mm"),
        getattr(club, f"grip_{hand}_mm"),
        getattr(wanted, f"{hand}_mm"),
    )
    outer, inner = (_oval(at, new.half_axes(sign * size.half_width())) for sign in (1.0, -1.0))
    yield outline([*outer, *reversed(inner)], style="hatch")
    yield line(*outer, style="hair")  # at true size the range is hardly wider than a line: give it an edge
    yield line(*inner, style="hair")
    if butt is not None:
        yield round_outline(at, butt, style="soft")
    if now is not None:
        yield round_outline(at, now, style="dots")
    if want is not None:
        yield round_outline(at, want.value, style="dash")
    yield line(*_oval(at, new.half_axes()), style="ink")
    yield label(at, hand)
    far = max(new.half_axes(2.0 * size.half_width())[1], (now or 0.0) / 2.0)
    yield label((at[0], at[1] - far - 0.5), f"new {_new_size(new)} mm", "below")
    if now is not None:
        yield label((at[0], at[1] + far + 0.5), f"now {now:.1f} mm", "above", style="soft")


def _new_size(new: _Section) -> str:
    if new.across_mm is None or new.across_mm[0] == new.across_mm[1]:
        return f"{new.size.value:.1f}"
    return f"{new.across_mm[0]:.1f} × {new.across_mm[1]:.1f}"


def round_outline(at: Point, diameter_mm: float, *, style: Style = "ink") -> Mark:
    """A circle as a closed line: a disc is filled on screen."""
    return line(*_oval(at, (diameter_mm / 2.0, diameter_mm / 2.0)), style=style)


def _oval(at: Point, half_mm: Point) -> list[Point]:
    turns = (2.0 * math.pi * i / CORNERS for i in range(CORNERS + 1))
    return [(at[0] + half_mm[0] * math.cos(t), at[1] + half_mm[1] * math.sin(t)) for t in turns]


def profile_drawing(club: OwnClub, build: GripBuild, making: GripMaking) -> Drawing | None:
    """The grip along its length, cap to the left, to be set at half size; None without a profile."""
    points = making.profile
    if len(points) < 2:
        return None
    marks: list[Mark] = [*_blend(making, points), *_outside(points, making), *_shaft(club, making)]
    marks += _now(club)
    top = max(p.outside_mm for p in points) / 2.0
    for hand, station in (("upper", club.upper_station_mm), ("lower", club.lower_station_mm)):
        size = built_size(build, hand)
        if size is None:
            continue
        half = size.value / 2.0
        marks.append(line((station, -half), (station, half), style="hair"))
        marks.append(label((station, top + 1.5), _at_hand(build, hand), "above"))
    marks.append(label((points[0].station_mm, -top - 1.0), "cap", "below", style="soft"))
    end = making.installed_length_mm
    marks.append(label((end, -top - 1.0), f"{end:.0f} mm", "below", style="soft"))
    return around(marks, pad_mm=1.5)


def _at_hand(build: GripBuild, hand: str) -> str:
    if build.layers is None:
        return hand
    count = getattr(build.layers, hand)
    return f"{hand}: {count} layer{'' if count == 1 else 's'}"


def _outside(points: tuple[ProfilePoint, ...], making: GripMaking) -> Iterator[Mark]:
    """Both edges of the new grip, or of each of two, closed at the known ends; a hairline where not known."""
    ends: tuple[float, ...] = (0.0, making.installed_length_mm)
    first, parts = points[0], [points]
    if making.gap_mm is not None:
        parts = [
            tuple(p for p in points if p.station_mm <= making.gap_mm[0]),
            tuple(p for p in points if p.station_mm >= making.gap_mm[1]),
        ]
        ends = (0.0, making.gap_mm[0], making.gap_mm[1], making.installed_length_mm)
    for part, start, end in zip(parts, ends[::2], ends[1::2], strict=True):
        if not part:
            continue
        edge = [(p.station_mm, p.outside_mm / 2.0) for p in part]
        head = (start, edge[0][1] - (CAP_DROP_MM if part[0] is first else 0.0))
        foot = (end, edge[-1][1])
        for sign in (1.0, -1.0):
            yield line(*((x, sign * y) for x, y in edge), style="bold")
            yield line((head[0], sign * head[1]), (edge[0][0], sign * edge[0][1]), style="hair")
            yield line((edge[-1][0], sign * edge[-1][1]), (foot[0], sign * foot[1]), style="hair")
        yield line(head, (head[0], -head[1]), style="hair")
        yield line(foot, (foot[0], -foot[1]), style="hair")


def _shaft(club: OwnClub, making: GripMaking) -> Iterator[Mark]:
    """The bare shaft by the line through its two butts."""
    if club.butt_upper_mm is None or club.butt_lower_mm is None:
        return
    slope = (club.butt_lower_mm - club.butt_upper_mm) / (club.lower_station_mm - club.upper_station_mm)
    ends = [
        (z, (club.butt_upper_mm + slope * (z - making.cap_mm - club.upper_station_mm)) / 2.0)
        for z in (making.cap_mm, making.installed_length_mm + 12.0)
    ]
    for sign in (1.0, -1.0):
        yield line(*((x, sign * y) for x, y in ends), style="soft")
    yield line((ends[0][0], ends[0][1]), (ends[0][0], -ends[0][1]), style="soft")


def _now(club: OwnClub) -> Iterator[Mark]:
    """The grip that is on the club, known at two places: a dotted line between them."""
    if club.grip_upper_mm is None or club.grip_lower_mm is None:
        return
    for sign in (1.0, -1.0):
        yield line(
            (club.upper_station_mm, sign * club.grip_upper_mm / 2.0),
            (club.lower_station_mm, sign * club.grip_lower_mm / 2.0),
            style="dots",
        )


def _blend(making: GripMaking, points: tuple[ProfilePoint, ...]) -> Iterator[Mark]:
    """Where the layers end one by one, hatched."""
    start, end = making.blend_from_mm, making.blend_to_mm
    if start is None or end is None:
        return
    inside = [p for p in points if start <= p.station_mm <= end]
    edge = [(start, _half_at(points, start)), *((p.station_mm, p.outside_mm / 2.0) for p in inside)]
    edge.append((end, _half_at(points, end)))
    yield outline([*edge, *((x, -y) for x, y in reversed(edge))], style="hatch")


def _half_at(points: tuple[ProfilePoint, ...], station_mm: float) -> float:
    for a, b in pairwise(points):
        if a.station_mm <= station_mm <= b.station_mm and b.station_mm > a.station_mm:
            part = (station_mm - a.station_mm) / (b.station_mm - a.station_mm)
            return (a.outside_mm + part * (b.outside_mm - a.outside_mm)) / 2.0
    return points[-1].outside_mm / 2.0


def sections_say(mark: str, build: GripBuild, club: OwnClub) -> str:
    """The sections in words."""
    said = []
    for hand in ("upper", "lower"):
        size, now = built_size(build, hand), getattr(club, f"grip_{hand}_mm")
        if size is not None:
            was = "" if now is None else f", now {now:.1f} mm"
            said.append(f"{hand} hand new {size.value:.1f} ± {size.half_width():.1f} mm{was}")
    return f"{mark}, cross-sections: {'; '.join(said)}."


def profile_says(mark: str, making: GripMaking) -> str:
    """The profile in words."""
    sizes = [p.outside_mm for p in making.profile]
    blend = ""
    if making.blend_from_mm is not None and making.blend_to_mm is not None:
        blend = f" Tape blends from {making.blend_from_mm:.0f} to {making.blend_to_mm:.0f} mm below the cap."
    return f"{mark}, profile: from {sizes[0]:.1f} mm near the cap to {sizes[-1]:.1f} mm.{blend}"


def whole_drawing(club: OwnClub, fit: GripFit) -> Drawing | None:
    """Sections over the profile of the best build, all at one scale; None when nothing was worked out."""
    if not fit.builds or fit.making is None or fit.builds[0].built_mm is None:
        return None
    best = fit.builds[0]
    sections = sections_drawing(club, fit.wanted, best, fit.making)
    profile = profile_drawing(club, best, fit.making)
    if sections is None or profile is None:
        return sections or profile
    up = profile.top_mm - sections.bottom_mm + BETWEEN_MM
    right = profile.left_mm - sections.left_mm
    moved = (replace(m, points_mm=tuple((x + right, y + up) for x, y in m.points_mm)) for m in sections.marks)
    return around((*moved, *profile.marks), pad_mm=1.0)
