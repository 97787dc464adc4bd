"""A mat checked by what stands on it: nobody, a dead weight, known weights in several places.

Arrays run time first, then rows (from the heels), then columns (from the player's left).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import ndimage

from evenground.errors import MeasureError
from evenground.instruments import Cell, DeadWeight, EmptyMat, KnownWeight
from evenground.measure.autocorrelation import means_of_series
from evenground.measure.contact import cell_positions_mm
from evenground.measure.ground_constants import CONTACT_SHARE, STANDARD_GRAVITY
from evenground.measure.instrument_cells import fill_cells
from evenground.measure.noise import CellNoise, floor_map, unloaded_noise
from evenground.measure.recording import FloatArray, MatRecording
from evenground.measure.sums import frame_sums, mean_map
from evenground.measure.sway import sway

__all__ = [
    "NoWeightError",
    "OccupiedMatError",
    "PlacedWeight",
    "TooShortForCheckError",
    "measure_dead_weight",
    "measure_empty_mat",
    "measure_known_weights",
]

_SHORTEST_S = {"empty mat": 5.0, "dead weight": 10.0, "known weight": 1.0}
_MIN_FRAMES = {"empty mat": 20, "dead weight": 64, "known weight": 8}
_OUTLYING = 8.0  # robust SD from which a cell is not like the others
_NOISY_TIMES = 5.0
_STILL_SHARE = 0.05  # a cell with less than this of the others' noise does not answer
_DRIFT_SE = 6.0
_LINE_SHARE = 0.8
_KEEP_AWAY_MM = 30.0
_REGION_MM = 12.0
_SMOOTH_MM = 15.0
_OCCUPIED_KPA = 3.0
_SILENT_SHARE = 0.05
_SPECK = 0.05


class TooShortForCheckError(MeasureError):
    """A recording too short for what the check wants to see."""

    def __init__(self, where: str, step: str, duration_s: float, frames: int) -> None:
        super().__init__(where, step, duration_s, frames)
        self.where = where
        self.what = f"{frames} frames in {duration_s:.1f} s are too few for the {step} check."
        shortest, least = _SHORTEST_S.get(step, 30.0), _MIN_FRAMES.get(step, 64)
        self.do = f"Record at least {shortest:.0f} s and {least} frames; 30 s is usual."


class OccupiedMatError(MeasureError):
    """Something stands on a mat that should be empty."""

    do = "Take everything off the mat, wait ten seconds, and record again."

    def __init__(self, where: str) -> None:
        super().__init__(where)
        self.where, self.what = where, "Something stands on the mat."


class NoWeightError(MeasureError):
    """No weight is seen on the mat."""

    do = "Stand the weight wholly on the mat, wait ten seconds, and record again."

    def __init__(self, where: str) -> None:
        super().__init__(where)
        self.where, self.what = where, "No weight stands out of the mat's noise."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlacedWeight:
    """One recording of a weight that does not move, and its true mass.

    `bad` cells, those that an empty mat showed, are filled first: a stuck one reads as a weight.
    """

    recording: MatRecording
    mass_kg: float
    bad: tuple[Cell, ...] = ()


def measure_empty_mat(recording: MatRecording) -> EmptyMat:
    """What the cells of an empty mat add, and which of them cannot be believed.

    Raises
    ------
    TooShortForCheckError
        Under 5 s or 20 frames.
    OccupiedMatError
        When something stands there.

    Notes
    -----
    A cell is *stuck* when it does not vary and reads 8 robust SD from the others, *dead* when it does not
    vary and reads nothing while the others vary, *noisy* at 5 times the median SD, *drifting* when a
    straight line through its readings rises or falls by 6 of its own standard errors and by more than one
    SD. Limits are ours. Clipping at zero halves the noise of a cell: SD and offset are those behind it
    (`noise.unloaded_noise`).
    """
    _long_enough(recording, "empty mat")
    cells = recording.cells.astype(np.float64, copy=False)
    mean, spread = cells.mean(axis=0), cells.std(axis=0)
    _refuse_occupied(recording, mean)
    typical = float(np.median(spread))
    rise, rise_se = _rise(cells)
    still = spread <= _STILL_SHARE * typical
    away = np.abs(mean - np.median(mean)) > _OUTLYING * _robust_sd(mean)
    stuck = still & away & (mean > 0.0)
    dead = still & (mean == 0.0) & (typical > 0.0)
    noisy = (spread > _NOISY_TIMES * typical) & (spread > 0.0) & ~stuck if typical > 0.0 else spread > 0.0
    drifting = (np.abs(rise) > _DRIFT_SE * rise_se) & (np.abs(rise) > spread) & ~stuck & ~dead
    noisy &= ~drifting
    bad = stuck | dead | noisy | drifting
    noise = unloaded_noise(cells[:, ~bad]) if (~bad).any() else CellNoise(offset=0.0, sd=0.0)
    duration = float(recording.duration_s or 0.0)
    good_rise = float(rise[~bad].mean()) if (~bad).any() else 0.0
    return EmptyMat(
        rows=recording.shape[1],
        columns=recording.shape[2],
        unit=recording.unit,
        duration_s=duration,
        noise=noise.sd,
        offset=noise.offset,
        drift_per_min=good_rise * 60.0 / duration,
        shows_noise=typical > 0.0,
        dead=_listed(dead),
        stuck=_listed(stuck),
        noisy=_listed(noisy),
        drifting=_listed(drifting),
        bad_rows=tuple(np.flatnonzero(bad.mean(axis=1) > _LINE_SHARE).tolist()),
        bad_columns=tuple(np.flatnonzero(bad.mean(axis=0) > _LINE_SHARE).tolist()),
    )


def _long_enough(recording: MatRecording, step: str) -> None:
    duration, frames = recording.duration_s or 0.0, len(recording.cells)
    if duration < _SHORTEST_S[step] or frames < _MIN_FRAMES[step]:
        raise TooShortForCheckError(recording.name, step, duration, frames)


def _refuse_occupied(recording: MatRecording, mean: FloatArray) -> None:
    """A median over 5 x 5 cells leaves neither single cells nor lines, only what has a breadth."""
    broad = ndimage.median_filter(mean, 5)
    above = float(broad.max() - np.median(mean))
    least = _OCCUPIED_KPA if recording.unit == "kPa" else _OUTLYING * _robust_sd(mean)
    if above > max(least, _OUTLYING * _robust_sd(broad)):
        raise OccupiedMatError(recording.name)


def _robust_sd(values: FloatArray) -> float:
    return 1.4826 * float(np.median(np.abs(values - np.median(values))))


def _rise(cells: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Rise of a straight line from the first frame to the last, and its standard error, (R, C) each."""
    frames = len(cells)
    t = np.linspace(-0.5, 0.5, frames)
    rise = np.tensordot(t, cells, axes=(0, 0)) / (t @ t)
    rest = cells - cells.mean(axis=0) - t[:, None, None] * rise
    return rise, np.sqrt((rest**2).sum(axis=0) / max(frames - 2, 1) / (t @ t))


def _listed(mask: npt.NDArray[np.bool_]) -> tuple[Cell, ...]:
    return tuple((int(r), int(c)) for r, c in np.argwhere(mask))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Seen:
    """A weight on the mat frame by frame: sum of the readings (T,), CoP (T, 2), the map and its region."""

    total: FloatArray
    cop_mm: FloatArray
    load: FloatArray
    region: npt.NDArray[np.bool_]


def _seen(placed: PlacedWeight) -> _Seen:
    """Find the one thing that stands on the mat, in however many pieces of some size."""
    recording = fill_cells(placed.recording, placed.bad).recording
    grid = mean_map(recording.cells)
    sampling = (recording.pitch_y_mm, recording.pitch_x_mm)
    size = [2 * round(0.5 * _SMOOTH_MM / p) + 1 for p in sampling]
    smooth = ndimage.uniform_filter(grid, size)
    middle = float(np.median(smooth))
    high = smooth - middle > max(
        float(CONTACT_SHARE) * (smooth.max() - middle), _OUTLYING * _robust_sd(smooth)
    )
    if not high.any() or smooth.max() - middle <= _OUTLYING * _robust_sd(grid):
        raise NoWeightError(recording.name)
    high = _without_specks(grid - middle, high)
    away = ndimage.distance_transform_edt(~high, sampling=sampling)
    unloaded = np.asarray(away > _KEEP_AWAY_MM)
    region = np.asarray(away <= _REGION_MM)
    every = max(len(recording.cells) // 100, 1)
    enough = unloaded.sum() >= 20
    noise = unloaded_noise(recording.cells[::every, unloaded]) if enough else CellNoise(offset=0.0, sd=0.0)
    floor = np.where(high, floor_map(grid, noise), np.minimum(grid, noise.floor))
    weight = region.ravel().astype(np.float64)
    positions = cell_positions_mm(recording)
    columns = np.column_stack([weight, weight * positions[:, 0], weight * positions[:, 1]])
    sums = frame_sums(recording.cells, columns) - floor.ravel() @ columns
    if not np.all(sums[:, 0] > 0.0):
        raise NoWeightError(recording.name)
    return _Seen(total=sums[:, 0], cop_mm=sums[:, 1:] / sums[:, :1], load=grid - floor, region=region)


def _without_specks(load: FloatArray, high: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    """Pieces with a twentieth of the load or more: a weight stands on few feet, a stuck cell on none."""
    labels, count = ndimage.label(high, np.ones((3, 3)))
    loads = ndimage.sum_labels(load, labels, np.arange(1, count + 1))
    return np.asarray(np.isin(labels, 1 + np.flatnonzero(loads >= _SPECK * loads.sum())))


def measure_dead_weight(placed: PlacedWeight) -> DeadWeight:
    """What a mat makes of a weight that does not move: its floor of path, velocity and area.

    Parameters
    ----------
    placed
        A weight of 20 kg or more, wholly on the mat, about 30 s.

    Raises
    ------
    TooShortForCheckError
        Under 10 s or 64 frames.
    NoWeightError
        When nothing stands out of the noise.

    Notes
    -----
    Sway figures as in `sway.sway`: whatever they are for a dead weight is the mat's (check values 1.4).
    """
    recording = placed.recording
    _long_enough(recording, "dead weight")
    seen = _seen(placed)
    rate = float(recording.rate_hz or 0.0)
    figures = sway(seen.cop_mm, rate, where=recording.name)
    fifth = max(len(seen.total) // 5, 1)
    first, last = seen.cop_mm[:fifth].mean(axis=0), seen.cop_mm[-fifth:].mean(axis=0)
    crept = float(seen.total[-fifth:].mean() / seen.total[:fifth].mean() - 1.0)
    reads = float(seen.total.mean()) * recording.cell_area_mm2 / 1000.0
    return DeadWeight(
        mass_kg=placed.mass_kg,
        duration_s=float(recording.duration_s or 0.0),
        rate_hz=rate,
        path_mm=figures.path_mm.value,
        velocity_mm_s=figures.mean_velocity_mm_s.value,
        ellipse95_mm2=figures.ellipse95_mm2.value,
        crept_mm=float(np.hypot(*(last - first))),
        crept_percent=100.0 * crept,
        reads_n=reads if recording.unit == "kPa" else None,
    )


def measure_known_weights(placed: Sequence[PlacedWeight]) -> KnownWeight:
    """What a mat makes of known weights in several places.

    Parameters
    ----------
    placed
        One recording a place, at least one; nine, three by three, show a gain that changes over the mat, and
        two masses in one place whether it changes with the load.

    Raises
    ------
    TooShortForCheckError, NoWeightError
        As above, for a single recording 1 s and 8 frames.
    """
    x, y, raw, error = [], [], [], []
    silent: dict[Cell, None] = {}
    for one in placed:
        recording = one.recording
        _long_enough(recording, "known weight")
        seen = _seen(one)
        said = means_of_series(seen.total[:, None], float(recording.rate_hz or 0.0))
        newtons = one.mass_kg * float(STANDARD_GRAVITY)
        unit = recording.cell_area_mm2 / 1000.0 if recording.unit == "kPa" else 1.0
        raw.append(float(said.value[0]) * unit / newtons)
        error.append(float(said.se[0]) * unit / newtons)
        at = seen.cop_mm.mean(axis=0)
        x.append(float(at[0]))
        y.append(float(at[1]))
        silent |= dict.fromkeys(_silent(seen))
    counts = placed[0].recording.unit == "counts"
    scale = math.fsum(raw) / len(raw) if counts else 1.0
    return KnownWeight(
        x_mm=tuple(x),
        y_mm=tuple(y),
        mass_kg=tuple(one.mass_kg for one in placed),
        gain=tuple(g / scale for g in raw),
        gain_se=tuple(e / scale for e in error),
        counts_per_n=scale if counts else None,
        silent=tuple(silent),
    )


def _silent(seen: _Seen) -> tuple[Cell, ...]:
    """Cells under the weight that read next to nothing while most of their eight neighbours are loaded."""
    around = ndimage.percentile_filter(seen.load, 40, footprint=_RING, mode="constant")
    loaded = around > 0.25 * np.percentile(seen.load[seen.region], 90)
    return _listed(loaded & (seen.load < _SILENT_SHARE * around))


_RING = np.array([[1, 1, 1], [1, 0, 1], [1, 1, 1]], bool)
