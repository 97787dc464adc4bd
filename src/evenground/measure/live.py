"""The moment a player stands in: load and CoP of each foot from a few frames and a basis made beforehand.

`live_basis` looks for the feet, which takes a while; `moment` then is one small product a picture. A moment
is a picture of sway, not a measurement: `ground.describe` of the whole recording gives the figures with their
errors.
"""

from dataclasses import dataclass, replace

import numpy as np

from evenground.floor import turned
from evenground.measure.contact import cell_positions_mm, find_contact
from evenground.measure.feet import foot_shape
from evenground.measure.recording import CellUnit, FloatArray, MatRecording
from evenground.measure.sums import basis, floor_sums, foot_sums, frame_sums, mean_map

__all__ = ["LiveBasis", "Moment", "live_basis", "moment"]

_SOMEBODY = 0.3
"""Of the force that the basis was made at, under which the feet are taken to have left (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LiveBasis:
    """The feet as they stood when the basis was made.

    Attributes
    ----------
    columns
        (R * C, 20) of `sums.basis`, single precision.
    floor
        (20,) what the noise floor adds to each column.
    middle_mm
        (2,) point that positions are counted from, from the mat's corner.
    total
        Sum of both feet then, in the unit of the cells.
    newtons
        Newtons that one such unit stands for; None for counts.
    turned_deg
        What is left of the mat's turn on the floor.
    """

    columns: FloatArray
    floor: FloatArray
    middle_mm: FloatArray
    total: float
    newtons: float | None
    turned_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """Where the load is just now; positions from the mat's corner along its own columns and rows.

    `from_heels_mm` alone is in the floor frame: the common CoP from midway between the heel centres, to the
    player's right and ahead. `force_n` is None for raw counts.
    """

    load_left_percent: float
    cop_mm: tuple[float, float]
    from_heels_mm: tuple[float, float]
    cop_left_mm: tuple[float, float]
    cop_right_mm: tuple[float, float]
    force_n: float | None

    @property
    def load_right_percent(self) -> float:
        """The rest."""
        return 100.0 - self.load_left_percent


def live_basis(recording: MatRecording) -> LiveBasis:
    """Find the feet in the last moments of a stream.

    Parameters
    ----------
    recording
        A second or so of frames, player on the mat.

    Raises
    ------
    MeasureError
        When there are not two feet that stand apart, as `ground.describe`.
    """
    straight = replace(recording, turned_deg=0.0)
    contact = find_contact(straight, mean_map(straight.cells))
    positions = cell_positions_mm(straight)
    pitch = (straight.pitch_x_mm, straight.pitch_y_mm)
    left = foot_shape(contact.left, contact.load, positions, pitch, "left")
    right = foot_shape(contact.right, contact.load, positions, pitch, "right")
    middle = 0.5 * (left.heel_mm + right.heel_mm)
    columns = basis(positions, middle, ((contact.left, left), (contact.right, right)))
    floor = floor_sums(contact, columns)
    mean = (frame_sums(straight.cells, columns) - floor).mean(axis=0)
    return LiveBasis(
        columns=columns.astype(np.float32),
        floor=floor,
        middle_mm=np.asarray(middle),
        total=float(foot_sums(mean, 0).whole + foot_sums(mean, 1).whole),
        newtons=_newtons(straight.unit, straight.cell_area_mm2),
        turned_deg=recording.turned_deg,
    )


def _newtons(unit: CellUnit, area_mm2: float) -> float | None:
    return area_mm2 / 1000.0 if unit == "kPa" else None


def moment(cells: FloatArray, feet: LiveBasis) -> Moment | None:
    """Load and CoPs of a few frames together, (n, R, C) with n >= 1; None once a foot has left its place.

    Notes
    -----
    Sums of the frames by `sums.frame_sums`, less the floor, averaged over the frames; a foot's CoP is its
    load times position over its load, the common one that of both feet. docs/method/live.md.
    """
    sums = frame_sums(cells, feet.columns).mean(axis=0) - feet.floor
    left, right = foot_sums(sums, 0), foot_sums(sums, 1)
    total = float(left.whole + right.whole)
    if total < _SOMEBODY * feet.total or min(left.whole, right.whole) <= 0.0:
        return None
    cop = (left.whole_mm + right.whole_mm) / total
    return Moment(
        load_left_percent=100.0 * float(left.whole) / total,
        cop_mm=_at(cop, feet),
        from_heels_mm=turned(float(cop[0]), float(cop[1]), feet.turned_deg),
        cop_left_mm=_at(left.whole_mm / left.whole, feet),
        cop_right_mm=_at(right.whole_mm / right.whole, feet),
        force_n=None if feet.newtons is None else total * feet.newtons,
    )


def _at(away_mm: FloatArray, feet: LiveBasis) -> tuple[float, float]:
    x, y = away_mm + feet.middle_mm
    return float(x), float(y)
