r"""One grip on one butt, sampled down the shaft: its profile with any tape, and the tape that suits best.

Tape goes on in two zones. Under the upper hand lie `upper` layers and under the lower hand `lower`; between
them the layers end one after another, so that the thickness blends::

      layers  3 3 3 3 3 3 \
                            2 2 \
                                 1 1 1 1 1 1 1 1
      cap ------[upper]----blend----[lower]---- mouth
      |<-- cap_mm: no shaft in here

Stations count from the cap's edge. The shaft ends `cap_mm` below it, and what is at a station of a grip
pulled `stretch` times its length was at ``station / stretch`` on the free grip.
"""

import heapq
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from evenground.estimate import Estimate
from evenground.fit.grip import GripWanted
from evenground.fit.grip_constants import (
    BORE_SE_MM,
    BUTT_SE_MM,
    GRIP_WIDEST_MM,
    LENGTH_SE_MM,
    MOST_BORE_STRETCH,
    MOULD_SE_MM,
    PROFILE_STEP_MM,
    PROFILE_TOLERANCE_MM,
    STATION_SE_MM,
    TAPE_SE_SHARE,
)
from evenground.fit.grip_types import HandLaw, Layers, ProfilePoint
from evenground.stock import StockGrip, Tape
from evenground.visit import OwnClub

__all__ = [
    "Bench",
    "bench_of",
    "best_layers",
    "blend_mm",
    "built_se_mm",
    "centre_mm",
    "hand_law",
    "profile_mm",
    "profile_points",
    "tape_mass_g",
    "tape_se_mm",
    "tape_thickness_mm",
    "why_no_layers",
    "zone_shares",
]

FloatArray: TypeAlias = npt.NDArray[np.float64]

POINT_EVERY = 5  # a profile is kept at every fifth station: 10 mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """Everything about one grip on one butt but the tape.

    Arrays (S,) run from the first to the last section of the installed grip and contain both hands' stations;
    one may stand there twice. `mean_share` is the part of the grip that lies in the lower zone.
    """

    grip: StockGrip
    tape: Tape
    z_mm: FloatArray
    outside_mm: FloatArray
    core_mm: FloatArray
    rubber_mm2: FloatArray
    shaft_mm: FloatArray
    share: FloatArray
    mean_share: float
    at_upper: int
    at_lower: int


def blend_mm(upper_mm: float, lower_mm: float) -> tuple[float, float]:
    """Where the layers change over: the middle half of the way between the hands. Ours."""
    quarter = (lower_mm - upper_mm) / 4.0
    return upper_mm + quarter, lower_mm - quarter


def zone_shares(z_mm: FloatArray, upper_mm: float, lower_mm: float) -> FloatArray:
    """How far the tape has changed over from the upper zone (0) to the lower zone (1) at each station.

    Parameters
    ----------
    z_mm
        (S,) stations below the cap.
    upper_mm, lower_mm
        Where the hands sit, ``upper_mm < lower_mm``.
    """
    start, end = blend_mm(upper_mm, lower_mm)
    return np.asarray(np.minimum(np.maximum((z_mm - start) / (end - start), 0.0), 1.0))


def bench_of(grip: StockGrip, tape: Tape, club: OwnClub) -> Bench:
    """Sample a grip on a club of known butts, every 2 mm and wherever a profile may turn."""
    stretch = grip.stretch
    knots = [s.station_mm * stretch for s in grip.sections]
    hands = (club.upper_station_mm, club.lower_station_mm)
    start, end = blend_mm(*hands)
    bends = [*knots, *(b for b in (*hands, start, end) if knots[0] <= b <= knots[-1])]
    z = np.concatenate([np.arange(knots[0], knots[-1], PROFILE_STEP_MM.value), bends])
    z.sort()
    outside = np.interp(z, knots, [s.outside_mm for s in grip.sections])
    core = np.interp(z, knots, [s.core_mm for s in grip.sections])
    upper, lower = club.butt_upper_mm or 0.0, club.butt_lower_mm or 0.0
    slope = (lower - upper) / (hands[1] - hands[0])
    rubber = (outside * outside - core * core) / stretch
    return Bench(
        grip=grip,
        tape=tape,
        z_mm=z,
        outside_mm=outside,
        core_mm=core,
        rubber_mm2=rubber,
        shaft_mm=upper + slope * (z - (grip.cap_mm + hands[0])),
        share=zone_shares(z, *hands),
        mean_share=(knots[-1] - (start + end) / 2.0) / (knots[-1] - knots[0]),
        at_upper=int(z.searchsorted(hands[0])),
        at_lower=int(z.searchsorted(hands[1])),
    )


def tape_thickness_mm(tape: Tape, layers: FloatArray) -> FloatArray:
    """Tape on the shaft; the first layer is double-sided, a part layer is one that ends nearby."""
    return tape.double_sided_mm + (layers - 1.0) * tape.build_up_mm


def tape_se_mm(tape: Tape) -> tuple[float, float]:
    """Standard errors of a layer of each tape: calibrated, or a tenth of the thickness."""
    share = TAPE_SE_SHARE.value
    double, build_up = tape.double_sided_se_mm, tape.build_up_se_mm
    return (
        share * tape.double_sided_mm if double is None else double,
        share * tape.build_up_mm if build_up is None else build_up,
    )


def _inside_mm(bench: Bench, layers: Layers) -> FloatArray:
    """(S,) shaft with its tape."""
    tape, more = bench.tape, layers.lower - layers.upper
    thick = bench.share * (more * tape.build_up_mm)
    thick += tape.double_sided_mm + (layers.upper - 1) * tape.build_up_mm
    return np.asarray(bench.shaft_mm + 2.0 * thick)


def profile_mm(bench: Bench, layers: Layers) -> FloatArray:
    """(S,) outside diameter down the shaft; the volume law of `installed_mm` at every station."""
    return np.asarray(np.sqrt(bench.rubber_mm2 + _inside_mm(bench, layers) ** 2))


def tape_mass_g(bench: Bench, layers: Layers) -> float:
    """Mass of the tape: one layer's along the grip, times the layers there are on average."""
    return bench.tape.layer_mass_g * (layers.upper + (layers.lower - layers.upper) * bench.mean_share)


def centre_mm(bench: Bench) -> float:
    """Middle of the rubber's mass below the cap, by the trapezoidal rule."""
    z, moment = bench.z_mm, bench.rubber_mm2 * bench.z_mm
    apart = z[1:] - z[:-1]
    whole = apart @ (bench.rubber_mm2[1:] + bench.rubber_mm2[:-1])
    return float(apart @ (moment[1:] + moment[:-1]) / whole)


def _bore_stretch(bench: Bench, layers: Layers) -> float:
    """The most that the bore is widened anywhere."""
    return float((_inside_mm(bench, layers) / bench.core_mm).max())


def best_layers(bench: Bench, wanted: GripWanted) -> Layers | None:
    """Layers with the smallest error, then the least tape; None when no number of layers is possible.

    Exact. Under a hand only its own zone counts, so every pair's error is known before any profile is; the
    profiles are then looked at from the smallest error up, and the first that may be built is the answer. One
    wider than the Rules allow is only taken when all are.
    """
    wide: Layers | None = None
    for upper, lower in _ranked_pairs(bench, wanted):
        layers = Layers(upper=upper, lower=lower)
        profile = profile_mm(bench, layers)
        rise = float((profile - np.minimum.accumulate(profile)).max())  # `profile_rise_mm` of an array
        if rise > PROFILE_TOLERANCE_MM.value or _bore_stretch(bench, layers) > MOST_BORE_STRETCH.value:
            continue
        if float(profile.max()) <= GRIP_WIDEST_MM.value:
            return layers
        wide = wide or layers
    return wide


def _ranked_pairs(bench: Bench, wanted: GripWanted) -> Iterator[tuple[int, int]]:
    """Layers under the upper and the lower hand, smallest error first, then least tape.

    The squares of both hands add, so the pairs come off a heap that starts at the two smallest and grows by
    the next of either: mostly the first few are all that is ever worked out.
    """
    upper = _squares(bench, bench.at_upper, wanted.upper_mm)
    lower = _squares(bench, bench.at_lower, wanted.lower_mm)
    if wanted.upper_mm is None or wanted.lower_mm is None:
        yield from ((n, n) for _, n in lower if wanted.upper_mm is None)
        yield from ((n, n) for _, n in upper if wanted.upper_mm is not None)
        return
    heap, seen = [(upper[0][0] + lower[0][0], 0, 0)], {(0, 0)}
    while heap:
        least, alike = heap[0][0], []
        while heap and heap[0][0] == least:
            _, i, j = heapq.heappop(heap)
            alike.append((upper[i][1], lower[j][1]))
            for a, b in ((i + 1, j), (i, j + 1)):
                if a < len(upper) and b < len(lower) and (a, b) not in seen:
                    seen.add((a, b))
                    heapq.heappush(heap, (upper[a][0] + lower[b][0], a, b))
        yield from sorted(alike, key=lambda pair: pair[0] + (pair[1] - pair[0]) * bench.mean_share)


def _squares(bench: Bench, at: int, want: Estimate | None) -> list[tuple[float, int]]:
    """Squared error under one hand with its number of layers, smallest first; none without a hand there."""
    if want is None:
        return []
    rubber, wanted = math.sqrt(bench.rubber_mm2[at]), want.value
    one, more = _inside_at_mm(bench, at, 1), 2.0 * bench.tape.build_up_mm
    counts = range(1, bench.tape.most_layers + 1)
    return sorted(((math.hypot(rubber, one + (n - 1) * more) - wanted) ** 2, n) for n in counts)


def why_no_layers(bench: Bench) -> str:
    """Why `best_layers` found nothing, in words."""
    one = Layers(upper=1, lower=1)
    stretch = _bore_stretch(bench, one)
    if stretch > MOST_BORE_STRETCH.value:
        at = int(np.argmax(bench.shaft_mm / bench.core_mm))
        return (
            f"a butt of {bench.shaft_mm[at]:.1f} mm with one layer of tape would stretch its bore of "
            f"{bench.core_mm[at]:.1f} mm {stretch:.2f} times, at most {MOST_BORE_STRETCH.value:.2f}: take a "
            f"grip with a wider bore"
        )
    return "its own profile has a bulge or waist on this butt"


def _inside_at_mm(bench: Bench, at: int, layers: int) -> float:
    tape = bench.tape.double_sided_mm + (layers - 1) * bench.tape.build_up_mm
    return float(bench.shaft_mm[at]) + 2.0 * tape


def _slope(bench: Bench, at: int) -> float:
    """How fast the free outside changes down the shaft at a station, a millimetre each way."""
    z = bench.z_mm[at]
    ends = np.interp((z - 1.0, z + 1.0), bench.z_mm, bench.outside_mm)
    return float(ends[1] - ends[0]) / 2.0


def _other_se_mm(bench: Bench, at: int, layers: int, built_mm: float) -> float:
    """Standard error of one built diameter but for the tape, through the volume law.

    Source: JCGM 100:2008 (GUM), 5.1.2, on the derivatives of the law.
    """
    stretch = bench.grip.stretch
    stretched = bench.grip.installed_length_mm is not None
    length_se = LENGTH_SE_MM.value / bench.grip.length_mm if stretched else 0.0
    outside = float(bench.outside_mm[at]) / stretch
    parts = (
        _inside_at_mm(bench, at, layers) * BUTT_SE_MM.value,
        outside * MOULD_SE_MM.value,
        float(bench.core_mm[at]) / stretch * BORE_SE_MM.value,
        float(bench.rubber_mm2[at]) / (2.0 * stretch) * length_se,
        outside * _slope(bench, at) * STATION_SE_MM.value,
    )
    return math.hypot(*parts) / built_mm


def built_se_mm(bench: Bench, at: int, layers: int, built_mm: float) -> float:
    """Standard error of one built diameter: `_other_se_mm` and the tape's, each layer of a roll alike."""
    double, build_up = tape_se_mm(bench.tape)
    tapes = 2.0 * math.hypot(double, (layers - 1) * build_up)
    inside = _inside_at_mm(bench, at, layers)
    return math.hypot(_other_se_mm(bench, at, layers, built_mm), inside * tapes / built_mm)


def hand_law(bench: Bench, at: int, layers: int, built_mm: float) -> HandLaw:
    """What stands under a hand besides the tape."""
    return HandLaw(
        station_mm=float(bench.z_mm[at]),
        layers=layers,
        rubber_mm2=float(bench.rubber_mm2[at]),
        shaft_mm=float(bench.shaft_mm[at]),
        other_se_mm=_other_se_mm(bench, at, layers, built_mm),
    )


def profile_points(bench: Bench, layers: Layers) -> tuple[ProfilePoint, ...]:
    """The finished grip from the cap down, about every 10 mm and under each hand."""
    profile = profile_mm(bench, layers)
    count = layers.upper + (layers.lower - layers.upper) * bench.share
    last = len(bench.z_mm) - 1
    kept = sorted({*range(0, last + 1, POINT_EVERY), bench.at_upper, bench.at_lower, last})
    return tuple(
        ProfilePoint(
            station_mm=round(float(bench.z_mm[i]), 1),
            outside_mm=round(float(profile[i]), 3),
            layers=round(float(count[i]), 2),
        )
        for i in kept
    )
