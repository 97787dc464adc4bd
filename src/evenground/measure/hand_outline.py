r"""Fingers, webs, wrist and sides of one flat hand from its outline.

::

            3     4          tips 1 thumb, 2 index, 3 middle, 4 ring, 5 little
         2  |     |          webs between them: 1-2, 2-3, 3-4, 4-5
         |  |  |  |  5       axis: wrist to middle tip
         |  \  /\ /  |       knuckles: a chord under the webs 2-3 and 4-5
       1  \         /        wrist: where the outline ends, or where hand turns into forearm
        \  \       |
         \__\      |         positions in mm, any frame with y down as in a picture
             \____ |
             | wrist|

Positions are in mm, x to the right and y down, as in a picture that was straightened.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from evenground.errors import MeasureError
from evenground.floor import Side

__all__ = [
    "FINGERS",
    "Finger",
    "FingersNotApartError",
    "HandCutOffError",
    "HandLandmarks",
    "HandShape",
    "NoWristError",
    "WristFound",
    "find_landmarks",
]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

Finger = Literal["thumb", "index", "middle", "ring", "little"]
WristFound = Literal["end", "forearm", "proportion", "placed"]
"""How a wrist was told: by the outline's end, where the forearm begins, by proportion, or by a person."""
FINGERS: tuple[Finger, ...] = ("thumb", "index", "middle", "ring", "little")

STEP_MM = 0.5
"""Distance between the points of the outline as it is worked on."""

_NARROW = 0.36  # of the palm's inscribed radius: half the width that no finger has and every palm has
_OUT = 0.45  # of the same radius: how far a finger sticks out of what is wider than any finger
_SHORT = 1.75  # of the same radius: how far from the palm's middle a hand can end and still end at its wrist
_PROMINENT = 0.22  # of the same radius: how far a tip stands out over the webs beside it
_REACH = 1.15  # of the same radius: how far from its middle a tip lies at least


class FingersNotApartError(MeasureError):
    """A hand whose fingers cannot be told apart."""

    do = "Spread the fingers a little, take rings and sleeves out of the way, and take the picture again."

    def __init__(self, found: int) -> None:
        super().__init__(found)
        self.where = "hand"
        self.what = f"{found} fingertips stand apart where a hand has five."


class HandCutOffError(MeasureError):
    """A hand that the picture does not hold whole."""

    do = "Take the picture again with the whole hand in it; only the forearm may run out."

    def __init__(self, what: str) -> None:
        super().__init__(what)
        self.where = "hand"
        self.what = f"The picture cuts off the {what}."


class NoWristError(MeasureError):
    """An outline that ends before the wrist."""

    do = "Take the picture again with the wrist in it."

    def __init__(self) -> None:
        super().__init__()
        self.where = "hand"
        self.what = "The outline ends before the wrist."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HandShape:
    """One hand's outline (N, 2) in mm, closed and in order, and its filled mask (R, C) of `mm_per_px` cells.

    `origin_mm` is where the mask's first cell lies. `at_edge` (N,) marks outline points on the picture's
    edge.
    """

    outline_mm: FloatArray
    at_edge: BoolArray
    mask: BoolArray
    mm_per_px: float
    origin_mm: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HandLandmarks:
    """Points of one hand, (2,) each, in mm. `seen_as` is the side that it is when its back is up.

    `wrist_found` says how the wrist was told: the outline's own end, where the forearm begins, only by
    proportion, or placed by a person.
    """

    tips: dict[Finger, FloatArray]
    webs: dict[tuple[Finger, Finger], FloatArray]
    wrist: tuple[FloatArray, FloatArray]
    knuckles: tuple[FloatArray, FloatArray]
    palm_mm: float
    palm_middle: FloatArray
    seen_as: Side
    wrist_found: WristFound

    @property
    def wrist_middle(self) -> FloatArray:
        """Midpoint of the two ends of the wrist."""
        return np.asarray((self.wrist[0] + self.wrist[1]) / 2.0)


def _resampled(outline: FloatArray, at_edge: BoolArray) -> tuple[FloatArray, BoolArray]:
    """The outline at even steps, smoothed no more than a picture's own steps ask for."""
    closed = np.vstack([outline, outline[:1]])
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    count = max(int(along[-1] / STEP_MM), 8)
    at = np.linspace(0.0, along[-1], count, endpoint=False)
    even = np.column_stack([np.interp(at, along, closed[:, k]) for k in (0, 1)])
    edge = at_edge[np.searchsorted(along[:-1], at, side="right") - 1]
    return ndimage.gaussian_filter1d(even, 0.7, axis=0, mode="wrap"), edge


def _palm(shape: HandShape) -> tuple[FloatArray, float, FloatArray]:
    """Middle and radius of the largest circle in the hand, and how far each cell lies from what is wide."""
    inside = ndimage.distance_transform_edt(np.pad(shape.mask, 1))[1:-1, 1:-1]
    row, column = np.unravel_index(int(np.argmax(inside)), inside.shape)
    radius = float(inside[row, column])
    wide = inside > _NARROW * radius
    away = ndimage.distance_transform_edt(~wide) - _NARROW * radius
    middle = np.array(shape.origin_mm) + shape.mm_per_px * np.array([float(column), float(row)])
    return middle, radius * shape.mm_per_px, away * shape.mm_per_px


def _sticks_out_mm(shape: HandShape, away_mm: FloatArray, points: FloatArray) -> FloatArray:
    """How far outline points stick out of the wide part of the hand, on something narrow such as a finger."""
    cells = np.rint((points - np.array(shape.origin_mm)) / shape.mm_per_px).astype(int)
    rows = np.clip(cells[:, 1], 0, away_mm.shape[0] - 1)
    columns = np.clip(cells[:, 0], 0, away_mm.shape[1] - 1)
    return np.asarray(away_mm[rows, columns])


def _tips(outline: FloatArray, out_mm: FloatArray, middle: FloatArray, radius: float) -> list[int]:
    """Indices of fingertips: prominent maxima of the distance from the palm's middle, on narrow parts."""
    far = np.hypot(*(outline - middle).T)
    peaks = _prominent_peaks(far, _PROMINENT * radius)
    return [i for i in peaks if out_mm[i] > _OUT * radius and far[i] > _REACH * radius]


def _prominent_peaks(far: FloatArray, least: float) -> list[int]:
    """Indices of the maxima of a closed series that rise `least` over the lowest point to any higher one."""
    low = int(np.argmin(far))
    series = np.roll(far, -low)
    peaks, rising, top, bottom = [], True, 0, 0
    for i in range(1, len(series)):
        if rising:
            if series[i] > series[top]:
                top = i
            elif series[top] - series[i] > least:
                peaks.append(top)
                rising, bottom = False, i
        elif series[i] < series[bottom]:
            bottom = i
        elif series[i] - series[bottom] > least:
            rising, top = True, i
    return sorted((p + low) % len(far) for p in peaks)


def _between(start: int, end: int, count: int) -> NDArray[np.intp]:
    """Indices from `start` to `end` along a closed outline."""
    return np.arange(start, start + (end - start) % count + 1) % count


def _deepest(outline: FloatArray, chain: NDArray[np.intp]) -> int:
    """Index of the chain's point that lies furthest from the straight line between its ends."""
    first, last = outline[chain[0]], outline[chain[-1]]
    along = (last - first) / max(float(np.hypot(*(last - first))), 1e-9)
    off = (outline[chain] - first) @ np.array([-along[1], along[0]])
    return int(chain[int(np.argmax(np.abs(off)))])


def _in_order(
    outline: FloatArray, tips: Sequence[int], middle: FloatArray
) -> tuple[list[int], dict[tuple[Finger, Finger], int]]:
    """Tips from thumb to little finger, and the webs between them, as indices of the outline.

    The wrist lies in the gap between neighbouring tips that points away from all of them; of the two end
    fingers the thumb is the one whose web lies nearer the wrist.
    """
    count = len(outline)
    mean = np.mean(outline[list(tips)], axis=0) - middle
    gaps = [_between(a, b, count) for a, b in zip(tips, [*tips[1:], tips[0]], strict=True)]
    away = [float(np.min((outline[g] - middle) @ mean)) for g in gaps]
    first = (int(np.argmin(away)) + 1) % len(tips)
    order = [tips[(first + k) % len(tips)] for k in range(len(tips))]
    webs = [_deepest(outline, _between(a, b, count)) for a, b in pairwise(order)]
    axis = outline[order[2]] - middle
    if (outline[webs[0]] - middle) @ axis > (outline[webs[-1]] - middle) @ axis:
        order.reverse()
        webs.reverse()
    names = list(pairwise(FINGERS))
    return order, dict(zip(names, webs, strict=True))


def _side(tips: Sequence[FloatArray], middle: FloatArray) -> Side:
    """Left or right when its back is seen: with y down a left hand's fingers run anti-clockwise."""
    thumb, little = tips[0] - middle, tips[4] - middle
    turn = thumb[0] * little[1] - thumb[1] * little[0]
    return "left" if turn < 0.0 else "right"


def _wrist(
    outline: FloatArray,
    edge: BoolArray,
    order: Sequence[int],
    middle: FloatArray,
    radius: float,
) -> tuple[tuple[FloatArray, FloatArray], Literal["end", "forearm", "proportion"]]:
    """Both ends of the wrist, the thumb's side first."""
    count = len(outline)
    thumb, little, tip = order[0], order[4], outline[order[2]]
    down = (middle - tip) / np.hypot(*(middle - tip))
    forward = np.array([-down[1], down[0]])
    chain = _between(thumb, little, count)
    if ((outline[chain] - middle) @ down).max() < (
        (outline[_between(little, thumb, count)] - middle) @ down
    ).max():
        chain = _between(little, thumb, count)[::-1]
    across = np.sign(float((outline[thumb] - outline[little]) @ forward)) or 1.0
    depth = (outline[chain] - middle) @ down
    wide = across * (outline[chain] - middle) @ forward
    if depth.max() < 0.75 * radius:
        raise NoWristError
    if not edge[chain].any():
        ends = _end_corners(outline, chain[depth > 0.5 * depth.max()])
        if max(float((e - middle) @ down) for e in ends) < _SHORT * radius:
            return ends, "end"
        # A sleeve or a strap ends the outline, not the wrist: everything past its corners is no hand.
        edge = edge.copy()
        edge[chain[depth > min(float((e - middle) @ down) for e in ends) - 3.0]] = True
    return _beside_forearm(outline[chain], edge[chain], depth, wide, radius)


def _end_corners(outline: FloatArray, low: NDArray[np.intp]) -> tuple[FloatArray, FloatArray]:
    """The two sharpest corners of the outline's lower part, in the order of the chain."""
    arm = int(7.0 / STEP_MM)
    count = len(outline)
    before = outline[(low - arm) % count] - outline[low]
    after = outline[(low + arm) % count] - outline[low]
    cosine = np.sum(before * after, axis=1) / (np.hypot(*before.T) * np.hypot(*after.T))
    first = int(np.argmax(cosine))
    apart = np.hypot(*(outline[low] - outline[low[first]]).T)
    second = int(np.argmax(np.where(apart > 25.0, cosine, -2.0)))
    one, other = sorted((first, second))
    return outline[low[one]], outline[low[other]]


def _beside_forearm(
    chain: FloatArray, edge: BoolArray, depth: FloatArray, wide: FloatArray, radius: float
) -> tuple[tuple[FloatArray, FloatArray], Literal["end", "forearm", "proportion"]]:
    """Where each side bends inward most between the heel of the hand and the picture's edge."""
    first, last = int(np.argmax(edge)), len(edge) - 1 - int(np.argmax(edge[::-1]))
    ends, bent = [], 0
    for part, sign in ((slice(0, first), 1.0), (slice(last + 1, None), -1.0)):
        points, deep, out = chain[part], depth[part], sign * wide[part]
        below = np.flatnonzero((deep > 0.35 * radius) & (deep < 2.0 * radius))
        if len(below) < 4:
            raise HandCutOffError("wrist")
        heel = below[int(np.argmax(out[below] - 0.35 * deep[below]))]
        rest = below[below >= heel] if sign > 0.0 else below[below <= heel]
        end = rest[int(np.argmax(deep[rest]))]
        corner, hollow = _hollow(deep[rest], out[rest], (deep[heel], out[heel]), (deep[end], out[end]))
        if hollow > 0.03 * radius:
            bent += 1
            ends.append(points[rest[corner]])
        else:
            ends.append(points[rest[int(np.argmin(np.abs(deep[rest] - 1.25 * radius)))]])
    return (ends[0], ends[1]), "forearm" if bent else "proportion"


def _hollow(
    deep: FloatArray, out: FloatArray, start: tuple[float, float], end: tuple[float, float]
) -> tuple[int, float]:
    """Where a side lies furthest inside the straight line between two of its points, and how far."""
    run, rise = end[0] - start[0], end[1] - start[1]
    length = max(float(np.hypot(run, rise)), 1e-9)
    inside = (rise * (deep - start[0]) - run * (out - start[1])) / length
    at = int(np.argmax(inside))
    return at, float(inside[at])


def _knuckles(
    outline: FloatArray,
    order: Sequence[int],
    webs: dict[tuple[Finger, Finger], int],
    ends_of_wrist: tuple[FloatArray, FloatArray],
) -> tuple[FloatArray, FloatArray]:
    """Ends of the chord across the knuckles: on the index's side, and on the little finger's."""
    count, wrist = len(outline), (ends_of_wrist[0] + ends_of_wrist[1]) / 2.0
    tip = outline[order[2]]
    axis = (tip - wrist) / np.hypot(*(tip - wrist))
    finger = float((tip - outline[webs["middle", "ring"]]) @ axis)
    thumb_web = float((outline[webs["thumb", "index"]] - wrist) @ axis)
    ring_web = float((outline[webs["ring", "little"]] - wrist) @ axis)
    heights = (0.49 * thumb_web + 0.615 * finger, ring_web - 0.29 * finger)
    little_side = _shorter(order[4], order[3], count, other=True)
    little_side = little_side[: 1 + int(np.argmin(np.hypot(*(outline[little_side] - ends_of_wrist[1]).T)))]
    ends = []
    for chain, height in (
        (_shorter(webs["thumb", "index"], order[1], count), heights[0]),
        (little_side, heights[1]),
    ):
        level = (outline[chain] - wrist) @ axis
        ends.append(outline[chain[int(np.argmin(np.abs(level - height)))]])
    return ends[0], ends[1]


def _shorter(start: int, end: int, count: int, *, other: bool = False) -> NDArray[np.intp]:
    """The shorter way along the outline from one point to another, or the other way round."""
    one, back = _between(start, end, count), _between(end, start, count)[::-1]
    return one if (len(one) < len(back)) != other else back


def find_landmarks(shape: HandShape) -> HandLandmarks:
    """Fingertips, webs, knuckles, wrist and side of one hand with its fingers apart.

    Parameters
    ----------
    shape
        One hand, flat; only the forearm may run out of the picture.

    Raises
    ------
    FingersNotApartError
        If other than five fingertips stand apart.
    HandCutOffError
        If a finger ends at the picture's edge.
    NoWristError
        If the outline ends before the wrist.

    Notes
    -----
    Tips are prominent maxima of the distance from the middle of the largest circle in the hand, on parts
    narrower than 0.72 of that circle's diameter; webs the deepest points between them; the thumb's web lies
    nearest the wrist. The wrist is where the outline ends, or, with a forearm, where each side bends inward
    most. The knuckle chord's one end stands 0.49 of the thumb's web plus 0.615 of the middle finger above the
    wrist, the other 0.29 of that finger under the web of ring and little finger (ours, a fit to 20 outlines:
    Stegmann and Gomez 2002, which it meets within 2.2 mm along the hand).
    """
    outline, edge = _resampled(shape.outline_mm, shape.at_edge)
    middle, radius, away_mm = _palm(shape)
    tips = _tips(outline, _sticks_out_mm(shape, away_mm, outline), middle, radius)
    if len(tips) != len(FINGERS):
        raise FingersNotApartError(len(tips))
    order, webs = _in_order(outline, tips, middle)
    for name, index in zip(FINGERS, order, strict=True):
        near = np.hypot(*(outline - outline[index]).T) < 4.0
        if edge[near].any():
            raise HandCutOffError(f"{name} finger" if name != "thumb" else name)
    wrist, how = _wrist(outline, edge, order, middle, radius)
    wrist_middle = (wrist[0] + wrist[1]) / 2.0
    order = _farthest(outline, order, webs, wrist_middle)
    return HandLandmarks(
        tips={name: outline[i] for name, i in zip(FINGERS, order, strict=True)},
        webs={pair: outline[i] for pair, i in webs.items()},
        wrist=wrist,
        knuckles=_knuckles(outline, order, webs, wrist),
        palm_mm=radius,
        palm_middle=middle,
        seen_as=_side([outline[i] for i in order], middle),
        wrist_found=how,
    )


def _farthest(
    outline: FloatArray,
    order: Sequence[int],
    webs: dict[tuple[Finger, Finger], int],
    wrist: FloatArray,
) -> list[int]:
    """Each tip as the point of its finger that lies furthest from the finger's own base."""
    count, names = len(outline), list(webs)
    found = []
    for k, index in enumerate(order):
        own = [webs[n] for n in names if FINGERS[k] in n]
        base = np.mean(outline[own], axis=0) if len(own) == 2 else (outline[own[0]] + wrist) / 2.0
        reach = int(14.0 / STEP_MM)
        near = np.arange(index - reach, index + reach + 1) % count
        for web in own:  # never past a web: fingers that lie side by side have tips close together
            near = near[[_same_side(int(i), index, web, count) for i in near]]
        found.append(int(near[int(np.argmax(np.hypot(*(outline[near] - base).T)))]))
    return found


def _same_side(point: int, tip: int, web: int, count: int) -> bool:
    """Whether the short way along the outline from a tip to a point does not cross a web."""
    way = (point - tip + count // 2) % count - count // 2
    to_web = (web - tip + count // 2) % count - count // 2
    return abs(way) <= abs(to_web) or (way > 0) != (to_web > 0)
