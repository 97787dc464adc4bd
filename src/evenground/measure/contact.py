"""Where two feet touch the mat: noise floor off, contact found, cells shared out to two feet, or refused.

A free line parts the feet: over a fan of directions near straight ahead, the widest empty corridor is
looked for that leaves something like a foot on either side. Parts of one foot (heel and forefoot of a shoe,
toes) stay together because no corridor near straight ahead leaves two foot-like pieces between them::

      oo    |    oo        corridor: no touched cell between the two dashes
     (  )   |   (  )       the parts on one side are one foot, however many
      ()    |    ()
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import ndimage

from evenground.errors import MeasureError
from evenground.measure.ground_constants import (
    CONTACT_SHARE,
    FOOT_BREADTH_MAX_MM,
    FOOT_LENGTH_MAX_MM,
    FOOT_LENGTH_MIN_MM,
)
from evenground.measure.noise import CellNoise, floor_map, unloaded_noise
from evenground.measure.recording import FloatArray, MatRecording

__all__ = [
    "BoolArray",
    "Contact",
    "EmptyMatError",
    "FeetMergedError",
    "FootArea",
    "NoFeetError",
    "OneFootError",
    "ThreeObjectsError",
    "cell_positions_mm",
    "find_contact",
]

BoolArray = npt.NDArray[np.bool_]

_EMPTY_KPA = 3.0  # a standing adult's feet press with 20 kPa and more on average
_EMPTY_LIKENESS = 0.35  # correlation of neighbouring cells: about 0 for noise, 0.7 and more for feet
_SMOOTH_MM = 15.0
_KEEP_AWAY_MM = 30.0  # cells nearer than this to contact may carry load: not used for the noise
_REGION_MM = 8.0  # load is summed this far beyond the contact, for edges below its threshold
_SPREADS = 5.0  # contact stands out of the noise of the map by so many SD
_FAN_DEG = np.arange(-40.0, 41.0, 2.0)
_SMALLEST_SIDE = 0.05  # share of all touched load
_LONE_SHARE, _LONE_MM = 0.003, 40.0
_ARCH = (0.3, 0.65)  # where along a foot the middle of a gap may lie
_ACROSS_GAP_MM, _ALONG_GAP_MM, _ARCH_GAP_MM = 15.0, 30.0, 130.0


class EmptyMatError(MeasureError):
    """Nothing stands on the mat."""

    do = "Start the recording once the player stands still, and check that the mat is switched on."

    def __init__(self, where: str) -> None:
        super().__init__(where)
        self.where = where
        self.what = "Nothing stands on the mat."


class NoFeetError(MeasureError):
    """Something presses on the mat, but nothing of a foot's size."""

    do = "Record with both feet on the mat and nothing else on it."

    def __init__(self, where: str, length_mm: float, breadth_mm: float) -> None:
        super().__init__(where, length_mm, breadth_mm)
        self.where = where
        self.what = f"What presses on the mat spans {length_mm:.0f} by {breadth_mm:.0f} mm, which is no foot."


class OneFootError(MeasureError):
    """One foot on the mat."""

    do = "Stand with both feet wholly on the mat; a foot off its edge cannot be weighed."

    def __init__(self, where: str) -> None:
        super().__init__(where)
        self.where = where
        self.what = "Only one foot is on the mat."


class ThreeObjectsError(MeasureError):
    """More than two feet on the mat."""

    do = "Take club, ball, bag and helper off the mat, and record again."

    def __init__(self, where: str) -> None:
        super().__init__(where)
        self.where = where
        self.what = "Something besides two feet presses on the mat."


class FeetMergedError(MeasureError):
    """The feet touch or stand so near that no free column lies between them."""

    do = "Stand a little wider, at least two cells between the shoes, or record on a mat with finer cells."

    def __init__(self, where: str, pitch_mm: float) -> None:
        super().__init__(where, pitch_mm)
        self.where = where
        self.what = f"The feet run into one another on this mat ({pitch_mm:.1f} mm cells)."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FootArea:
    """Cells of one foot; arrays (R * C,).

    `touched` cells show contact; `region` adds the cells around them whose load is summed with the foot's.
    """

    touched: BoolArray
    region: BoolArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Contact:
    """The mean map without its floor and the two feet on it; arrays (R * C,), in the unit of the cells."""

    load: FloatArray
    floor: FloatArray
    noise: CellNoise
    left: FootArea
    right: FootArea
    background_cells: int
    stray_share: float


def cell_positions_mm(recording: MatRecording) -> FloatArray:
    """Centres of all cells, (R * C, 2), x to the player's right and y ahead, from the mat's corner."""
    _, rows, columns = recording.shape
    x = (np.arange(columns) + 0.5) * recording.pitch_x_mm
    y = (np.arange(rows) + 0.5) * recording.pitch_y_mm
    flat = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    turn = np.deg2rad(recording.turned_deg)
    return np.asarray(flat @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]))


def find_contact(recording: MatRecording, mean_map: FloatArray) -> Contact:
    """Take the noise floor off the mean map and find the two feet.

    Parameters
    ----------
    recording
        Where the map comes from.
    mean_map
        (R, C) mean over the frames.

    Raises
    ------
    EmptyMatError, NoFeetError, OneFootError, ThreeObjectsError, FeetMergedError
        When there are not two feet that stand apart.
    """
    smooth = _smoothing(recording)
    rough = ndimage.uniform_filter(mean_map.astype(np.float64), tuple(max(n, 3) for n in smooth))
    _refuse_empty(recording, mean_map)
    unloaded = _unloaded(recording, rough)
    noise = _noise(recording, unloaded)
    steady = len(recording.cells) >= 36 or noise.sd == 0.0
    seen = mean_map if steady else ndimage.uniform_filter(mean_map.astype(np.float64), 3)
    floor = floor_map(seen.astype(np.float64), noise)
    touched = _touched(mean_map - floor, smooth, unloaded, noise.sd / len(recording.cells) ** 0.5)
    if (
        not steady
    ):  # averaging over neighbours smears a foot into the cells beside it, which have the whole floor
        floor = np.where(touched, floor, noise.floor)
    load = mean_map - floor
    return _share_out(recording, load, floor, noise, touched, int(unloaded.sum()))


def _smoothing(recording: MatRecording) -> tuple[int, int]:
    """Cells to average over, odd, about 15 mm."""
    y, x = (max(int(_SMOOTH_MM / p), 1) for p in (recording.pitch_y_mm, recording.pitch_x_mm))
    return y - (y % 2 == 0), x - (x % 2 == 0)


def _refuse_empty(recording: MatRecording, mean_map: FloatArray) -> None:
    """Noise, however strong, does not look alike in neighbouring cells; whatever stands there does."""
    above = float(mean_map.max() - np.median(mean_map))
    weak = above < _EMPTY_KPA if recording.unit == "kPa" else above <= 0.0
    if weak or _likeness(mean_map) < _EMPTY_LIKENESS:
        raise EmptyMatError(recording.name)


def _likeness(grid: FloatArray) -> float:
    """Correlation of a map with itself one cell further, the mean of both directions."""
    centred = grid.astype(np.float64) - grid.mean()
    power = float(np.mean(centred**2))
    if power == 0.0:
        return 0.0
    across = float(np.mean(centred[:, 1:] * centred[:, :-1])) if grid.shape[1] > 1 else 0.0
    along = float(np.mean(centred[1:] * centred[:-1])) if grid.shape[0] > 1 else 0.0
    return 0.5 * (across + along) / power


def _unloaded(recording: MatRecording, rough: FloatArray) -> BoolArray:
    """Cells (R, C) well away from everything that presses."""
    middle = float(np.median(rough))
    spread = 1.4826 * float(np.median(np.abs(rough - middle)))
    high = rough - middle > max(float(CONTACT_SHARE) * (rough.max() - middle), _SPREADS * spread)
    apart = ndimage.distance_transform_edt(~high, sampling=(recording.pitch_y_mm, recording.pitch_x_mm))
    return np.asarray(apart > _KEEP_AWAY_MM)


def _noise(recording: MatRecording, unloaded: BoolArray) -> CellNoise:
    if unloaded.sum() < 20:
        return CellNoise(offset=0.0, sd=0.0)
    every = max(len(recording.cells) // 100, 1)  # a hundred frames say enough about the noise
    return unloaded_noise(recording.cells[::every, unloaded])


def _touched(load: FloatArray, smooth: tuple[int, int], unloaded: BoolArray, noise_sd: float) -> BoolArray:
    """Cells (R, C) that stand out of the noise; `noise_sd` is that of one cell of the map.

    The spread of the unloaded cells also holds what differs from cell to cell all the time; the SD says how
    far a noise cut at zero reaches up.
    """
    smoothed = ndimage.uniform_filter(load, smooth)
    cut = float(CONTACT_SHARE) * float(smoothed.max())
    seen = [float(m[unloaded].std()) if unloaded.sum() >= 20 else 0.0 for m in (smoothed, load)]
    near = smoothed > max(cut, _SPREADS * max(seen[0], noise_sd / (smooth[0] * smooth[1]) ** 0.5))
    return np.asarray(near & (load > max(cut, 3.0 * max(seen[1], noise_sd))))


def _share_out(
    recording: MatRecording,
    load: FloatArray,
    floor: FloatArray,
    noise: CellNoise,
    touched: BoolArray,
    background_cells: int,
) -> Contact:
    kept, stray = _without_lone(recording, load, touched)
    where = np.flatnonzero(kept)
    points, weights = cell_positions_mm(recording)[where], load.ravel()[where]
    left = _split(recording, points, weights)
    sides = (where[left], where[~left])
    for cells in sides:
        _refuse_extra(recording, points=cell_positions_mm(recording)[cells], weights=load.ravel()[cells])
    areas = _regions(recording, kept.shape, sides)
    return Contact(
        load=load.ravel(),
        floor=floor.ravel(),
        noise=noise,
        left=areas[0],
        right=areas[1],
        background_cells=background_cells,
        stray_share=stray,
    )


def _without_lone(recording: MatRecording, load: FloatArray, touched: BoolArray) -> tuple[BoolArray, float]:
    """Drop specks of next to no load that lie far from the rest; also give their share of the load."""
    labels, count = ndimage.label(touched, np.ones((3, 3)))
    if count == 0:
        raise EmptyMatError(recording.name)
    shares = ndimage.sum_labels(load, labels, np.arange(1, count + 1)) / load[touched].sum()
    large = np.isin(labels, 1 + np.flatnonzero(shares >= _LONE_SHARE))
    sampling = (recording.pitch_y_mm, recording.pitch_x_mm)
    near = ndimage.distance_transform_edt(~large, sampling=sampling) <= _LONE_MM
    beside = np.isin(labels, np.unique(labels[near & touched]))
    kept = touched & (large | beside)
    return kept, float(load[touched & ~kept].sum() / load[touched].sum())


def _extent_mm(points: FloatArray) -> tuple[float, float]:
    """Length and breadth of a set of points along and across its longest direction."""
    centred = points - points.mean(axis=0)
    _, directions = np.linalg.eigh(centred.T @ centred)
    across, along = np.ptp(centred @ directions, axis=0)
    return float(along), float(across)


def _like_a_foot(points: FloatArray) -> bool:
    length, breadth = _extent_mm(points)
    fits = float(FOOT_LENGTH_MIN_MM) <= length <= float(FOOT_LENGTH_MAX_MM)
    return fits and breadth <= float(FOOT_BREADTH_MAX_MM)


def _split(recording: MatRecording, points: FloatArray, weights: FloatArray) -> BoolArray:
    """Which points are the left foot's."""
    best: tuple[float, BoolArray] | None = None
    pieces: list[BoolArray] = []
    needed = 1.6 * max(recording.pitch_x_mm, recording.pitch_y_mm)
    for angle in np.deg2rad(_FAN_DEG):
        along = points @ np.array([np.cos(angle), np.sin(angle)])
        order = np.argsort(along)
        gaps = np.diff(along[order])
        share = np.cumsum(weights[order])[:-1] / weights.sum()
        gaps = np.where((share > _SMALLEST_SIDE) & (share < 1.0 - _SMALLEST_SIDE), gaps, 0.0)
        for at in np.argsort(gaps)[-3:]:
            if gaps[at] < needed:
                continue
            left = along <= along[order[at]] + 0.5 * gaps[at]
            pieces.append(left)
            wider = best is None or gaps[at] > best[0]
            if wider and _like_a_foot(points[left]) and _like_a_foot(points[~left]):
                best = (float(gaps[at]), left)
    if best is None:
        raise _why_not_two(recording, points, pieces)
    return best[1]


def _why_not_two(recording: MatRecording, points: FloatArray, pieces: list[BoolArray]) -> MeasureError:
    """The error that says what stands there instead of two feet."""
    if _like_a_foot(points):
        return OneFootError(recording.name)
    length, breadth = _extent_mm(points)
    if length < float(FOOT_LENGTH_MIN_MM):
        return NoFeetError(recording.name, length, breadth)
    for left in pieces:
        feet = [_like_a_foot(points[side]) for side in (left, ~left)]
        if any(feet):
            other = points[~left if feet[0] else left]
            small = _extent_mm(other)[0] < float(FOOT_LENGTH_MIN_MM)
            return OneFootError(recording.name) if small else _too_large(recording, other)
    if not pieces and length <= 2.0 * float(FOOT_LENGTH_MAX_MM):
        return FeetMergedError(recording.name, recording.pitch_x_mm)
    return (
        ThreeObjectsError(recording.name) if len(pieces) > 1 else NoFeetError(recording.name, length, breadth)
    )


def _too_large(recording: MatRecording, points: FloatArray) -> MeasureError:
    """One piece is a foot, the other larger than one: a third thing if it falls apart, else run together."""
    needed = 1.6 * max(recording.pitch_x_mm, recording.pitch_y_mm)
    for angle in np.deg2rad(np.arange(0.0, 180.0, 5.0)):
        if np.diff(np.sort(points @ np.array([np.cos(angle), np.sin(angle)]))).max() >= needed:
            return ThreeObjectsError(recording.name)
    return FeetMergedError(recording.name, recording.pitch_x_mm)


def _refuse_extra(recording: MatRecording, points: FloatArray, weights: FloatArray) -> None:
    """A club head or ball beside or in front of a foot leaves a gap where a foot has none."""
    centred = points - np.average(points, axis=0, weights=weights)
    _, directions = np.linalg.eigh(centred.T @ centred)
    pitch = max(recording.pitch_x_mm, recording.pitch_y_mm)
    across, along = (np.sort(centred @ d) for d in directions.T)
    if np.diff(across).max() > _ACROSS_GAP_MM + pitch:
        raise ThreeObjectsError(recording.name)
    gaps, middles = np.diff(along), 0.5 * (along[1:] + along[:-1])
    place = (middles - along[0]) / np.ptp(along)
    arch = (place > _ARCH[0]) & (place < _ARCH[1])
    if np.any(gaps[~arch] > _ALONG_GAP_MM + pitch) or np.any(gaps[arch] > _ARCH_GAP_MM):
        raise ThreeObjectsError(recording.name)


def _regions(
    recording: MatRecording, shape: tuple[int, ...], sides: tuple[npt.NDArray[np.intp], ...]
) -> list[FootArea]:
    """Both feet with the cells around them; a cell near both belongs to the nearer."""
    sampling = (recording.pitch_y_mm, recording.pitch_x_mm)
    masks = []
    for cells in sides:
        mask = np.zeros(shape, bool)
        mask.flat[cells] = True
        masks.append(mask)
    away = [ndimage.distance_transform_edt(~m, sampling=sampling) for m in masks]
    reach = max(_REGION_MM, 1.01 * max(sampling))
    return [
        FootArea(touched=masks[i].ravel(), region=((away[i] <= reach) & (away[i] < away[1 - i])).ravel())
        for i in (0, 1)
    ]
