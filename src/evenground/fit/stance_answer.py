"""From the posterior curve to a width and an answer word for each family."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenground.fit import stance_constants as c
from evenground.fit.stance_model import Fitted, Points, Projection, square_probability
from evenground.fit.stance_types import Answer, WidthWindow
from evenground.visit import FAMILIES, Family

__all__ = [
    "Band",
    "Curve",
    "answer_word",
    "any_square_probability",
    "choose_widths",
    "curve_at",
    "inside",
    "joint_draws",
    "square_bands",
    "squarest_spread",
    "width_grid",
    "width_windows",
]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
Band = tuple[float, float, float]


def width_windows(
    stature_mm: float, as_arrived_mm: Mapping[Family, float], allowed_mm: Sequence[float] = ()
) -> dict[Family, WidthWindow]:
    """Widths considered for each family, heel centre to heel centre.

    Parameters
    ----------
    stature_mm
        The player's stature.
    as_arrived_mm
        The widths the player came with, for any of the families.
    allowed_mm
        The teacher's own list; a window that holds none of it is stretched to the nearest one.

    Notes
    -----
    Shares of stature, ours; at least 120 mm wide and stretched to hold the as-arrived width. No published
    relation between body size and stance width exists: the windows bound the search and say nothing else.

    Examples
    --------
    >>> window = width_windows(1800.0, {"putter": 500.0})["putter"]
    >>> window.low_mm, window.high_mm
    (216.0, 500.0)
    """
    windows: dict[Family, WidthWindow] = {}
    for family in FAMILIES:
        low, high = (float(share) * stature_mm for share in c.WINDOW_SHARES[family])
        short = max(0.0, c.LEAST_WINDOW.value - (high - low)) / 2.0
        low, high = low - short, high + short
        arrived = as_arrived_mm.get(family)
        if arrived is not None:
            low, high = min(low, arrived), max(high, arrived)
        if allowed_mm:
            nearest = min(allowed_mm, key=lambda w: max(low - w, w - high, 0.0))
            low, high = min(low, nearest), max(high, nearest)
        only = tuple(sorted({float(w) for w in allowed_mm if low <= w <= high}))
        windows[family] = WidthWindow(low_mm=low, high_mm=high, only_mm=only)
    return windows


def width_grid(windows: Mapping[Family, WidthWindow], step_mm: float) -> FloatArray:
    """(W,) widths at whole steps from the narrowest to the widest window, and those of the teacher's list."""
    low = min(w.low_mm for w in windows.values())
    high = max(w.high_mm for w in windows.values())
    steps = np.arange(np.ceil(low / step_mm), np.floor(high / step_mm) + 1) * step_mm
    return np.asarray(np.union1d(steps, [w for one in windows.values() for w in one.only_mm]), dtype=float)


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """One curve on a grid of widths: `set_mean` and `set_sd` (H, W), mixed `mean_deg`, `sd_deg`, `p` (W,)."""

    width_mm: FloatArray
    view: Projection
    set_mean: FloatArray
    set_sd: FloatArray
    mean_deg: FloatArray
    sd_deg: FloatArray
    p: FloatArray


def curve_at(fitted: Fitted, points: Points, margin_deg: float) -> Curve:
    """The posterior of a curve with its probability of square at each point, averaged over the sets."""
    view = fitted.project(points)
    variance = fitted.variance(view)
    mean = fitted.weight @ view.mean
    spread = fitted.weight @ (variance + (view.mean - mean) ** 2)
    sd = np.sqrt(variance)
    return Curve(
        width_mm=points.width_mm,
        view=view,
        set_mean=view.mean,
        set_sd=sd,
        mean_deg=mean,
        sd_deg=np.sqrt(spread),
        p=np.clip(fitted.weight @ square_probability(view.mean, sd, margin_deg), 0.0, 1.0),
    )


def inside(width_mm: FloatArray, window: WidthWindow) -> BoolArray:
    """(W,) whether each width lies in the window, and is one of the teacher's list where there is one."""
    held = np.asarray((width_mm >= window.low_mm - 1e-9) & (width_mm <= window.high_mm + 1e-9))
    if not window.only_mm:
        return held
    listed = np.abs(width_mm[:, None] - np.array(window.only_mm)[None, :]).min(axis=1) < 1e-6
    return np.asarray(held & listed)


def _wanted(width_mm: FloatArray, p: FloatArray, window: WidthWindow, arrived_mm: float | None) -> FloatArray:
    """(W,) score of each width: P with ties at the top settled by nearness to as arrived; -inf outside."""
    allowed = inside(width_mm, window)
    best = p[allowed].max()
    if arrived_mm is None:
        return np.where(allowed, p, -np.inf)
    tied = np.minimum(p, best - c.TIE.value)
    return np.where(allowed, tied - 1e-9 * np.abs(width_mm - arrived_mm), -np.inf)


def choose_widths(
    width_mm: FloatArray,
    p: Mapping[Family, FloatArray],
    windows: Mapping[Family, WidthWindow],
    as_arrived_mm: Mapping[Family, float],
    *,
    keep_order: bool,
) -> dict[Family, int]:
    """Index into the grid of the width chosen for each family.

    Parameters
    ----------
    width_mm
        (W,) grid, rising.
    p
        (W,) probability of square for each family.
    windows
        Widths allowed for each family.
    as_arrived_mm
        Settles widths whose P is within 0.02 of the best; without it the highest P stands.
    keep_order
        Hold putter <= irons <= woods, by the largest sum of probabilities; widths may be shared.

    Notes
    -----
    The order is exact: over a rising grid, the best sum for the families so far that ends at or below
    a width is a running maximum.
    """
    scores = [_wanted(width_mm, p[f], windows[f], as_arrived_mm.get(f)) for f in FAMILIES]
    if not keep_order:
        return {f: int(np.argmax(s)) for f, s in zip(FAMILIES, scores, strict=True)}
    index = np.arange(len(width_mm))
    total = scores[0]
    best_before: list[NDArray[np.intp]] = []
    for score in scores[1:]:
        running = np.maximum.accumulate(total)
        best_before.append(np.maximum.accumulate(np.where(total == running, index, -1)))
        total = score + running
    chosen = [int(np.argmax(total))]
    for back in reversed(best_before):
        chosen.insert(0, int(back[chosen[0]]))
    return dict(zip(FAMILIES, chosen, strict=True))


def joint_draws(fitted: Fitted, curve: Curve, draws: int, rng: np.random.Generator) -> FloatArray:
    """(draws, W) whole curves drawn from the posterior, in mirrored pairs about each set's mean.

    Each set gets draws in proportion to its weight (systematic sampling).
    """
    pairs = draws // 2
    at = (rng.random() + np.arange(pairs)) / pairs
    which = np.minimum(np.searchsorted(np.cumsum(fitted.weight), at), len(fitted.weight) - 1)
    used, count = np.unique(which, return_counts=True)
    cov = fitted.covariance(curve.view, curve.view)[used]
    jitter = 1e-7 * np.trace(cov, axis1=1, axis2=2)[:, None, None] / cov.shape[1] + 1e-9
    chol = np.linalg.cholesky(cov + jitter * np.eye(cov.shape[1]))
    standard = rng.standard_normal((pairs, cov.shape[1]))
    half = np.concatenate(
        [z @ root.T for z, root in zip(np.split(standard, np.cumsum(count)[:-1]), chol, strict=True)]
    )
    middle = np.repeat(curve.set_mean[used], count, axis=0)
    return np.concatenate([middle + half, middle - half])


def any_square_probability(
    drawn_deg: FloatArray, allowed: BoolArray, margin_deg: float, turns: BoolArray | None = None
) -> float:
    """Chance that some allowed width is square, from (D, W) whole curves drawn from the posterior.

    With (D, W) `turns`, whether each draw also leaves turn enough at each width, both at one width.
    """
    square = np.abs(drawn_deg[:, allowed]) <= margin_deg
    if turns is not None:
        square &= turns[:, allowed]
    return float(square.any(axis=1).mean())


def squarest_spread(
    width_mm: FloatArray,
    drawn_deg: FloatArray,
    allowed: BoolArray,
    p: FloatArray,
    chosen: int,
    step_mm: float,
) -> float:
    """Posterior spread of the squarest width around the chosen one, mm.

    Parameters
    ----------
    width_mm, p
        (W,) grid and probability of square.
    drawn_deg
        (D, W) whole curves drawn from the posterior.
    allowed
        (W,) widths in the family's window.
    chosen
        Index of the chosen width.
    step_mm
        Step of the grid, whose rounding is part of the error.

    Notes
    -----
    The squarest width of a draw is looked for in the stretch around the chosen width where P stays above half
    of what it is there: a second square width elsewhere is another answer, not an error of this one.
    """
    stretch = _stretch(np.asarray(allowed & (p >= 0.5 * p[chosen])), chosen)
    squarest = width_mm[stretch][np.argmin(np.abs(drawn_deg[:, stretch]), axis=1)]
    return float(np.hypot(np.sqrt(np.mean((squarest - width_mm[chosen]) ** 2)), step_mm / np.sqrt(12.0)))


def _stretch(mask: BoolArray, at: int) -> slice:
    """The run of true neighbours that holds index `at`."""
    low = high = at
    while low > 0 and mask[low - 1]:
        low -= 1
    while high + 1 < len(mask) and mask[high + 1]:
        high += 1
    return slice(low, high + 1)


def answer_word(probability: float, any_square: float) -> Answer:
    """The word for a family: from P at the chosen width and the chance that any width is square.

    Examples
    --------
    >>> answer_word(0.93, 0.99), answer_word(0.75, 0.9), answer_word(0.05, 0.08), answer_word(0.5, 0.9)
    ('square', 'likely', 'none', 'cannot tell')
    """
    if probability >= c.SQUARE_FROM.value:
        return "square"
    if probability >= c.LIKELY_FROM.value:
        return "likely"
    return "none" if any_square <= c.NONE_BELOW.value else "cannot tell"


def square_bands(width_mm: FloatArray, p: FloatArray) -> tuple[Band, ...]:
    """Runs of neighbouring widths that are each at least *likely*: (from mm, to mm, mean probability)."""
    bands: list[Band] = []
    i = 0
    likely = np.asarray(p >= c.LIKELY_FROM.value)
    while i < len(p):
        if likely[i]:
            run = _stretch(likely, i)
            bands.append((float(width_mm[i]), float(width_mm[run.stop - 1]), float(p[run].mean())))
            i = run.stop
        else:
            i += 1
    return tuple(bands)
