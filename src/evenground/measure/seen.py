"""What a mat saw, to be drawn: contour lines of the pressure, each foot's heel point and axis, or why not.

Everything is in the mat's own frame: x along its columns, y along its rows, from the corner of cell [0, 0],
before `turned_deg`. A refused recording has its contour lines too, and the sentence beside them.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from evenground.errors import MeasureError
from evenground.floor import Side, other_side, turned
from evenground.measure.contact import (
    EmptyMatError,
    FootArea,
    OneFootError,
    PartFootError,
    cell_positions_mm,
    find_contact,
    find_lone_contact,
    pressed,
)
from evenground.measure.contours import contour_lines, simplified
from evenground.measure.feet import FootSeen, foot_shape
from evenground.measure.one_foot import FootState
from evenground.measure.recording import FloatArray, MatRecording
from evenground.measure.sides import told_sides
from evenground.measure.sums import mean_map

__all__ = ["LEVELS", "Contour", "FootMark", "Seen", "see"]

LEVELS = (0.05, 0.3, 0.65)
"""Contours are drawn at these shares of the highest pressure (ours)."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Contour:
    """One closed line at a share of the highest pressure."""

    level: float
    points_mm: tuple[Point, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FootMark:
    """One foot's heel centre, forefoot centre, and the ends of its contact on the axis."""

    side: Side
    heel_mm: Point
    forefoot_mm: Point
    rear_mm: Point
    front_mm: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A mat of `wide_mm` by `tall_mm`, what presses on it, the feet found, and why none were."""

    wide_mm: float
    tall_mm: float
    contours: tuple[Contour, ...]
    feet: tuple[FootMark, ...]
    refused: str | None


def see(recording: MatRecording, feet: Mapping[Side, FootState] | None = None) -> Seen:
    """Contours and feet of a recording; never refuses, but says why no feet were found.

    Parameters
    ----------
    recording
        A player standing, or anything else that a mat recorded.
    feet
        What the visit says of a foot (`one_foot.describe_by_limbs`).
    """
    mean = mean_map(recording.cells)
    marks: tuple[FootMark, ...] = ()
    refused = None
    try:
        found, load = _feet(recording, mean, feet or {})
        marks = tuple(_mark(recording, foot) for foot in found)
        told_sides(recording, load, found, cell_positions_mm(recording))
    except MeasureError as exc:
        refused = str(exc)
    rows, columns = recording.shape[1:]
    return Seen(
        wide_mm=columns * recording.pitch_x_mm,
        tall_mm=rows * recording.pitch_y_mm,
        contours=_contours(recording, mean),
        feet=marks,
        refused=refused,
    )


def _feet(
    recording: MatRecording, mean: FloatArray, states: Mapping[Side, FootState]
) -> tuple[tuple[FootSeen, ...], FloatArray]:
    """The feet as `describe_by_limbs` finds them, and the map without its floor."""
    lost = next((side for side, state in states.items() if state == "absent"), None)
    if lost is not None:
        return _lone(recording, mean, lost)
    try:
        contact = find_contact(recording, mean)
    except (OneFootError, PartFootError):
        if len(states) != 1:
            raise
        return _lone(recording, mean, next(iter(states)))
    both: tuple[tuple[Side, FootArea], ...] = (("left", contact.left), ("right", contact.right))
    return tuple(_foot(recording, contact.load, side, area) for side, area in both), contact.load


def _lone(recording: MatRecording, mean: FloatArray, lost: Side) -> tuple[tuple[FootSeen, ...], FloatArray]:
    lone = find_lone_contact(recording, mean, lost)
    return (_foot(recording, lone.load, other_side(lost), lone.foot),), lone.load


def _foot(recording: MatRecording, load: FloatArray, side: Side, area: FootArea) -> FootSeen:
    pitch = (recording.pitch_x_mm, recording.pitch_y_mm)
    shape = foot_shape(area, load, cell_positions_mm(recording), pitch, side)
    return FootSeen(side=side, area=area, shape=shape)


def _mark(recording: MatRecording, foot: FootSeen) -> FootMark:
    shape = foot.shape

    def on_mat(x_mm: float, y_mm: float) -> Point:
        x, y = turned(x_mm, y_mm, -recording.turned_deg)
        return round(x, 1), round(y, 1)

    def along(distance_mm: float) -> Point:
        return on_mat(*(float(v) for v in shape.heel_mm + distance_mm * shape.axis))

    return FootMark(
        side=foot.side,
        heel_mm=along(0.0),
        forefoot_mm=on_mat(*(float(v) for v in shape.forefoot_mm)),
        rear_mm=along(shape.rear_mm),
        front_mm=along(shape.front_mm),
    )


def _contours(recording: MatRecording, mean: FloatArray) -> tuple[Contour, ...]:
    try:
        load = pressed(recording, mean).load
    except EmptyMatError:
        return ()
    high = float(load.max())
    return tuple(
        Contour(level=level, points_mm=_points(line, recording))
        for level in LEVELS
        for line in contour_lines(load, level * high)
        if len(line) >= _LEAST_POINTS
    )


def _points(line: FloatArray, recording: MatRecording) -> tuple[Point, ...]:
    pitch = (recording.pitch_x_mm, recording.pitch_y_mm)
    kept = simplified((line + 0.5) * pitch, _TOLERANCE_MM)
    return tuple((round(float(x)), round(float(y))) for x, y in kept)


_TOLERANCE_MM = 1.0
_LEAST_POINTS = 6  # a line round less than two cells is noise
