r"""One foot on the mean map: heel and forefoot centre, axis, ends, edges; and the lines people draw on feet.

A foot's own frame, for either side::

          ^ u  along the axis, heel to toes      The loaded length runs from where 2 % of the load lies
          behind to
      ____|____                                  where 2 % lies ahead. Its rear 35 % is the heel part, 60 to
      93 %
     |forefoot |                                 the forefoot part; their centres are the centroids of load,
     and
      \   x   /                                  the axis runs through both. Axis and parts are settled
      together
       |     |                                   by going round until nothing moves.
      (   x   )
       ( heel)
"""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from evenground.floor import Side
from evenground.measure.contact import FootArea
from evenground.measure.foot_parts import along_reach, foot_centres, foot_parts, part_moves, share_below
from evenground.measure.ground_constants import HEEL_TO
from evenground.measure.recording import FloatArray

__all__ = ["FootSeen", "FootShape", "arch_index", "foot_shape", "toe_out_deg", "toe_spacing_mm"]

_ROUNDS = 60
_STILL = 1e-10


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FootShape:
    """Shape of one foot on the mean map.

    Attributes
    ----------
    heel_mm, forefoot_mm
        (2,) centres of the heel and the forefoot part.
    axis
        (2,) unit vector from heel to forefoot.
    rear_mm, front_mm
        Positions along the axis, from the heel centre, where contact starts and ends.
    inner_heel_mm, outer_mm
        x of the inside edge of the heel part and of the outermost touched point.
    area_mm2
        Touched area; `edge_cells` cells of it lie on its border.
    heel, forefoot, rear_half
        (N,) weights 0 to 1 of every cell of the mat in each part, and in the rear half of the contact length.
    heel_moves, forefoot_moves
        (N, 2) how far a unit of load in each cell moves each centre by moving its part (`part_moves`), times
        the load of that part; over the mean map they add up to nothing.
    """

    heel_mm: FloatArray
    forefoot_mm: FloatArray
    axis: FloatArray
    rear_mm: float
    front_mm: float
    inner_heel_mm: float
    outer_mm: float
    area_mm2: float
    heel: FloatArray
    forefoot: FloatArray
    rear_half: FloatArray
    heel_moves: FloatArray
    forefoot_moves: FloatArray

    @property
    def length_mm(self) -> float:
        """Contact length along the axis."""
        return self.front_mm - self.rear_mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FootSeen:
    """One foot: which, its cells, its shape."""

    side: Side
    area: FootArea
    shape: FootShape


def foot_shape(
    area: FootArea,
    load: FloatArray,
    positions_mm: FloatArray,
    pitch_mm: tuple[float, float],
    side: Side,
) -> FootShape:
    """Heel and forefoot centre, axis, ends and edges of one foot.

    Parameters
    ----------
    area
        The foot's cells.
    load
        (N,) mean map without its floor.
    positions_mm
        (N, 2) cell centres.
    pitch_mm
        Pitch of columns and of rows.
    side
        Which foot, for what is inside and outside.

    Notes
    -----
    A cell at the border of a part counts with the share of it that lies inside, so results do not jump as a
    foot moves by less than a cell. Contact ends and edges are the centres of the outermost touched cells,
    which an edge anywhere in that cell misses by pitch / sqrt(12) on average.
    """
    cells = np.flatnonzero(area.region)
    points, weights = positions_mm[cells], np.maximum(load[cells], 0.0)
    axis = _first_axis(points, weights)
    for _ in range(_ROUNDS):
        parts = foot_parts(points, weights, axis, pitch_mm)
        centres = foot_centres(points, weights, parts)
        heel, forefoot = centres[:2], centres[2:]
        turned = (forefoot - heel) / np.hypot(*(forefoot - heel))
        moved = float(np.abs(turned - axis).max())
        axis = turned
        if moved < _STILL:
            break
    moves = _moves(load[cells], part_moves(points, weights, axis, pitch_mm), parts)
    columns = _Columns(*(_spread(part, cells, len(load)) for part in (*parts, *moves)))
    return _finish(area, positions_mm, pitch_mm, side, heel, forefoot, axis, columns)


@dataclass(frozen=True, slots=True, eq=False)
class _Columns:
    """What `FootShape` says of every cell of the mat."""

    heel: FloatArray
    forefoot: FloatArray
    heel_moves: FloatArray
    forefoot_moves: FloatArray


def _moves(
    load: FloatArray, moves: FloatArray, parts: tuple[FloatArray, FloatArray]
) -> tuple[FloatArray, FloatArray]:
    """(N, 2) each: what is left over where noise lies below zero is taken from all cells alike."""
    moves = moves - (load @ moves) / float(load.sum())
    heel, forefoot = (float(load @ part) for part in parts)
    return moves[:, :2] * heel, moves[:, 2:] * forefoot


def _finish(
    area: FootArea,
    positions_mm: FloatArray,
    pitch_mm: tuple[float, float],
    side: Side,
    heel_mm: FloatArray,
    forefoot_mm: FloatArray,
    axis: FloatArray,
    columns: _Columns,
) -> FootShape:
    touched = positions_mm[area.touched]
    along = (touched - heel_mm) @ axis
    rear, front = float(along.min()), float(along.max())
    outward = -1.0 if side == "left" else 1.0
    near_heel = along < rear + float(HEEL_TO) * (front - rear)
    everywhere = (positions_mm - heel_mm) @ axis
    half = 0.5 * (rear + front)
    return FootShape(
        heel_mm=heel_mm,
        forefoot_mm=forefoot_mm,
        axis=axis,
        rear_mm=rear,
        front_mm=front,
        inner_heel_mm=float(outward * (outward * touched[near_heel, 0]).min()),
        outer_mm=float(outward * (outward * touched[:, 0]).max()),
        area_mm2=float(area.touched.sum() * pitch_mm[0] * pitch_mm[1]),
        heel=columns.heel,
        forefoot=columns.forefoot,
        rear_half=share_below(everywhere, half, along_reach(axis, pitch_mm)) * area.region,
        heel_moves=columns.heel_moves,
        forefoot_moves=columns.forefoot_moves,
    )


def _spread(values: FloatArray, cells: npt.NDArray[np.intp], count: int) -> FloatArray:
    full = np.zeros((count, *values.shape[1:]))
    full[cells] = values
    return full


def _first_axis(points: FloatArray, weights: FloatArray) -> FloatArray:
    centred = points - np.average(points, axis=0, weights=weights)
    _, directions = np.linalg.eigh((centred * weights[:, None]).T @ centred)
    axis = directions[:, 1]
    return np.asarray(axis if axis[1] > 0.0 else -axis)


def toe_out_deg(heel_mm: FloatArray, forefoot_mm: FloatArray, side: Side) -> float:
    """Turn of a foot's axis from straight ahead, outward positive on either side.

    Parameters
    ----------
    heel_mm, forefoot_mm
        (2,) points of the axis, floor frame.
    side
        Which foot.

    Examples
    --------
    >>> toe_out_deg(np.array([0.0, 0.0]), np.array([30.0, 180.0]), "right")
    9.462
    """
    x, y = forefoot_mm[..., 0] - heel_mm[..., 0], forefoot_mm[..., 1] - heel_mm[..., 1]
    return math.degrees(math.atan2(x if side == "right" else -x, y))


def toe_spacing_mm(heel_width_mm: float, toe_out_each_deg: float, foot_length_mm: float) -> float:
    """Distance of the toe tips when both feet are turned out alike: ``heels + 2 length sin(toe-out)``.

    Examples
    --------
    >>> toe_spacing_mm(170.0, 7.0, 265.0)
    234.591
    """
    return heel_width_mm + 2.0 * foot_length_mm * math.sin(math.radians(toe_out_each_deg))


def arch_index(rear_cm2: float, middle_cm2: float, front_cm2: float) -> float:
    """Middle third's share of a footprint's area without toes.

    Source: Cavanagh and Rodgers 1987, J Biomech 20:547. It moves with the pressure from which a cell counts
    as touched and with body mass; it describes a print and diagnoses nothing.

    Examples
    --------
    >>> arch_index(50.0, 25.0, 35.0)
    0.22727
    """
    return middle_cm2 / (rear_cm2 + middle_cm2 + front_cm2)
