"""A smooth pressure pattern of one foot, bare or in a shoe, with its heel, forefoot and ends as defined.

Foot frame, the same for both sides: u from the rear of the foot to the toes, v outward, both as shares of
the foot's length. The pattern is a sum of hills; a shoe carries on two, a heel and a forefoot, with nothing
between them::

      bare   (( heel )===outer edge===(( ball )) (toes)        shoe   [ heel ]        [   forefoot   ]
"""

import math
from dataclasses import dataclass

import numpy as np

from evenground.measure.ground_constants import CONTACT_SHARE, FOREFOOT_FROM, FOREFOOT_TO, HEEL_TO, TRIM_SHARE
from evenground.measure.recording import FloatArray

__all__ = ["FootPattern", "Landmarks", "foot_pattern", "pressure_share"]

# centre u, centre v, half-length, half-breadth, height, flatness: invented, foot-like, shares of the length
_BARE = (
    (0.125, 0.000, 0.122, 0.105, 1.00, 1.0),
    (0.430, 0.055, 0.270, 0.062, 0.30, 1.0),
    (0.720, 0.005, 0.105, 0.178, 0.85, 1.0),
    (0.925, -0.105, 0.068, 0.055, 0.75, 1.0),
    (0.885, 0.010, 0.038, 0.048, 0.40, 1.0),
    (0.855, 0.090, 0.036, 0.042, 0.30, 1.0),
)
_SHOD = (
    (0.150, 0.000, 0.145, 0.115, 1.00, 3.0),
    (0.740, 0.000, 0.215, 0.165, 0.80, 3.0),
)
_FINE_MM = 0.8
_ROUNDS = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Landmarks:
    """What the definitions give for a foot at rest; foot frame in millimetres (u, v outward)."""

    heel_mm: tuple[float, float]
    forefoot_mm: tuple[float, float]
    cop_mm: tuple[float, float]
    rear_mm: float
    front_mm: float

    @property
    def axis_deg(self) -> float:
        """Outward turn of the line from heel to forefoot against the foot frame."""
        return math.degrees(
            math.atan2(self.forefoot_mm[1] - self.heel_mm[1], self.forefoot_mm[0] - self.heel_mm[0])
        )

    @property
    def cop_percent(self) -> float:
        """CoP along the axis as percent of the contact length from its rear end."""
        turn = math.radians(self.axis_deg)
        away = [c - h for c, h in zip(self.cop_mm, self.heel_mm, strict=True)]
        along = away[0] * math.cos(turn) + away[1] * math.sin(turn)
        return 100.0 * (along - self.rear_mm) / (self.front_mm - self.rear_mm)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FootPattern:
    """Pressure per newton, ``P (1 + g . (q - q0))``: integral one, centroid q0, covariance `spread_mm2`.

    The tilt g that moves the CoP by d is ``inv(spread) d``, exactly.
    """

    length_mm: float
    shod: bool
    height: float
    centroid_mm: FloatArray
    spread_mm2: FloatArray

    def tilt(self, moved_mm: FloatArray) -> FloatArray:
        """Tilt (..., 2) per millimetre that moves the CoP by (..., 2) millimetres."""
        return np.asarray(moved_mm @ np.linalg.inv(self.spread_mm2))

    def landmarks(self, moved_mm: tuple[float, float]) -> Landmarks:
        """Heel, forefoot, CoP and contact ends with the CoP moved, by the definitions on a fine grid."""
        u, v, share = _fine(self.length_mm, shod=self.shod)
        q = np.column_stack([u, v])
        tilted = share * (1.0 + (q - self.centroid_mm) @ self.tilt(np.array(moved_mm)))
        return _landmarks(q, tilted)


def pressure_share(u_mm: FloatArray, v_mm: FloatArray, length_mm: float, *, shod: bool) -> FloatArray:
    """Height of the pattern at points of the foot frame, without unit; zero off the foot."""
    u, v = u_mm / length_mm, v_mm / length_mm
    total = np.zeros(np.broadcast(u, v).shape)
    for at_u, at_v, long, broad, height, flat in _SHOD if shod else _BARE:
        hill = 1.0 - ((u - at_u) / long) ** 2 - ((v - at_v) / broad) ** 2
        total += height * np.clip(flat * hill, 0.0, 1.0)
    return total


def foot_pattern(length_mm: float, *, shod: bool) -> FootPattern:
    """The pattern of a foot or a shoe of one length."""
    u, v, share = _fine(length_mm, shod=shod)
    q = np.column_stack([u, v])
    volume = float(share.sum()) * _FINE_MM**2
    centroid = np.average(q, axis=0, weights=share)
    spread = np.cov(q.T, aweights=share, ddof=0)
    return FootPattern(
        length_mm=length_mm, shod=shod, height=1.0 / volume, centroid_mm=centroid, spread_mm2=spread
    )


def _fine(length_mm: float, *, shod: bool) -> tuple[FloatArray, FloatArray, FloatArray]:
    across = 0.25 * length_mm
    grid = np.meshgrid(np.arange(0.0, length_mm, _FINE_MM), np.arange(-across, across, _FINE_MM))
    u, v = (axis.ravel() for axis in grid)
    share = pressure_share(u, v, length_mm, shod=shod)
    on = share > 0.0
    return u[on], v[on], share[on]


def _landmarks(q: FloatArray, load: FloatArray) -> Landmarks:
    """The definitions written out plainly, apart from what measures them on a mat."""
    axis = np.array([1.0, 0.0])
    heel = fore = q.mean(axis=0)
    for _ in range(_ROUNDS):
        along = q @ axis
        order = np.argsort(along)
        behind = np.cumsum(load[order]) / load.sum()
        trim = float(TRIM_SHARE)
        start, end = np.interp([trim, 1.0 - trim], behind, along[order])
        rear = along < start + float(HEEL_TO) * (end - start)
        ahead = along > start + float(FOREFOOT_FROM) * (end - start)
        ahead &= along < start + float(FOREFOOT_TO) * (end - start)
        heel, fore = (np.average(q[part], axis=0, weights=load[part]) for part in (rear, ahead))
        turned = (fore - heel) / np.hypot(*(fore - heel))
        if np.abs(turned - axis).max() < 1e-9:
            break
        axis = turned
    touched = (q - heel)[load > float(CONTACT_SHARE) * load.max()] @ axis
    return Landmarks(
        heel_mm=(float(heel[0]), float(heel[1])),
        forefoot_mm=(float(fore[0]), float(fore[1])),
        cop_mm=tuple(np.average(q, axis=0, weights=load).tolist()),
        rear_mm=float(touched.min()),
        front_mm=float(touched.max()),
    )
