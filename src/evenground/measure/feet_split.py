r"""Which of two feet each touched cell belongs to, or why that cannot be said.

A free line parts the feet: over a fan of directions near straight ahead, the widest empty corridor is
looked for that leaves something like a foot on either side. Parts of one foot (heel and forefoot of a shoe,
toes) stay together because no corridor near straight ahead leaves two foot-like pieces between them. Feet
that touch have no corridor; they are cut along the line that carries least, if that is next to nothing::

      oo    |    oo        corridor: no touched cell          load
     (  )   |   (  )       between the two dashes              across    /\    /\
      ()    |    ()                                           the line  /  \__/  \   cut in the valley
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from evenground.errors import MeasureError
from evenground.floor import Side
from evenground.measure.ground_constants import (
    CUT_LOAD,
    FOOT_BREADTH_MAX_MM,
    FOOT_LENGTH_MAX_MM,
    FOOT_LENGTH_MIN_MM,
)
from evenground.measure.recording import FloatArray

__all__ = [
    "BoolArray",
    "FeetMergedError",
    "NoFeetError",
    "OneFootError",
    "PartFootError",
    "Print",
    "Split",
    "StanceAcrossError",
    "ThreeObjectsError",
    "TwoFeetError",
    "like_a_foot",
    "pick_foot",
    "split_feet",
]

BoolArray = npt.NDArray[np.bool_]

_FAN_DEG = np.arange(-40.0, 41.0, 2.0)
_SMALLEST_SIDE = 0.05  # share of all touched load
_CORRIDOR_CELLS = 1.6
_CUT_FAN_DEG = np.arange(-44.0, 45.0, 4.0)
_CUT_FINE_DEG = np.arange(-3.0, 3.5, 1.0)
_CUT_SMALLEST_SIDE = 0.12
_UNLIKE, _UNLIKE_AREA = 1.3, 1.35  # two feet of one player that touch are about as large as each other
_TURNED_MOST = 0.87  # sine of 60 deg: further out no foot that touches the other one turns
_SLIM = 1.5  # length to breadth, from which half a foot is told from a foot
_NARROWEST_MM = 45.0
_ACROSS_MM = 185.0  # two heels side by side span less
_ONE_FOOT_MM = 130.0  # broader than this, one piece may be two feet
_RIVAL, _RIVAL_LEAST, _RIVAL_APART = 1.3, 0.1, 0.15


class NoFeetError(MeasureError):
    """Something presses on the mat, but nothing of a foot's size."""

    do = "Record with both feet on the mat and nothing else on it."

    def __init__(self, where: str, length_mm: float, breadth_mm: float) -> None:
        super().__init__(where, length_mm, breadth_mm)
        self.where = where
        self.what = f"What presses on the mat spans {length_mm:.0f} by {breadth_mm:.0f} mm, which is no foot."


class OneFootError(MeasureError):
    """One foot on the mat."""

    do = (
        "Stand with both feet wholly on the mat; a foot off its edge cannot be weighed. "
        "If the player stands on one foot by design, say so (absent or prosthetic)."
    )

    def __init__(self, where: str) -> None:
        super().__init__(where)
        self.where = where
        self.what = "Only one foot is on the mat."


class TwoFeetError(MeasureError):
    """Two feet where the visit says that one is absent."""

    do = "Correct the visit's absent foot, or take the other person off the mat and record again."

    def __init__(self, where: str, missing: Side) -> None:
        super().__init__(where, missing)
        self.where = where
        self.what = f"Two feet are on the mat, but the visit says that the {missing} one is absent."


class PartFootError(MeasureError):
    """One foot, and beside it something heavy that is too short for another."""

    do = "Put both heels down and both feet wholly on the mat, and record again."

    def __init__(self, where: str, side: Side, length_mm: float, share_percent: float) -> None:
        super().__init__(where, side, length_mm, share_percent)
        self.where = where
        self.what = (
            f"On the {side}, {share_percent:.0f} % of the load rests on only {length_mm:.0f} mm: "
            "a raised heel, a foot over the mat's edge, or something that is no foot."
        )


class ThreeObjectsError(MeasureError):
    """More than two feet on the mat."""

    do = "Take club, ball, bag and helper off the mat, and record again."

    def __init__(self, where: str) -> None:
        super().__init__(where)
        self.where = where
        self.what = "Something besides the player's feet presses on the mat."


class FeetMergedError(MeasureError):
    """The feet touch so that no line tells one from the other."""

    do = "Stand a little wider, at least two cells between the shoes, or record on a mat with finer cells."

    def __init__(self, where: str, pitch_mm: float) -> None:
        super().__init__(where, pitch_mm)
        self.where = where
        self.what = f"The feet run into one another on this mat ({pitch_mm:.1f} mm cells)."


class StanceAcrossError(MeasureError):
    """The feet stand across the mat."""

    do = "Turn the recording by a quarter (turned_deg in its layout), or stand the other way on the mat."

    def __init__(self, where: str) -> None:
        super().__init__(where)
        self.where = where
        self.what = "The feet point across the mat, along the target line, not straight ahead."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Print:
    """Touched cells: centres (N, 2), load (N,), pitch of columns and rows; `where` is what messages say."""

    points_mm: FloatArray
    load: FloatArray
    pitch_mm: tuple[float, float]
    where: str

    @property
    def coarse_mm(self) -> float:
        """The larger pitch."""
        return max(self.pitch_mm)

    def part(self, which: BoolArray) -> "Print":
        """Some of the cells."""
        return Print(
            points_mm=self.points_mm[which], load=self.load[which], pitch_mm=self.pitch_mm, where=self.where
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Split:
    """Which cells are the left foot's, (N,), and how they were parted.

    `cut_share` is the share of all load in a strip one cell wide along the cut; zero in a free corridor.
    """

    left: BoolArray
    cut_share: float


def split_feet(seen: Print) -> Split:
    """Part touched cells into a left and a right foot.

    Parameters
    ----------
    seen
        All touched cells, lone specks taken off.

    Raises
    ------
    NoFeetError, OneFootError, PartFootError, ThreeObjectsError, FeetMergedError, StanceAcrossError
        When there are not two feet that can be told apart.
    """
    pieces: list[BoolArray] = []
    best: tuple[float, BoolArray] | None = None
    for gap, left in _corridors(seen, _FAN_DEG):
        pieces.append(left)
        if (best is None or gap > best[0]) and _both_feet(seen, left):
            best = (gap, left)
    if best is not None:
        return Split(left=best[1], cut_share=0.0)
    cut = None if like_a_foot(seen.points_mm) else _cut(seen)
    if cut is None:
        raise _why_not_two(seen, pieces)
    return cut


def pick_foot(seen: Print, missing: Side) -> BoolArray:
    """Which touched cells are those of a player's only foot; what else presses may be a stick.

    Raises
    ------
    NoFeetError
        When nothing of a foot's size is there.
    TwoFeetError
        When there are two.
    """
    if like_a_foot(seen.points_mm):
        return np.ones(len(seen.load), bool)
    best: tuple[float, BoolArray] | None = None
    for _, left in _corridors(seen, np.arange(-90.0, 90.0, 5.0)):
        if _both_feet(seen, left):
            raise TwoFeetError(seen.where, missing)
        for side in (left, ~left):
            load = float(seen.load[side].sum())
            if like_a_foot(seen.points_mm[side]) and (best is None or load > best[0]):
                best = (load, side)
    if best is None:
        if _cut(seen) is not None:
            raise TwoFeetError(seen.where, missing)
        raise NoFeetError(seen.where, *_extent_mm(seen.points_mm))
    return best[1]


def like_a_foot(points_mm: FloatArray) -> bool:
    """Whether points (N, 2) span what a foot or a shoe may."""
    length, breadth = _extent_mm(points_mm)
    fits = float(FOOT_LENGTH_MIN_MM) <= length <= float(FOOT_LENGTH_MAX_MM)
    return fits and breadth <= float(FOOT_BREADTH_MAX_MM)


def _both_feet(seen: Print, left: BoolArray) -> bool:
    return like_a_foot(seen.points_mm[left]) and like_a_foot(seen.points_mm[~left])


def _extent_mm(points: FloatArray) -> tuple[float, float]:
    """Length and breadth of a set of points along and across its longest direction."""
    along = _axis(points)
    across = np.array([-along[1], along[0]])
    return float(np.ptp(points @ along)), float(np.ptp(points @ across))


def _axis(points: FloatArray) -> FloatArray:
    """(2,) longest direction of a set of points."""
    centred = points - points.mean(axis=0)
    return np.asarray(np.linalg.eigh(centred.T @ centred)[1][:, 1])


def _direction(angle_deg: float) -> FloatArray:
    angle = np.deg2rad(angle_deg)
    return np.array([np.cos(angle), np.sin(angle)])


def _corridors(seen: Print, fan_deg: FloatArray) -> Iterator[tuple[float, BoolArray]]:
    """The three widest empty corridors of each direction: width, and the cells on the side of smaller x."""
    needed = _CORRIDOR_CELLS * seen.coarse_mm
    for angle in fan_deg:
        along = seen.points_mm @ _direction(angle)
        order = np.argsort(along)
        gaps = np.diff(along[order])
        share = np.cumsum(seen.load[order])[:-1] / seen.load.sum()
        gaps = np.where((share > _SMALLEST_SIDE) & (share < 1.0 - _SMALLEST_SIDE), gaps, 0.0)
        for at in np.argsort(gaps)[-3:]:
            if gaps[at] >= needed:
                yield float(gaps[at]), along <= along[order[at]] + 0.5 * gaps[at]


def _cut(seen: Print) -> Split | None:
    """The line with the least load on it that leaves two feet, None when all carry much or two compete."""
    found = [cut for angle in _CUT_FAN_DEG for cut in _valleys(seen, angle)]
    if not found:
        return None
    about = min(found, key=lambda cut: cut[0])[2]
    found += [cut for more in _CUT_FINE_DEG for cut in _valleys(seen, about + more)]
    least, left, _ = min(found, key=lambda cut: cut[0])
    total = float(seen.load.sum())
    for load, other, _ in found:
        apart = float(seen.load[left ^ other].sum()) / total
        if apart > _RIVAL_APART and load <= _RIVAL * least + _RIVAL_LEAST * float(CUT_LOAD):
            return None
    return Split(left=left, cut_share=least * seen.coarse_mm)


def _valleys(seen: Print, angle_deg: float) -> Iterator[tuple[float, BoolArray, float]]:
    """Valleys of the load across one direction that leave two feet: share of load a mm, left cells, angle."""
    towards = _direction(angle_deg)
    along = seen.points_mm @ towards
    reach = 0.5 * float(np.abs(towards) @ np.array(seen.pitch_mm))
    at = np.arange(along.min() - reach, along.max() + 2.0 * reach, 0.5 * reach)
    behind = _load_behind(along, seen.load, reach, at) / float(seen.load.sum())
    wide = (behind[2:] - behind[:-2]) / reach  # a share a millimetre, over a cell
    middle, share = at[1:-1], behind[1:-1]
    good = (share > _CUT_SMALLEST_SIDE) & (share < 1.0 - _CUT_SMALLEST_SIDE) & (wide <= float(CUT_LOAD))
    lowest = np.r_[False, (wide[1:-1] <= wide[:-2]) & (wide[1:-1] <= wide[2:]), False]
    for k in np.flatnonzero(good & lowest):
        left = along <= middle[k]
        if _two_alike(seen, left):
            yield float(wide[k]), left, angle_deg


def _load_behind(along: FloatArray, load: FloatArray, reach: float, at: FloatArray) -> FloatArray:
    """Load that lies behind each place, each cell's spread evenly over its length."""
    ends = np.concatenate([along - reach, along + reach])
    order = np.argsort(ends)
    ends = ends[order]
    slope = np.cumsum(np.concatenate([load, -load])[order]) / (2.0 * reach)
    behind = np.concatenate([[0.0], np.cumsum(slope[:-1] * np.diff(ends))])
    return np.asarray(np.interp(at, ends, behind))


def _two_alike(seen: Print, left: BoolArray) -> bool:
    """Whether both pieces are slim like feet and about as long as one another."""
    areas = (int(left.sum()), int((~left).sum()))
    if max(areas) > _UNLIKE_AREA * min(areas) or not _both_feet(seen, left):
        return False
    feet = [seen.points_mm[side] for side in (left, ~left)]
    sizes = [_extent_mm(points) for points in feet]
    slim = all(length >= _SLIM * breadth and breadth >= _NARROWEST_MM for length, breadth in sizes)
    lengths = [length for length, _ in sizes]
    ahead = all(abs(_axis(points)[0]) <= _TURNED_MOST for points in feet)
    return slim and ahead and max(lengths) <= _UNLIKE * min(lengths)


def _why_not_two(seen: Print, pieces: list[BoolArray]) -> MeasureError:
    """The error that says what stands there instead of two feet."""
    length, breadth = _extent_mm(seen.points_mm)
    if like_a_foot(seen.points_mm):
        broad = breadth > _ONE_FOOT_MM
        return FeetMergedError(seen.where, seen.pitch_mm[0]) if broad else OneFootError(seen.where)
    if length < float(FOOT_LENGTH_MIN_MM):
        return NoFeetError(seen.where, length, breadth)
    if any(_two_across(seen, across) for _, across in _corridors(seen, 90.0 + _FAN_DEG)):
        return StanceAcrossError(seen.where)
    for left in pieces:
        feet = [like_a_foot(seen.points_mm[side]) for side in (left, ~left)]
        if any(feet):
            return _beside_a_foot(seen, left, left_is_foot=feet[0])
    if not pieces and length <= 2.0 * float(FOOT_LENGTH_MAX_MM):
        return FeetMergedError(seen.where, seen.pitch_mm[0])
    return ThreeObjectsError(seen.where) if len(pieces) > 1 else NoFeetError(seen.where, length, breadth)


def _two_across(seen: Print, near: BoolArray) -> bool:
    """Whether the pieces on either side of a line across the mat are feet that lie along it."""
    sizes = [_extent_mm(seen.points_mm[side]) for side in (near, ~near)]
    return _both_feet(seen, near) and all(size[0] > max(_ACROSS_MM, _SLIM * size[1]) for size in sizes)


def _beside_a_foot(seen: Print, left: BoolArray, *, left_is_foot: bool) -> MeasureError:
    """One piece is a foot: what the other one is."""
    other = seen.part(~left if left_is_foot else left)
    length = _extent_mm(other.points_mm)[0]
    if length < float(FOOT_LENGTH_MIN_MM):
        share = 100.0 * float(other.load.sum() / seen.load.sum())
        return PartFootError(seen.where, "right" if left_is_foot else "left", length, share)
    needed = _CORRIDOR_CELLS * seen.coarse_mm
    for angle in np.arange(0.0, 180.0, 5.0):
        if np.diff(np.sort(other.points_mm @ _direction(angle))).max() >= needed:
            return ThreeObjectsError(seen.where)
    return FeetMergedError(seen.where, seen.pitch_mm[0])
