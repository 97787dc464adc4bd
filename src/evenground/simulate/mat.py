"""A standing player on a pressure mat, with the truth beside the recording.

The player sways: share of the load and CoP of each foot wander with a slow, smooth process. Each cell reads
the mean pressure over its area, plus an offset, plus noise, and never less than zero. The truth is that of
the process, not of the stretch that was recorded, and follows the definitions of docs/method/ground.md with
cells of no size.
"""

import math
from dataclasses import dataclass

import numpy as np

from evenground.floor import Handed, Side, body_open_deg, line_deg, turned
from evenground.measure.ground_constants import STANDARD_GRAVITY
from evenground.measure.recording import FloatArray, MatRecording
from evenground.simulate.foot import FootPattern, Landmarks, PrintKind, foot_pattern, pressure_share
from evenground.simulate.things import Thing, thing_picture

__all__ = ["Mat", "SimulatedStance", "StanceTruth", "Standing", "Swaying", "simulate_mat", "swaying_series"]

_POINT_MM = 1.3  # spacing of the points that a cell's mean is taken over
_SMOOTH_S = 0.3
_FORCE_SPREAD = 0.003


@dataclass(frozen=True, slots=True, kw_only=True)
class Mat:
    """A mat: size, pitch, what its cells add. With `counts_per_kpa` it gives raw counts, whole numbers.

    `gain_spread` is how far the cells differ from one another in what they make of one pressure (SD, share).
    """

    rows: int = 64
    columns: int = 96
    pitch_x_mm: float = 8.0
    pitch_y_mm: float = 8.0
    noise_kpa: float = 0.3
    offset_kpa: float = 0.0
    gain_spread: float = 0.0
    counts_per_kpa: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How the player stands: the truth of the figures, before the whole stance is turned.

    `forward_mm` and `outward_mm` move each foot's CoP from where the pattern has it; `shift_mm` moves the
    stance on the mat from its middle; `stance_turned_deg` turns all of it counter-clockwise. `kind` says what
    the feet leave on the mat where `shod` does not; `heel_up` is the share of the left and the right heel's
    pressure that is gone, while the truth keeps the heel where it is when it is down. A `missing` foot leaves
    nothing and the other one carries all; its truth then means nothing. `things` are what stands there
    besides.
    """

    width_mm: float = 300.0
    left_ahead_mm: float = 0.0
    toe_out_left_deg: float = 10.0
    toe_out_right_deg: float = 10.0
    load_left_percent: float = 50.0
    forward_mm: float = 0.0
    outward_mm: float = 0.0
    foot_length_mm: float = 265.0
    mass_kg: float = 75.0
    shod: bool = False
    handed: Handed = "right"
    stance_turned_deg: float = 0.0
    shift_mm: tuple[float, float] = (0.0, 0.0)
    kind: PrintKind | None = None
    heel_up: tuple[float, float] = (0.0, 0.0)
    missing: Side | None = None
    things: tuple[Thing, ...] = ()

    @property
    def print_kind(self) -> PrintKind:
        """What the feet leave on the mat."""
        return self.kind or ("shod" if self.shod else "bare")

    @property
    def on_left_percent(self) -> float:
        """What the left foot carries, with both feet there or one."""
        alone = {None: self.load_left_percent, "left": 0.0, "right": 100.0}
        return alone[self.missing]


@dataclass(frozen=True, slots=True, kw_only=True)
class Swaying:
    """How the player sways: RMS of the fore-aft CoP and of the load share, and how slowly they wander."""

    duration_s: float = 10.0
    rate_hz: float = 25.0
    slow_s: float = 3.0
    ahead_rms_mm: float = 4.0
    side_rms_mm: float = 0.7
    load_rms_percent: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class StanceTruth:
    """The figures of `measure.ground.Ground` without any error."""

    load_left_percent: float
    load_right_percent: float
    toe_out_left_deg: float
    toe_out_right_deg: float
    cop_left_percent_length: float
    cop_right_percent_length: float
    heel_centres_mm: float
    fore_aft_offset_mm: float
    heel_line_deg: float
    load_line_deg: float
    cop_x_mm: float
    cop_y_mm: float
    total_force_n: float
    handed: Handed


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SimulatedStance:
    """A recording and the truth behind it."""

    recording: MatRecording
    truth: StanceTruth


def simulate_mat(
    standing: Standing,
    mat: Mat,
    swaying: Swaying | None,
    *,
    rng: np.random.Generator,
    name: str = "simulated",
) -> SimulatedStance:
    """One recording of a standing player, and the truth.

    Parameters
    ----------
    standing, mat
        The stance and the mat it stands on.
    swaying
        How the player sways; None for a single frame at rest.
    rng
        Where sway and noise come from.
    name
        The recording's name.
    """
    length, kind = standing.foot_length_mm, standing.print_kind
    moved = (standing.forward_mm, standing.outward_mm)
    landmarks = foot_pattern(length, kind).landmarks(moved)
    feet = [foot_pattern(length, kind, up) for up in standing.heel_up]
    pictures = np.concatenate(
        [_foot_pictures(f, landmarks, standing, mat, out) for f, out in zip(feet, (-1.0, 1.0), strict=True)]
    )
    cells = _shares(feet, standing, swaying, rng) @ pictures + _things(standing, mat)
    cells = cells.astype(np.float32).reshape(-1, mat.rows, mat.columns)
    recording = _read_out(cells, mat, swaying, rng, name)
    return SimulatedStance(recording=recording, truth=_truth(landmarks, standing))


def swaying_series(
    rng: np.random.Generator, frames: int, channels: int, rate_hz: float, slow_s: float
) -> FloatArray:
    """(frames, channels) of a smooth wandering of unit spread: two exponential averages of white noise.

    Correlation ``(slow exp(-lag / slow) - smooth exp(-lag / smooth)) / (slow - smooth)``, smooth 0.3 s or a
    third of slow; started in its stationary state.
    """
    smooth_s = min(_SMOOTH_S, slow_s / 3.0)
    lead = math.ceil(12.0 * smooth_s * rate_hz)
    keep_slow, keep_smooth = (math.exp(-1.0 / (rate_hz * s)) for s in (slow_s, smooth_s))
    kicks = rng.standard_normal((lead + frames, channels))
    kicks[1:] *= math.sqrt(1.0 - keep_slow**2)
    slow: FloatArray = np.zeros(channels)
    smooth: FloatArray = np.zeros(channels)
    out = np.empty((lead + frames, channels))
    for k, kick in enumerate(kicks):
        slow = kick if k == 0 else keep_slow * slow + kick
        smooth = keep_smooth * smooth + (1.0 - keep_smooth) * slow
        out[k] = smooth
    both = keep_slow * keep_smooth
    variance = (1.0 - keep_smooth) / (1.0 + keep_smooth) * (1.0 + both) / (1.0 - both)
    return np.asarray(out[lead:] / math.sqrt(variance))


def _things(standing: Standing, mat: Mat) -> FloatArray:
    """(R * C,) kPa of everything that is no foot of the player's."""
    points = _mat_points(standing, mat)
    pictures = [_cell_means(thing_picture(thing, *points), mat) for thing in standing.things]
    return np.asarray(np.sum([np.zeros(mat.rows * mat.columns), *pictures], axis=0))


def _shares(
    feet: list[FootPattern], standing: Standing, swaying: Swaying | None, rng: np.random.Generator
) -> FloatArray:
    """(T, 6) newtons of each picture: level and two tilts, left then right."""
    frames = 1 if swaying is None else max(round(swaying.duration_s * swaying.rate_hz), 1)
    z: FloatArray = np.zeros((frames, 6))
    rms = Swaying() if swaying is None else swaying
    if swaying is not None:
        z = swaying_series(rng, frames, 6, swaying.rate_hz, swaying.slow_s)
    force = standing.mass_kg * float(STANDARD_GRAVITY) * (1.0 + _FORCE_SPREAD * z[:, 0])
    shifting = 0.0 if standing.missing else rms.load_rms_percent / 100.0
    left = standing.on_left_percent / 100.0 + shifting * z[:, 1]
    columns = []
    for side, load in enumerate((left, 1.0 - left)):
        ahead = standing.forward_mm + rms.ahead_rms_mm * (0.95 * z[:, 2] + 0.3 * z[:, 3] * (-1.0) ** side)
        out = standing.outward_mm + rms.side_rms_mm * z[:, 4 + side]
        tilt = feet[side].tilt(np.column_stack([ahead, out]))
        columns += [force * load, force * load * tilt[:, 0], force * load * tilt[:, 1]]
    return np.column_stack(columns)


def _heel_at(standing: Standing, outward: float) -> tuple[float, float]:
    """Heel centre before the stance is turned, floor frame; the left foot has outward -1."""
    return outward * 0.5 * standing.width_mm, -outward * 0.5 * standing.left_ahead_mm


def _place(
    points: tuple[float, float], landmarks: Landmarks, standing: Standing, outward: float
) -> tuple[float, float]:
    """A point of the foot frame on the floor, the stance turned."""
    toe_out = standing.toe_out_left_deg if outward < 0.0 else standing.toe_out_right_deg
    turn = math.radians(toe_out - landmarks.axis_deg)
    u, v = points[0] - landmarks.heel_mm[0], points[1] - landmarks.heel_mm[1]
    heel = _heel_at(standing, outward)
    x = heel[0] + outward * (v * math.cos(turn) + u * math.sin(turn))
    y = heel[1] + u * math.cos(turn) - v * math.sin(turn)
    return turned(x, y, standing.stance_turned_deg)


def _foot_pictures(
    pattern: FootPattern, landmarks: Landmarks, standing: Standing, mat: Mat, outward: float
) -> FloatArray:
    """(3, R * C) kPa per newton: the pattern and its tilts along u and v."""
    back_x, back_y = _turn_back(*_mat_points(standing, mat), standing.stance_turned_deg)
    heel = _heel_at(standing, outward)
    toe_out = standing.toe_out_left_deg if outward < 0.0 else standing.toe_out_right_deg
    turn = math.radians(toe_out - landmarks.axis_deg)
    side, ahead = outward * (back_x - heel[0]), back_y - heel[1]
    u = ahead * math.cos(turn) + side * math.sin(turn) + landmarks.heel_mm[0]
    v = side * math.cos(turn) - ahead * math.sin(turn) + landmarks.heel_mm[1]
    share = pattern.height * 1000.0 * _on_foot(u, v, pattern)
    tilts = [share * (q - c) for q, c in zip((u, v), pattern.centroid_mm, strict=True)]
    return np.stack([_cell_means(p, mat) for p in (share, *tilts)])


def _points_a_cell(mat: Mat) -> tuple[int, int]:
    across, along = (max(math.ceil(p / _POINT_MM), 2) for p in (mat.pitch_x_mm, mat.pitch_y_mm))
    return across, along


def _mat_points(standing: Standing, mat: Mat) -> tuple[FloatArray, FloatArray]:
    """Points of the whole mat, x (1, X) and y (Y, 1), from the middle of the stance."""
    middle = (
        0.5 * mat.columns * mat.pitch_x_mm + standing.shift_mm[0],
        0.5 * mat.rows * mat.pitch_y_mm - 0.35 * standing.foot_length_mm + standing.shift_mm[1],
    )
    points_x, points_y = _points_a_cell(mat)
    x = _points(mat.columns, mat.pitch_x_mm, points_x) - middle[0]
    y = _points(mat.rows, mat.pitch_y_mm, points_y) - middle[1]
    return x[None, :], y[:, None]


def _cell_means(pressure: FloatArray, mat: Mat) -> FloatArray:
    """(R * C,) means over the cells of a picture on `_mat_points`."""
    points_x, points_y = _points_a_cell(mat)
    means = pressure.reshape(mat.rows, points_y, mat.columns, points_x).mean(axis=(1, 3))
    return np.asarray(means.ravel())


def _points(cells: int, pitch_mm: float, points: int) -> FloatArray:
    return (np.arange(cells * points) + 0.5) * (pitch_mm / points)


def _turn_back(x: FloatArray, y: FloatArray, turned_deg: float) -> tuple[FloatArray, FloatArray]:
    c, s = math.cos(math.radians(turned_deg)), math.sin(math.radians(turned_deg))
    return c * x + s * y, c * y - s * x


def _on_foot(u: FloatArray, v: FloatArray, pattern: FootPattern) -> FloatArray:
    """The pattern, worked out only where the foot can be."""
    length = pattern.length_mm
    near = (u > 0.0) & (u < length) & (np.abs(v) < 0.25 * length)
    share = np.zeros(near.shape)
    share[near] = pressure_share(u[near], v[near], length, pattern.kind, pattern.heel_up)
    return share


def _read_out(
    cells: FloatArray, mat: Mat, swaying: Swaying | None, rng: np.random.Generator, name: str
) -> MatRecording:
    """What the mat says: offset, noise, never below zero, counts where it gives counts."""
    seen = cells
    if mat.gain_spread > 0.0:
        seen = seen * (1.0 + mat.gain_spread * rng.standard_normal(seen.shape[1:])).astype(np.float32)
    seen = seen + np.float32(mat.offset_kpa)
    if mat.noise_kpa > 0.0:
        seen = seen + np.float32(mat.noise_kpa) * rng.standard_normal(seen.shape, dtype=np.float32)
    seen = np.maximum(seen, np.float32(0.0))
    if mat.counts_per_kpa is not None:
        seen = np.round(seen * np.float32(mat.counts_per_kpa))
    rate = swaying.rate_hz if swaying is not None and len(seen) > 1 else None
    return MatRecording(
        cells=seen,
        unit="kPa" if mat.counts_per_kpa is None else "counts",
        pitch_x_mm=mat.pitch_x_mm,
        pitch_y_mm=mat.pitch_y_mm,
        rate_hz=rate,
        time_s=np.arange(len(seen)) / (rate or 1.0),
        name=name,
    )


def _truth(landmarks: Landmarks, standing: Standing) -> StanceTruth:
    heels, cops = [], []
    for outward in (-1.0, 1.0):
        heels.append(_place(landmarks.heel_mm, landmarks, standing, outward))
        cops.append(_place(landmarks.cop_mm, landmarks, standing, outward))
    share = standing.on_left_percent / 100.0
    cop = [
        share * left + (1.0 - share) * right - 0.5 * (one + other)
        for left, right, one, other in zip(*cops, *heels, strict=True)
    ]
    heel_line = line_deg(*heels)
    lead_ahead = heels[0][1] - heels[1][1]
    return StanceTruth(
        load_left_percent=standing.on_left_percent,
        load_right_percent=100.0 - standing.on_left_percent,
        toe_out_left_deg=standing.toe_out_left_deg + standing.stance_turned_deg,
        toe_out_right_deg=standing.toe_out_right_deg - standing.stance_turned_deg,
        cop_left_percent_length=landmarks.cop_percent,
        cop_right_percent_length=landmarks.cop_percent,
        heel_centres_mm=heels[1][0] - heels[0][0],
        fore_aft_offset_mm=body_open_deg(lead_ahead, standing.handed),
        heel_line_deg=body_open_deg(heel_line, standing.handed),
        load_line_deg=body_open_deg(line_deg(*cops) - heel_line, standing.handed),
        cop_x_mm=cop[0],
        cop_y_mm=cop[1],
        total_force_n=standing.mass_kg * float(STANDARD_GRAVITY),
        handed=standing.handed,
    )
