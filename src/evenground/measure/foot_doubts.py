"""What a foot's figures would be if its print is not what it seems: a heel half up, or something at its toes.

Neither can be known from one print. A heel that carries little may be half up, or the player leans ahead; a
contact that reaches further ahead than the other foot's may be toes that press, or a club head that touches
them. So the foot is laid out anew as if it were so, and what moves by it is an error of the figure.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from evenground.measure.contact import FootArea
from evenground.measure.feet import FootSeen, FootShape, foot_shape
from evenground.measure.figures import FigureSet
from evenground.measure.grade import Flag, Grade
from evenground.measure.ground_constants import (
    FOREFOOT_FROM,
    FRONT_UNEVEN_CELLS,
    FRONT_UNEVEN_MM,
    HEEL_DOWN,
    HEEL_LOST_MM,
    HEEL_TO,
)
from evenground.measure.recording import FloatArray, MatRecording

__all__ = ["ShapeDoubt", "front_excess_mm", "shape_doubts", "shape_errors", "with_doubts"]

_UNIFORM = 1.0 / math.sqrt(3.0)  # an error anywhere from nothing to all of it, about nothing


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ShapeDoubt:
    """One foot as it would be if its heel were half up, or something touched its toes.

    `size` is, of a heel, the percent of its foot's load on the rear half; of toes, the millimetres by which
    contact reaches further ahead than the other foot's.
    """

    index: int
    foot: FootSeen
    why: Literal["heel", "toes"]
    size: float
    area: FootArea
    shape: FootShape

    @property
    def heel_moved_mm(self) -> float:
        """How far the heel centre would lie from where it was found."""
        return math.dist(self.shape.heel_mm, self.foot.shape.heel_mm)


def shape_doubts(
    recording: MatRecording, load: FloatArray, positions_mm: FloatArray, feet: Sequence[FootSeen]
) -> tuple[ShapeDoubt, ...]:
    """Every foot whose print may not be what it seems.

    Parameters
    ----------
    recording
        For its pitch.
    load
        (N,) mean map without its floor.
    positions_mm
        (N, 2) cell centres.
    feet
        Left and right, or the only one.

    Notes
    -----
    A heel whose foot has under `HEEL_DOWN` of its load on the rear half is laid out with so much more on the
    heel part, fading out up to the forefoot part, that the rear half has it; a contact that reaches further
    ahead of the ball than the other foot's without what lies beyond (`front_excess_mm`).
    """
    pitch = (recording.pitch_x_mm, recording.pitch_y_mm)
    found: list[ShapeDoubt] = []
    for index, foot in enumerate(feet):
        found += _heel_doubts(index, foot, load, positions_mm, pitch)
        found += _toe_doubts(index, feet, load, positions_mm, pitch)
    return tuple(found)


def shape_errors(
    doubts: Sequence[ShapeDoubt],
    load: FloatArray,
    away_mm: FloatArray,
    feet: Sequence[FootSeen],
    of: FigureSet,
) -> dict[str, float]:
    """What light heels and uneven toes add to each figure, by name.

    Parameters
    ----------
    doubts
        Of `shape_doubts`, on the same map and feet.
    load
        (N,) mean map without its floor.
    away_mm
        (N, 2) cell centres from the point that the sums count from.
    feet
        Left and right, or the only one.
    of
        Which figures.

    Notes
    -----
    Whether a doubt is right is not known: the error lies anywhere between none and all of the difference,
    which has that over the root of three as its RMS.
    """
    sums = [_sums(load, away_mm, foot.area, foot.shape) for foot in feet]
    now = of.compute(np.concatenate(sums))
    squares = np.zeros(len(now))
    for doubt in doubts:
        changed = [*sums]
        changed[doubt.index] = _sums(load, away_mm, doubt.area, doubt.shape)
        squares += (of.compute(np.concatenate(changed)) - now) ** 2
    return dict(zip(of.names, map(float, _UNIFORM * np.sqrt(squares)), strict=True))


def with_doubts(grade: Grade, doubts: Sequence[ShapeDoubt]) -> Grade:
    """Add to a grade what doubts say that matter, unless it says so already."""
    before = {(flag.code, flag.where) for flag in grade.flags}
    said = [(flag, bad) for flag, bad in map(_said, doubts) if flag and (flag.code, flag.where) not in before]
    usable = grade.usable and not any(bad for _, bad in said)
    return Grade(usable=usable, flags=(*grade.flags, *(flag for flag, _ in said if flag)))


def front_excess_mm(foot: FootSeen, feet: Sequence[FootSeen], pitch_mm: tuple[float, float]) -> float:
    """How much further ahead of its ball a foot's contact reaches than the other one's.

    Zero if that may be chance: `FRONT_UNEVEN_CELLS` cells, for contact ends that are known to a part of a
    cell, and `FRONT_UNEVEN_MM`, for feet that are not quite alike.
    """
    if len(feet) < 2:
        return 0.0
    other = feet[1] if foot is feet[0] else feet[0]
    excess = _front_mm(foot.shape) - _front_mm(other.shape)
    least = float(FRONT_UNEVEN_CELLS) * max(pitch_mm) + float(FRONT_UNEVEN_MM)
    return excess if excess > least else 0.0


def _said(doubt: ShapeDoubt) -> tuple[Flag | None, bool]:
    """What to say of one doubt, and whether it makes the recording unusable."""
    side = doubt.foot.side
    if doubt.why == "toes":
        text = (
            f"Contact reaches {doubt.size:.0f} mm further ahead of the {side} ball than of the other one: "
            "take away what touches those toes, or let the other toes press; the errors allow for either."
        )
        return Flag(code="uneven-toes", where=f"{side} foot", text=text), False
    if doubt.heel_moved_mm > float(HEEL_LOST_MM):
        text = (
            f"The {side} heel carries so little ({doubt.size:.0f} % behind the arch) that its centre may lie "
            f"{doubt.heel_moved_mm:.0f} mm off: put it down and record again."
        )
        return Flag(code="heel-up", where=f"{side} foot", text=text), True
    return None, False


def _heel_doubts(
    index: int, foot: FootSeen, load: FloatArray, positions_mm: FloatArray, pitch_mm: tuple[float, float]
) -> Iterator[ShapeDoubt]:
    shape, down = foot.shape, float(HEEL_DOWN)
    own = np.where(foot.area.region, load, 0.0)
    rear = float(own @ shape.rear_half) / float(own.sum())
    place = ((positions_mm - shape.heel_mm) @ shape.axis - shape.rear_mm) / shape.length_mm
    behind = np.clip((float(FOREFOOT_FROM) - place) / (float(FOREFOOT_FROM) - float(HEEL_TO)), 0.0, 1.0)
    lever = float(own @ (behind * (shape.rear_half - down)))
    if 0.0 < rear < down and lever > 0.0:
        heavier = load * (1.0 + (down - rear) * float(own.sum()) / lever * behind)
        shape = foot_shape(foot.area, heavier, positions_mm, pitch_mm, foot.side)
        yield ShapeDoubt(index=index, foot=foot, why="heel", size=100.0 * rear, area=foot.area, shape=shape)


def _toe_doubts(
    index: int,
    feet: Sequence[FootSeen],
    load: FloatArray,
    positions_mm: FloatArray,
    pitch_mm: tuple[float, float],
) -> Iterator[ShapeDoubt]:
    foot = feet[index]
    excess = front_excess_mm(foot, feet, pitch_mm)
    if excess > 0.0:
        along = (positions_mm - foot.shape.heel_mm) @ foot.shape.axis
        kept = along <= foot.shape.front_mm - excess
        area = FootArea(touched=foot.area.touched & kept, region=foot.area.region & kept)
        shape = foot_shape(area, load, positions_mm, pitch_mm, foot.side)
        yield ShapeDoubt(index=index, foot=foot, why="toes", size=excess, area=area, shape=shape)


def _front_mm(shape: FootShape) -> float:
    """From the ball to the front end of contact."""
    return shape.front_mm - math.dist(shape.forefoot_mm, shape.heel_mm)


def _sums(load: FloatArray, away: FloatArray, area: FootArea, shape: FootShape) -> FloatArray:
    """(10,) of `sums.basis`, of one foot and one map."""
    cells = np.flatnonzero(area.region)
    own, at = load[cells], away[cells]
    found: list[float] = []
    for part in (np.ones(len(cells)), shape.heel[cells], shape.forefoot[cells]):
        found += [float(own @ part), *map(float, (own * part) @ at)]
    return np.array([*found, float(own @ shape.rear_half[cells])])
