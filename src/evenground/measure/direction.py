"""Which way a picture of two feet lies: where the toes point, and how long the feet are in cells.

A picture of two feet and its mirror image are both pictures of somebody's two feet, so nothing in it tells
left from right; toes and heels it tells, since a forefoot is broader than a heel.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from evenground.errors import MeasureError
from evenground.measure.contact import BoolArray, find_contact
from evenground.measure.recording import FloatArray, MatRecording

__all__ = ["Lie", "QuarterTurn", "feet_lie"]

QuarterTurn = Literal[0, 90, 180, -90]
_TURNS: tuple[QuarterTurn, ...] = (0, 180, 90, -90)
_REAR, _FRONT = 0.35, 0.55  # parts of a foot's length that hold its heel, and from where its ball and toes
_CLEAR = 0.08  # forefoot broader than heel by so much of it: seen in every print of data/footpressure
_PITCHES_MM = (8.0, 5.0, 12.0)  # tried in this order: a foot has to come out at a foot's size


@dataclass(frozen=True, slots=True, kw_only=True)
class Lie:
    """How a picture has to be turned, counter-clockwise, for the toes to point up.

    `broader` is by what part the forefeet are broader than the heels that way; `clear` whether that is
    enough to go by. `foot_rows` is the longer foot's contact in cells along the rows of the turned picture.
    """

    turn_deg: QuarterTurn
    broader: float
    clear: bool
    foot_rows: float


def feet_lie(mean_map: FloatArray, pitch_ratio: float = 1.0) -> Lie | None:
    """The turn that lets two feet stand side by side with their toes up; None when no turn does.

    Parameters
    ----------
    mean_map
        (R, C) mean pressures, first row at the bottom of the picture.
    pitch_ratio
        Pitch along the rows over the pitch along the columns.

    Notes
    -----
    Each quarter turn is tried; of those in which two feet are found, the one whose ball-and-toe part (the
    front 45 % of the contact) is broadest beside its heel part (the rear 35 %) is taken.
    """
    if not np.ptp(mean_map) > 0.0:
        return None
    for pitch_mm in _PITCHES_MM:
        tried = [_lie(mean_map, (pitch_mm, pitch_mm * pitch_ratio), turn) for turn in _TURNS]
        found = [lie for lie in tried if lie is not None]
        if found:
            return max(found, key=lambda lie: lie.broader)
    return None


def _lie(mean_map: FloatArray, pitch_mm: tuple[float, float], turn: QuarterTurn) -> Lie | None:
    turned = np.rot90(mean_map[::-1], turn // 90)[::-1]  # rot90 turns what is drawn with row 0 on top
    sizes = pitch_mm if turn in (0, 180) else pitch_mm[::-1]
    try:
        contact = find_contact(_picture(turned, sizes), turned)
    except MeasureError:
        return None
    feet = [area.touched.reshape(turned.shape) for area in (contact.left, contact.right)]
    if any(not foot.any() for foot in feet):
        return None
    broader = float(np.mean([_broader(foot) for foot in feet]))
    broader -= contact.cut_share  # feet that had to be cut apart may lie another way
    rows = max(float(np.ptp(np.flatnonzero(foot.any(axis=1)))) + 1.0 for foot in feet)
    return Lie(turn_deg=turn, broader=broader, clear=broader > _CLEAR, foot_rows=rows)


def _picture(cells: FloatArray, pitch_mm: tuple[float, float]) -> MatRecording:
    return MatRecording(
        cells=np.ascontiguousarray(cells, np.float64)[None],
        unit="counts",
        pitch_x_mm=pitch_mm[0],
        pitch_y_mm=pitch_mm[1],
        rate_hz=None,
        time_s=np.zeros(1),
    )


def _broader(foot: BoolArray) -> float:
    """Breadth of the front part over that of the rear part, less one."""
    rows = np.flatnonzero(foot.any(axis=1))
    first, length = rows[0], rows[-1] - rows[0] + 1
    breadth = np.array([np.ptp(np.flatnonzero(row)) + 1.0 if row.any() else 0.0 for row in foot])
    rear = breadth[first : first + max(round(_REAR * length), 1)]
    front = breadth[first + round(_FRONT * length) : rows[-1] + 1]
    return float(np.max(front) / np.max(rear)) - 1.0
