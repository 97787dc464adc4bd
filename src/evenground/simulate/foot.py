"""A smooth pressure pattern of one foot, bare or covered, with its heel, forefoot and ends as defined.

Foot frame, the same for both sides: u from the rear of the foot to the toes, v outward, both as shares of
the foot's length. The pattern is a sum of hills; a shoe carries on two, a heel and a forefoot, with nothing
between them. Other prints leave the arch out, fill it, spread the toes, or run them together in a sock::

      bare   (( heel )===outer edge===(( ball )) (toes)        shoe   [ heel ]        [   forefoot   ]
"""

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from evenground.measure.ground_constants import CONTACT_SHARE, FOREFOOT_FROM, FOREFOOT_TO, HEEL_TO, TRIM_SHARE
from evenground.measure.recording import FloatArray

__all__ = ["PRINTS", "FootPattern", "Landmarks", "PrintKind", "foot_pattern", "pressure_share"]

PrintKind = Literal["bare", "shod", "high arch", "flat arch", "toes apart", "sock"]
"""What a foot leaves on the mat. `shod` looks the same on either side: nothing but its place tells it."""

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
_ARCH, _TOES = 1, 3  # where the outer edge of the arch and the first toe stand in _BARE
_SOCK_TOES = (0.885, -0.015, 0.072, 0.130, 0.45, 1.0)
_WIDE_ARCH = (0.430, 0.015, 0.270, 0.120, 0.45, 1.0)
_TOES_APART = (
    (0.930, -0.135, 0.060, 0.042, 0.75, 1.0),
    (0.930, -0.020, 0.030, 0.032, 0.35, 1.0),
    (0.910, 0.065, 0.028, 0.030, 0.30, 1.0),
    (0.880, 0.140, 0.026, 0.028, 0.25, 1.0),
)
PRINTS: dict[PrintKind, tuple[tuple[float, ...], ...]] = {
    "bare": _BARE,
    "shod": _SHOD,
    "high arch": (*_BARE[:_ARCH], *_BARE[_ARCH + 1 :]),
    "flat arch": (*_BARE[:_ARCH], _WIDE_ARCH, *_BARE[_ARCH + 1 :]),
    "toes apart": (*_BARE[:_TOES], *_TOES_APART),
    "sock": (*_BARE[:_TOES], _SOCK_TOES),
}
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
    kind: PrintKind
    heel_up: float
    height: float
    centroid_mm: FloatArray
    spread_mm2: FloatArray

    def tilt(self, moved_mm: FloatArray) -> FloatArray:
        """Tilt (..., 2) per millimetre that moves the CoP by (..., 2) millimetres."""
        return np.asarray(moved_mm @ np.linalg.inv(self.spread_mm2))

    def landmarks(self, moved_mm: tuple[float, float]) -> Landmarks:
        """Heel, forefoot, CoP and contact ends with the CoP moved, by the definitions on a fine grid."""
        return _moved_landmarks(self, moved_mm)


@lru_cache(maxsize=64)
def _moved_landmarks(pattern: FootPattern, moved_mm: tuple[float, float]) -> Landmarks:
    u, v, share = _fine(pattern.length_mm, pattern.kind, pattern.heel_up)
    q = np.column_stack([u, v])
    tilted = share * (1.0 + (q - pattern.centroid_mm) @ pattern.tilt(np.array(moved_mm)))
    return _landmarks(q, tilted)


def pressure_share(
    u_mm: FloatArray, v_mm: FloatArray, length_mm: float, kind: PrintKind = "bare", heel_up: float = 0.0
) -> FloatArray:
    """Height of the pattern at points of the foot frame, without unit; zero off the foot.

    `heel_up` is the share of the heel's pressure that is gone, and of the arch's behind its middle.
    """
    u, v = u_mm / length_mm, v_mm / length_mm
    total = np.zeros(np.broadcast(u, v).shape)
    for at_u, at_v, long, broad, height, flat in PRINTS[kind]:
        hill = 1.0 - ((u - at_u) / long) ** 2 - ((v - at_v) / broad) ** 2
        total += height * np.clip(flat * hill, 0.0, 1.0)
    lifted = heel_up * np.clip((_MIDDLE - u) / _FADE, 0.0, 1.0)
    return np.asarray(total * (1.0 - lifted))


_MIDDLE, _FADE = 0.5, 0.15  # behind the middle of the arch a raised heel takes its pressure away


@lru_cache(maxsize=64)
def foot_pattern(length_mm: float, kind: PrintKind = "bare", heel_up: float = 0.0) -> FootPattern:
    """The pattern of a foot or a shoe of one length, its heel down or partly raised."""
    u, v, share = _fine(length_mm, kind, heel_up)
    q = np.column_stack([u, v])
    volume = float(share.sum()) * _FINE_MM**2
    return FootPattern(
        length_mm=length_mm,
        kind=kind,
        heel_up=heel_up,
        height=1.0 / volume,
        centroid_mm=np.average(q, axis=0, weights=share),
        spread_mm2=np.cov(q.T, aweights=share, ddof=0),
    )


def _fine(length_mm: float, kind: PrintKind, heel_up: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    across = 0.25 * length_mm
    grid = np.meshgrid(np.arange(0.0, length_mm, _FINE_MM), np.arange(-across, across, _FINE_MM))
    u, v = (axis.ravel() for axis in grid)
    share = pressure_share(u, v, length_mm, kind, heel_up)
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
