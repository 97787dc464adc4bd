"""Heel and forefoot part of a foot along its axis, and how they move when the load does.

Where the parts begin and end follows from the load itself: a foot that leans ahead has its ends, its parts
and its axis elsewhere. So a centre moves by more than the load within a part does, and what moves the load,
be it sway, noise, or a cell that reads too much, moves it with all of that.
"""

import numpy as np

from evenground.measure.ground_constants import FOREFOOT_FROM, FOREFOOT_TO, HEEL_TO, TRIM_SHARE
from evenground.measure.recording import FloatArray

__all__ = ["along_reach", "foot_centres", "foot_parts", "part_moves", "share_below"]

_STEP = 1e-5  # of a radian, and of a millimetre, for central differences
_LEAST_DENSITY = 0.02  # of the mean load a millimetre: a foot's end in the gap between two toes


def along_reach(axis: FloatArray, pitch_mm: tuple[float, float]) -> float:
    """Half the length of a cell along the axis."""
    return 0.5 * (abs(float(axis[0])) * pitch_mm[0] + abs(float(axis[1])) * pitch_mm[1])


def share_below(along: FloatArray, limit: float, reach: float) -> FloatArray:
    """Share of each cell that lies behind a limit."""
    return np.asarray(np.clip((limit - along) / (2.0 * reach) + 0.5, 0.0, 1.0))


def foot_parts(
    points_mm: FloatArray, load: FloatArray, axis: FloatArray, pitch_mm: tuple[float, float]
) -> tuple[FloatArray, FloatArray]:
    """Share of each cell (N,) in the heel and in the forefoot part, by the axis.

    Parameters
    ----------
    points_mm, load
        (N, 2) and (N,) cells of one foot.
    axis
        (2,) unit vector towards the toes.
    pitch_mm
        Pitch of columns and of rows.
    """
    along, reach = points_mm @ axis, along_reach(axis, pitch_mm)
    return _between(along, reach, _ends(along, load, reach))


def foot_centres(points_mm: FloatArray, load: FloatArray, parts: tuple[FloatArray, FloatArray]) -> FloatArray:
    """Heel and forefoot centre, (4,): x and y of each."""
    return np.concatenate([np.average(points_mm, axis=0, weights=load * part) for part in parts])


def part_moves(
    points_mm: FloatArray, load: FloatArray, axis: FloatArray, pitch_mm: tuple[float, float]
) -> FloatArray:
    """How far each unit of load in a cell moves heel and forefoot centre by moving their borders, (N, 4).

    Parameters
    ----------
    points_mm, load, axis, pitch_mm
        As in `foot_parts`; the axis is settled.

    Notes
    -----
    To first order, with a and b the ends of the loaded length and t the turn of the axis, the centres move by
    ``C q + J (da, db, dt)``, C q being what load within unmoved parts does, left out here. The ends move by
    ``da = (trim - below_a) q / density_a + a' dt``, the axis by what it turns between the moved centres; all
    of it is linear in q and solved together. J, a' and b' are central differences.
    """
    points = points_mm - np.average(points_mm, axis=0, weights=load)
    reach, turn = along_reach(axis, pitch_mm), float(np.arctan2(axis[1], axis[0]))
    along = points @ axis
    ends = _ends(along, load, reach)
    parts = _between(along, reach, ends)
    centres = foot_centres(points, load, parts)
    within = np.concatenate(
        [(points - centre) * (part / float(load @ part))[:, None] for part, centre in _pairs(parts, centres)],
        axis=1,
    )
    by_ends = np.column_stack([_moved_ends(points, load, turn, pitch_mm, ends, k) for k in range(2)])
    of_turn = _turned_ends(points, load, turn, pitch_mm)
    by_turn = _turned_centres(points, load, turn, pitch_mm, ends) + by_ends @ of_turn
    ended = _end_moves(along, load, reach, ends) @ by_ends.T
    away = centres[2:] - centres[:2]
    sideways = np.array([-away[1], away[0]]) / float(away @ away)
    turns = np.concatenate([-sideways, sideways])
    turned = (within + ended) @ turns / (1.0 - float(turns @ by_turn))
    return np.asarray(ended + turned[:, None] * by_turn)


def _pairs(parts: tuple[FloatArray, FloatArray], centres: FloatArray) -> list[tuple[FloatArray, FloatArray]]:
    return [(parts[0], centres[:2]), (parts[1], centres[2:])]


def _ends(along: FloatArray, load: FloatArray, reach: float) -> FloatArray:
    """(2,) where the loaded length starts and ends."""
    trim = float(TRIM_SHARE)
    return _quantiles(along, load, reach, (trim, 1.0 - trim))


def _between(along: FloatArray, reach: float, ends: FloatArray) -> tuple[FloatArray, FloatArray]:
    start, end = ends
    limits = [start + float(f) * (end - start) for f in (HEEL_TO, FOREFOOT_FROM, FOREFOOT_TO)]
    heel, before, until = (share_below(along, limit, reach) for limit in limits)
    return heel, until - before


def _quantiles(along: FloatArray, load: FloatArray, reach: float, shares: tuple[float, ...]) -> FloatArray:
    """Where given shares of the load lie behind, each cell's load spread evenly over its length."""
    at = np.concatenate([along - reach, along + reach])
    order = np.argsort(at)
    at = at[order]
    slope = np.cumsum(np.concatenate([load, -load])[order])
    behind = np.concatenate([[0.0], np.cumsum(slope[:-1] * np.diff(at))])
    return np.asarray(np.interp(np.array(shares) * behind[-1], behind, at))


def _end_moves(along: FloatArray, load: FloatArray, reach: float, ends: FloatArray) -> FloatArray:
    """(N, 2) how far a unit of load in each cell moves the two ends, the axis as it is."""
    trim, whole = float(TRIM_SHARE), float(load.sum())
    least = _LEAST_DENSITY * whole / float(ends[1] - ends[0])
    moves = []
    for share, end in zip((trim, 1.0 - trim), ends, strict=True):
        behind = [float(load @ share_below(along, end + step, reach)) for step in (-reach, reach)]
        density = max((behind[1] - behind[0]) / (2.0 * reach), least)
        moves.append((share - share_below(along, float(end), reach)) / density)
    return np.column_stack(moves)


def _at_turn(points: FloatArray, turn: float, pitch_mm: tuple[float, float]) -> tuple[FloatArray, float]:
    axis = np.array([np.cos(turn), np.sin(turn)])
    return points @ axis, along_reach(axis, pitch_mm)


def _moved_ends(
    points: FloatArray,
    load: FloatArray,
    turn: float,
    pitch_mm: tuple[float, float],
    ends: FloatArray,
    which: int,
) -> FloatArray:
    """(4,) how far the centres move a millimetre of one end."""
    step = np.zeros(2)
    step[which] = _STEP
    along, reach = _at_turn(points, turn, pitch_mm)
    ahead, behind = (foot_centres(points, load, _between(along, reach, ends + s)) for s in (step, -step))
    return np.asarray((ahead - behind) / (2.0 * _STEP))


def _turned_centres(
    points: FloatArray, load: FloatArray, turn: float, pitch_mm: tuple[float, float], ends: FloatArray
) -> FloatArray:
    """(4,) how far the centres move a radian of the axis, the ends where they are along it."""
    found = [
        foot_centres(points, load, _between(*_at_turn(points, turn + s, pitch_mm), ends))
        for s in (_STEP, -_STEP)
    ]
    return np.asarray((found[0] - found[1]) / (2.0 * _STEP))


def _turned_ends(
    points: FloatArray, load: FloatArray, turn: float, pitch_mm: tuple[float, float]
) -> FloatArray:
    """(2,) how far the ends move along the axis a radian of it."""
    found = []
    for step in (_STEP, -_STEP):
        along, reach = _at_turn(points, turn + step, pitch_mm)
        found.append(_ends(along, load, reach))
    return np.asarray((found[0] - found[1]) / (2.0 * _STEP))
