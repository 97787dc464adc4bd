"""Instruments with known faults: a mat whose gain wanders over its surface, bad cells, and weights on it."""

from dataclasses import dataclass, replace

import numpy as np

from evenground.instruments import Cell
from evenground.measure.ground_constants import STANDARD_GRAVITY
from evenground.measure.recording import FloatArray, MatRecording

__all__ = ["FaultyMat", "MatFaults", "draw_faults", "empty_mat", "seen_by", "weight_on"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MatFaults:
    """How a mat errs: its gain, its cells, its drift. Sizes are shares of the reading or kPa.

    `gain_mean` and `gain_sd` are the mean and the spread of the smooth part over the mat, which changes
    within `reach_mm`; `cell_gain_sd` is each cell's own. `drift_kpa_per_min` lifts all cells together,
    `creep_per_min` the reading of whatever stands there, as a share a minute.
    """

    gain_mean: float = 1.0
    gain_sd: float = 0.02
    reach_mm: float = 500.0
    cell_gain_sd: float = 0.03
    noise_kpa: float = 0.3
    offset_kpa: float = 0.0
    drift_kpa_per_min: float = 0.0
    creep_per_min: float = 0.0
    dead: tuple[Cell, ...] = ()
    stuck: tuple[Cell, ...] = ()
    stuck_kpa: float = 40.0
    noisy: tuple[Cell, ...] = ()
    drifting: tuple[Cell, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FaultyMat:
    """A mat with its truth: the gain of every cell, (R, C)."""

    rows: int
    columns: int
    pitch_mm: float
    faults: MatFaults
    gain: FloatArray


def draw_faults(
    rows: int, columns: int, pitch_mm: float, faults: MatFaults, *, rng: np.random.Generator
) -> FaultyMat:
    """A mat of some size with gains drawn for it: a sum of 60 waves of random direction and phase."""
    y, x = np.mgrid[:rows, :columns] * pitch_mm
    waves = rng.standard_normal((60, 2)) / faults.reach_mm
    phases = rng.uniform(0.0, 2.0 * np.pi, 60)
    smooth = np.cos(waves[:, :1, None] * x + waves[:, 1:, None] * y + phases[:, None, None]).sum(axis=0)
    smooth *= np.sqrt(2.0 / 60.0)
    own = rng.standard_normal((rows, columns))
    gain = faults.gain_mean * (1.0 + faults.gain_sd * smooth + faults.cell_gain_sd * own)
    return FaultyMat(rows=rows, columns=columns, pitch_mm=pitch_mm, faults=faults, gain=gain)


def seen_by(mat: FaultyMat, truth: MatRecording, *, rng: np.random.Generator) -> MatRecording:
    """What the mat makes of true pressures."""
    faults = mat.faults
    minutes = (truth.time_s - truth.time_s[0])[:, None, None] / 60.0
    cells = truth.cells * mat.gain * (1.0 + faults.creep_per_min * minutes)
    cells = cells + faults.offset_kpa + faults.drift_kpa_per_min * minutes
    noise = np.full((mat.rows, mat.columns), faults.noise_kpa)
    for row, column in faults.noisy:
        noise[row, column] = 12.0 * max(faults.noise_kpa, 0.05)
    for row, column in faults.drifting:
        cells[:, row, column] += 120.0 * max(faults.noise_kpa, 0.05) * minutes[:, 0, 0]
    cells = np.maximum(cells + noise * rng.standard_normal(cells.shape, dtype=np.float32), 0.0)
    for row, column in faults.dead:
        cells[:, row, column] = 0.0
    for row, column in faults.stuck:
        cells[:, row, column] = faults.stuck_kpa
    return replace(truth, cells=cells.astype(np.float32))


def _still(mat: FaultyMat, picture: FloatArray, duration_s: float, rate_hz: float, name: str) -> MatRecording:
    frames = round(duration_s * rate_hz)
    return MatRecording(
        cells=np.broadcast_to(picture.astype(np.float32), (frames, mat.rows, mat.columns)),
        unit="kPa",
        pitch_x_mm=mat.pitch_mm,
        pitch_y_mm=mat.pitch_mm,
        rate_hz=rate_hz,
        time_s=np.arange(frames) / rate_hz,
        name=name,
    )


def empty_mat(
    mat: FaultyMat, *, rng: np.random.Generator, duration_s: float = 15.0, rate_hz: float = 20.0
) -> MatRecording:
    """A recording with nobody on the mat."""
    nothing = np.zeros((mat.rows, mat.columns))
    return seen_by(mat, _still(mat, nothing, duration_s, rate_hz, "empty mat"), rng=rng)


def weight_on(
    mat: FaultyMat,
    at_mm: tuple[float, float],
    mass_kg: float,
    *,
    rng: np.random.Generator,
    foot_mm: float = 110.0,
    duration_s: float = 30.0,
    rate_hz: float = 20.0,
) -> MatRecording:
    """A recording of a round weight of `foot_mm` across that stands still at a place of the mat.

    Each cell holds the share of the weight that lies on it, worked out on a grid eight times as fine.
    """
    fine = 8
    x, y = ((np.arange(n * fine) + 0.5) * (mat.pitch_mm / fine) for n in (mat.columns, mat.rows))
    across, along = (x - at_mm[0]) ** 2, (y - at_mm[1]) ** 2
    near = along <= (0.5 * foot_mm) ** 2
    on = np.zeros((len(y), len(x)), np.float32)
    on[near] = across[None, :] + along[near][:, None] <= (0.5 * foot_mm) ** 2
    share = on.reshape(mat.rows, fine, mat.columns, fine).mean(axis=(1, 3))
    newtons = mass_kg * float(STANDARD_GRAVITY)
    picture = share / (share.sum() * mat.pitch_mm**2) * newtons * 1000.0
    still = _still(mat, picture, duration_s, rate_hz, f"{mass_kg:g} kg")
    return seen_by(mat, still, rng=rng)
