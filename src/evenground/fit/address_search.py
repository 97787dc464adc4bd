"""A body as a plant of four angles, and the search for the most comfortable ones on two goals."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from evenground.body.lengths import HEEL_TO_ANKLE, METATARSAL
from evenground.body.segments import MODELS, ModelName
from evenground.fit.address_constants import COMFORT, LIMITS
from evenground.fit.address_types import AddressClub, Wanted
from evenground.visit import Family

__all__ = [
    "BOUND_NAMES",
    "BOUND_ROWS",
    "START",
    "Plant",
    "bounds",
    "comfort_of",
    "landmarks_of",
    "nearest",
    "plant_of",
]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Plant:
    """The body as numbers: balance and hands' height are linear in the sines and cosines of the four angles.

    ``balance = b0 + sum(b sin)``, ``height = h0 + sum(h cos)`` and ``reach = r0 + sum(r sin)``; angles in
    rad.
    """

    b0: float
    b: FloatArray
    h0: float
    h: FloatArray
    r0: float
    r: FloatArray
    foot_mm: float

    def balance_mm(self, q: FloatArray) -> float:
        """Balance ahead of the heel."""
        return self.b0 + float(self.b @ np.sin(q))

    def height_mm(self, q: FloatArray) -> float:
        """Hands above the floor."""
        return self.h0 + float(self.h @ np.cos(q))

    def reach_mm(self, q: FloatArray) -> float:
        """Hands ahead of the heel."""
        return self.r0 + float(self.r @ np.sin(q))


def _sagittal(lengths: Mapping[str, float]) -> float:
    """Length of arm and fist that shows from the side when the hands meet in the middle."""
    whole = lengths["upper_arm"] + lengths["forearm"] + lengths["grip"]
    return math.sqrt(max(whole**2 - lengths["half_shoulders"] ** 2, 1.0)) / whole


def landmarks_of(
    lengths: Mapping[str, float], q: FloatArray, *, sole_mm: float
) -> dict[str, tuple[float, float]]:
    """Landmarks of a body at four angles, in mm, x ahead of the heel and y up from the floor.

    Parameters
    ----------
    lengths
        By the names of `SideLengths` without their unit.
    q
        (4,) shank, thigh, trunk, arm in radians.
    sole_mm
        How much the shoe lifts the foot.
    """
    shank, thigh, trunk, arm = (float(v) for v in q)
    foot = lengths["foot"]
    across = _sagittal(lengths)

    def along(start: tuple[float, float], lean: float, length: float) -> tuple[float, float]:
        return start[0] + length * math.sin(lean), start[1] + length * math.cos(lean)

    ankle = (HEEL_TO_ANKLE.value * foot, lengths["ankle_height"] + sole_mm)
    knee = along(ankle, shank, lengths["shank"])
    hip = along(knee, -thigh, lengths["thigh"])
    shoulder = along(hip, trunk, lengths["trunk"])
    neck = along(shoulder, trunk, lengths["neck"])
    elbow = along(shoulder, math.pi - arm, across * lengths["upper_arm"])
    wrist = along(elbow, math.pi - arm, across * lengths["forearm"])
    hands = along(wrist, math.pi - arm, across * lengths["grip"])
    return {
        "heel": (0.0, sole_mm),
        "toe_tip": (foot, sole_mm),
        "metatarsal": (METATARSAL.value * foot, sole_mm),
        "ankle": ankle,
        "knee": knee,
        "hip": hip,
        "shoulder": shoulder,
        "cervicale": neck,
        "vertex": along(neck, trunk, lengths["head"]),
        "elbow": elbow,
        "wrist": wrist,
        "hands": hands,
        "fingertip": hands,
    }


@cache
def _weights(model: ModelName) -> Mapping[str, float]:
    """How much of each landmark's place goes into the centre of mass; the weights add up to one."""
    weights: dict[str, float] = {}
    for s in MODELS[model].segments:
        share = s.sides(()) * s.mass_fraction
        weights[s.first] = weights.get(s.first, 0.0) + share * (1.0 - s.centre_fraction)
        weights[s.last] = weights.get(s.last, 0.0) + share * s.centre_fraction
    whole = sum(weights.values())
    return {name: w / whole for name, w in weights.items()}


def _columns(lengths: Mapping[str, float]) -> dict[str, FloatArray]:
    """How far each landmark goes ahead for the sine of each angle: (4,) shank, thigh, trunk, arm."""
    across = _sagittal(lengths)
    arm = {n: across * lengths[n] for n in ("upper_arm", "forearm", "grip")}
    knee = np.array([lengths["shank"], 0.0, 0.0, 0.0])
    hip = knee - np.array([0.0, lengths["thigh"], 0.0, 0.0])

    def ahead(start: FloatArray, place: int, length: float) -> FloatArray:
        end = start.copy()
        end[place] += length
        return end

    shoulder = ahead(hip, 2, lengths["trunk"])
    neck = ahead(shoulder, 2, lengths["neck"])
    elbow = ahead(shoulder, 3, arm["upper_arm"])
    wrist = ahead(elbow, 3, arm["forearm"])
    hands = ahead(wrist, 3, arm["grip"])
    return {
        "knee": knee,
        "hip": hip,
        "shoulder": shoulder,
        "cervicale": neck,
        "vertex": ahead(neck, 2, lengths["head"]),
        "elbow": elbow,
        "wrist": wrist,
        "hands": hands,
        "fingertip": hands,
    }


def plant_of(lengths: Mapping[str, float], club: AddressClub, wanted: Wanted) -> Plant:
    """Gather the coefficients: every landmark is linear in the sines and cosines of the angles."""
    weights, columns, foot = _weights(wanted.model), _columns(lengths), lengths["foot"]
    ankle_mm = HEEL_TO_ANKLE.value * foot
    still = {"heel": 0.0, "toe_tip": foot, "metatarsal": METATARSAL.value * foot}
    b0 = sum(w * still.get(n, ankle_mm) for n, w in weights.items())
    b = np.sum([w * columns[n] for n, w in weights.items() if n in columns], axis=0)
    moved0, moved, total = b0 * wanted.mass_kg, b * wanted.mass_kg, wanted.mass_kg
    if club.mass_g > 0.0:
        kg = club.mass_g / 1000.0
        ahead = (club.balance_mm - club.station_mm) * math.cos(math.radians(club.lie_deg))
        moved0, moved, total = moved0 + kg * (ankle_mm + ahead), moved + kg * columns["hands"], total + kg
    if wanted.load is not None:
        load = (
            wanted.load
        )  # so far ahead of the trunk on the level: a plate is held out, not square to the trunk
        at = columns["hip"] + load.up_share * (columns["shoulder"] - columns["hip"])
        moved0 += load.mass_kg * (ankle_mm + load.ahead_mm)
        moved, total = moved + load.mass_kg * at, total + load.mass_kg
    return Plant(
        b0=moved0 / total,
        b=moved / total,
        h0=lengths["ankle_height"] + wanted.sole_mm,
        h=np.abs(columns["hands"]) * np.array([1.0, 1.0, 1.0, -1.0]),
        r0=ankle_mm,
        r=columns["hands"],
        foot_mm=foot,
    )


@cache
def comfort_of(family: Family) -> tuple[FloatArray, FloatArray]:
    """Quadratic form of discomfort, ``(A q - m)' (A q - m)``, with q in radians."""
    comfort = COMFORT[family]
    rows = {"shank": (1, 0, 0, 0), "knee": (1, 1, 0, 0), "trunk": (0, 0, 1, 0), "arm": (0, 0, 0, 1)}
    a = np.array([np.array(rows[n], float) / math.radians(comfort[n].spread_deg) for n in rows])
    m = np.array([comfort[n].middle_deg / comfort[n].spread_deg for n in rows])
    return a, m


# Bounds as rows of ``low <= g @ q <= high``: shank, knee, trunk, arm.
BOUND_ROWS = np.array([[1, 0, 0, 0], [1, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]], dtype=float)
BOUND_NAMES = ("shank", "knee", "trunk", "arm")


def bounds() -> tuple[FloatArray, FloatArray]:
    """Least and most of shank, knee, trunk and arm, in rad."""
    low = np.radians([LIMITS[n].low_deg for n in BOUND_NAMES])
    return low, np.radians([LIMITS[n].high_deg for n in BOUND_NAMES])


def _newton(
    plant: Plant, club: AddressClub, wanted: Wanted, fixed: Mapping[int, float], start: FloatArray
) -> tuple[FloatArray, FloatArray] | None:
    """Stationary point of the discomfort on both goals with some bounds held; angles and their multipliers.

    Newton's method on the Lagrangian: curvature of the goals is diagonal, since each is a sum over angles.
    Returns None when it does not settle, which happens where the goals cannot be met.
    """
    a, m = comfort_of(club.family)
    goals = (wanted.balance_percent / 100.0 * plant.foot_mm, club.hands_height_mm)
    rows = np.array([BOUND_ROWS[i] for i in fixed]).reshape(-1, 4)
    held = np.array(list(fixed.values()))
    q, count = start, 2 + len(rows)
    lam, square = np.zeros(count), 2.0 * a.T @ a
    system, right = np.zeros((4 + count, 4 + count)), np.zeros(4 + count)
    jac, gap = np.vstack([np.zeros((2, 4)), rows]), np.zeros(count)
    scale = 1e-3  # goals in metres, so that the system is balanced
    for _ in range(40):
        s, c = np.sin(q), np.cos(q)
        jac[0], jac[1] = scale * plant.b * c, -scale * plant.h * s
        gap[0] = scale * (plant.b0 + plant.b @ s - goals[0])
        gap[1] = scale * (plant.h0 + plant.h @ c - goals[1])
        gap[2:] = rows @ q - held
        curve = -scale * (lam[0] * plant.b * s + lam[1] * plant.h * c)
        system[:4, :4] = square + np.diag(curve)
        system[:4, 4:], system[4:, :4] = jac.T, jac
        right[:4], right[4:] = -(square @ q - 2.0 * a.T @ m + jac.T @ lam), -gap
        try:
            step = np.linalg.solve(system, right)
        except np.linalg.LinAlgError:
            return None
        most = float(np.abs(step[:4]).max())
        share = min(1.0, 0.5 / most) if most > 0.0 else 1.0
        q, lam = q + share * step[:4], lam + share * step[4:]
        if most < 1e-6:  # convergence is quadratic: what is left after this step is rounding
            return q, lam
    return None


# Arms that hang straight down cannot raise the hands by turning either way, so the search starts with them
# ahead.
START = np.radians([5.0, 15.0, 40.0, 20.0])


def nearest(
    plant: Plant, club: AddressClub, wanted: Wanted, start: FloatArray
) -> tuple[FloatArray, tuple[str, ...]] | None:
    """The nearest comfortable angles and the bounds they stand at; None when the goals are out of reach."""
    low, high = bounds()
    fixed: dict[int, float] = {}
    for _ in range(8):
        found = _newton(plant, club, wanted, fixed, start)
        if found is None:
            return None
        q, lam = found
        at = BOUND_ROWS @ q
        loose = [
            i
            for k, i in enumerate(fixed)
            if (lam[2 + k] < -1e-9) == (fixed[i] == high[i]) and abs(lam[2 + k]) > 1e-9
        ]
        over = np.maximum(low - at, at - high)
        worst = int(np.argmax(over))
        if over[worst] > 1e-9:
            if len(fixed) == 2:
                return None
            fixed[worst] = float(low[worst] if at[worst] < low[worst] else high[worst])
        elif loose:
            del fixed[loose[0]]
        else:
            return q, tuple(BOUND_NAMES[i] for i in fixed)
    return None
