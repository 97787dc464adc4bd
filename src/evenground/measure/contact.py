"""Where feet touch the mat: noise floor off, contact found, cells shared out to feet, or refused.

`feet_split` parts the feet; here the contact is found, specks and things that belong to no foot are told
from it, and each foot gets the cells around its contact.
"""

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from evenground.errors import MeasureError
from evenground.floor import Side, other_side
from evenground.measure.feet_split import (
    BoolArray,
    FeetMergedError,
    NoFeetError,
    OneFootError,
    PartFootError,
    Print,
    StanceAcrossError,
    ThreeObjectsError,
    TwoFeetError,
    pick_foot,
    split_feet,
)
from evenground.measure.ground_constants import CONTACT_SHARE, FOOT_LENGTH_MIN_MM
from evenground.measure.noise import CellNoise, floor_map, unloaded_noise
from evenground.measure.recording import FloatArray, MatRecording

__all__ = [
    "BoolArray",
    "Contact",
    "EmptyMatError",
    "FeetMergedError",
    "FootArea",
    "LoneContact",
    "NoFeetError",
    "OneFootError",
    "PartFootError",
    "Pressed",
    "StanceAcrossError",
    "ThreeObjectsError",
    "TwoFeetError",
    "cell_positions_mm",
    "find_contact",
    "find_lone_contact",
    "pressed",
]

_EMPTY_KPA = 3.0  # a standing adult's feet press with 20 kPa and more on average
_EMPTY_LIKENESS = 0.35  # correlation of neighbouring cells: about 0 for noise, 0.7 and more for feet
_SMOOTH_MM = 15.0
_KEEP_AWAY_MM = 30.0  # cells nearer than this to contact may carry load: not used for the noise
_REGION_MM = 8.0  # load is summed this far beyond the contact, for edges below its threshold
_SPREADS = 5.0  # contact stands out of the noise of the map by so many SD
_LONE_SHARE, _LONE_MM = 0.003, 40.0
_ARCH = (0.3, 0.65)  # where along a foot the middle of a gap may lie
_ACROSS_GAP_MM, _ALONG_GAP_MM, _ARCH_GAP_MM = 15.0, 30.0, 130.0
_MAIN_PART = 0.1  # of a foot's load: pieces of contact that are a foot's heel, ball or whole
_BESIDE_MM = 6.0  # a piece whose middle lies so far outside the main ones is no toe


class EmptyMatError(MeasureError):
    """Nothing stands on the mat."""

    do = "Start the recording once the player stands still, and check that the mat is switched on."

    def __init__(self, where: str) -> None:
        super().__init__(where)
        self.where = where
        self.what = "Nothing stands on the mat."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FootArea:
    """Cells of one foot; arrays (R * C,).

    `touched` cells show contact; `region` adds the cells around them whose load is summed with the foot's.
    """

    touched: BoolArray
    region: BoolArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pressed:
    """The mean map without its floor and the cells that show contact; maps are (R, C), in the cells' unit.

    `stray_share` is the share of the load in specks that were left out.
    """

    load: FloatArray
    floor: FloatArray
    noise: CellNoise
    touched: BoolArray
    background_cells: int
    stray_share: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Contact:
    """The mean map without its floor and the two feet on it; arrays (R * C,), in the unit of the cells.

    `cut_share` is the share of the load in a strip one cell wide between touching feet, else zero.
    """

    load: FloatArray
    floor: FloatArray
    noise: CellNoise
    left: FootArea
    right: FootArea
    background_cells: int
    stray_share: float
    cut_share: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LoneContact:
    """The mean map without its floor and the only foot on it; arrays as in `Contact`.

    `other_share` is the share of the load that rests on something else: a stick, a crutch.
    """

    load: FloatArray
    floor: FloatArray
    noise: CellNoise
    foot: FootArea
    background_cells: int
    stray_share: float
    other_share: float


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
    EmptyMatError, NoFeetError, OneFootError, PartFootError, ThreeObjectsError
        When there are not two feet and nothing else.
    FeetMergedError, StanceAcrossError
        When there are not two feet that can be told apart.
    """
    seen = pressed(recording, mean_map)
    split = split_feet(_print(recording, seen, seen.touched))
    sides = [np.zeros(seen.touched.shape, bool) for _ in range(2)]
    for side, which in zip(sides, (split.left, ~split.left), strict=True):
        side[seen.touched] = which
    kept = [_without_extras(recording, seen, side, name) for side, name in zip(sides, _SIDES, strict=True)]
    areas = _regions(recording, kept)
    dropped = sum(float(seen.load[side & ~own].sum()) for side, own in zip(sides, kept, strict=True))
    return Contact(
        load=seen.load.ravel(),
        floor=seen.floor.ravel(),
        noise=seen.noise,
        left=areas[0],
        right=areas[1],
        background_cells=seen.background_cells,
        stray_share=seen.stray_share + dropped / float(seen.load[seen.touched].sum()),
        cut_share=split.cut_share,
    )


def find_lone_contact(recording: MatRecording, mean_map: FloatArray, missing: Side) -> LoneContact:
    """Take the noise floor off the mean map and find the only foot of a player who has lost the other.

    Parameters
    ----------
    recording
        Where the map comes from.
    mean_map
        (R, C) mean over the frames.
    missing
        The foot that is not there.

    Raises
    ------
    EmptyMatError, NoFeetError, TwoFeetError, ThreeObjectsError
        When there is not one foot.
    """
    seen = pressed(recording, mean_map)
    own = np.zeros(seen.touched.shape, bool)
    own[seen.touched] = pick_foot(_print(recording, seen, seen.touched), missing)
    kept = _without_extras(recording, seen, own, other_side(missing))
    other = float(seen.load[seen.touched & ~kept].sum() / seen.load[seen.touched].sum())
    return LoneContact(
        load=seen.load.ravel(),
        floor=seen.floor.ravel(),
        noise=seen.noise,
        foot=_regions(recording, [kept])[0],
        background_cells=seen.background_cells,
        stray_share=seen.stray_share,
        other_share=other,
    )


def pressed(recording: MatRecording, mean_map: FloatArray) -> Pressed:
    """Take the noise floor off the mean map and find what touches the mat, whatever it is.

    Raises
    ------
    EmptyMatError
        When nothing does.
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
    kept, stray = _without_lone(recording, load, touched)
    return Pressed(
        load=load,
        floor=floor,
        noise=noise,
        touched=kept,
        background_cells=int(unloaded.sum()),
        stray_share=stray,
    )


def _print(recording: MatRecording, seen: Pressed, which: BoolArray) -> Print:
    return Print(
        points_mm=cell_positions_mm(recording)[which.ravel()],
        load=seen.load[which],
        pitch_mm=(recording.pitch_x_mm, recording.pitch_y_mm),
        where=recording.name,
    )


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


_SIDES: tuple[Side, Side] = ("left", "right")


def _without_extras(recording: MatRecording, seen: Pressed, side: BoolArray, name: Side) -> BoolArray:
    """A foot's cells (R, C) without pieces that lie where a foot has no part; refused when they weigh.

    A piece behind what is too short for a foot is its heel, hardly down or at the mat's edge.
    """
    labels, count = ndimage.label(side, np.ones((3, 3)))
    own = _print(recording, seen, side)
    at = labels[side]
    total = float(own.load.sum())
    shares = [float(own.load[at == k].sum()) / total for k in range(1, count + 1)]
    main = np.isin(at, [k for k, share in enumerate(shares, 1) if share >= _MAIN_PART])
    placed = _along_and_across(own)
    low, high = (end(placed[main], axis=0) for end in (np.min, np.max))
    extra = []
    for k, share in enumerate(shares, 1):
        along, across = placed[at == k].mean(axis=0)
        beside = not low[1] - _BESIDE_MM <= across <= high[1] + _BESIDE_MM
        length = float(high[0] - low[0])
        if beside and share < _LONE_SHARE:
            extra.append(k)
        elif beside and share < _MAIN_PART:
            raise ThreeObjectsError(recording.name)
        elif _LONE_SHARE <= share < _MAIN_PART and along < low[0] and length < float(FOOT_LENGTH_MIN_MM):
            weight = 100.0 * total / float(seen.load[seen.touched].sum())
            raise PartFootError(recording.name, name, length, weight)
    kept = side & ~np.isin(labels, extra)
    _refuse_gaps(_print(recording, seen, kept))
    return kept


def _along_and_across(own: Print) -> FloatArray:
    """(N, 2) places along the foot, toes ahead, and across it, from its centre of load."""
    centred = own.points_mm - np.average(own.points_mm, axis=0, weights=own.load)
    _, directions = np.linalg.eigh(centred.T @ centred)
    placed = centred @ directions[:, ::-1]
    placed[:, 0] *= 1.0 if directions[1, 1] > 0.0 else -1.0
    return np.asarray(placed)


def _refuse_gaps(own: Print) -> None:
    """A club head or ball beside or in front of a foot leaves a gap where a foot has none."""
    along, across = (np.sort(values) for values in _along_and_across(own).T)
    if np.diff(across).max() > _ACROSS_GAP_MM + own.coarse_mm:
        raise ThreeObjectsError(own.where)
    gaps, middles = np.diff(along), 0.5 * (along[1:] + along[:-1])
    place = (middles - along[0]) / np.ptp(along)
    arch = (place > _ARCH[0]) & (place < _ARCH[1])
    if np.any(gaps[~arch] > _ALONG_GAP_MM + own.coarse_mm) or np.any(gaps[arch] > _ARCH_GAP_MM):
        raise ThreeObjectsError(own.where)


def _regions(recording: MatRecording, feet: list[BoolArray]) -> list[FootArea]:
    """Feet with the cells around them; a cell near two belongs to the nearer."""
    sampling = (recording.pitch_y_mm, recording.pitch_x_mm)
    away = [ndimage.distance_transform_edt(~foot, sampling=sampling) for foot in feet]
    reach = max(_REGION_MM, 1.01 * max(sampling))
    return [
        FootArea(touched=foot.ravel(), region=((own <= reach) & (own <= np.min(away, axis=0))).ravel())
        for foot, own in zip(feet, away, strict=True)
    ]
