"""How a mat's gain changes over its surface, from known weights in some places, with what is not known of it.

The gain of a place is a mean, a smooth part, and what is its own::

    gain(p) = mean + f(p) + own      f: Gaussian process, squared exponential;  own: white

over a grid of sizes and reaches, each weighed by how well it explains the places (marginal likelihood). One
weight in one place says the mean and nothing else: the error of a difference then is that of the grid.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from evenground.instruments import KnownWeight
from evenground.measure.recording import FloatArray

__all__ = ["Gain", "gain_at", "gain_errors", "gain_map", "nonlinearity"]

_SIZES = (0.003, 0.01, 0.02, 0.04, 0.08)
_REACHES_MM = (200.0, 500.0, 1200.0)
_OWN = (0.002, 0.005, 0.01, 0.02)
_VAGUE = 10.0
_SAME_PLACE_MM = 40.0
_NEGLIGIBLE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Gain:
    """Gain at P points: (P,) means and (P, P) covariance, each point the size of a foot or a weight."""

    mean: FloatArray
    covariance: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class _Model:
    """One point of the grid: its weight, and what it takes to predict."""

    log_weight: float
    size: float
    reach_mm: float
    own: float
    inverse: FloatArray


def _places(known: KnownWeight) -> FloatArray:
    return np.column_stack([known.x_mm, known.y_mm])


def _kernel(one: FloatArray, other: FloatArray, size: float, reach_mm: float) -> FloatArray:
    apart = ((one[:, None, :] - other[None, :, :]) ** 2).sum(axis=-1)
    return np.asarray(_VAGUE**2 + size**2 * np.exp(-0.5 * apart / reach_mm**2))


def _models(known: KnownWeight) -> Iterator[_Model]:
    places, away = _places(known), np.array(known.gain) - 1.0
    noise = np.diag(np.square(known.gain_se))
    for size in _SIZES:
        for reach in _REACHES_MM:
            smooth = _kernel(places, places, size, reach) + noise
            for own in _OWN:
                spread = smooth + own**2 * np.eye(len(places))
                inverse = np.linalg.inv(spread)
                log_det = float(np.linalg.slogdet(spread)[1])
                yield _Model(-0.5 * (log_det + float(away @ inverse @ away)), size, reach, own, inverse)


def _weighed(known: KnownWeight) -> Iterator[tuple[_Model, float]]:
    """Each model that counts with its share of all."""
    models = list(_models(known))
    weights = np.exp(np.array([m.log_weight for m in models]) - max(m.log_weight for m in models))
    weights /= weights.sum()
    yield from ((m, float(w)) for m, w in zip(models, weights, strict=True) if w >= _NEGLIGIBLE)


def gain_at(known: KnownWeight, points_mm: FloatArray) -> Gain:
    """Gain at points of the mat, with its covariance.

    Parameters
    ----------
    known
        Known weights in at least one place.
    points_mm
        (P, 2) from the mat's corner.

    Notes
    -----
    Kriging with an unknown mean (a constant of SD 10), averaged over the grid; the covariance of the mixture
    holds both what each model does not know and how far the models differ. Rasmussen and Williams 2006,
    Gaussian Processes for Machine Learning, 2.2 and 2.7.
    """
    places, away = _places(known), np.array(known.gain) - 1.0
    mean, square = np.zeros(len(points_mm)), np.zeros((len(points_mm),) * 2)
    for model, weight in _weighed(known):
        across = _kernel(points_mm, places, model.size, model.reach_mm) @ model.inverse
        at = across @ away
        within = _kernel(points_mm, points_mm, model.size, model.reach_mm)
        within = within - across @ _kernel(places, points_mm, model.size, model.reach_mm)
        within += model.own**2 * np.eye(len(points_mm))
        mean += weight * at
        square += weight * (within + np.outer(at, at))
    return Gain(mean=1.0 + mean, covariance=square - np.outer(mean, mean))


def gain_map(known: KnownWeight, positions_mm: FloatArray) -> FloatArray:
    """Mean gain at each cell, (P,) for (P, 2); as `gain_at` without its covariance."""
    places, away = _places(known), np.array(known.gain) - 1.0
    mean = np.ones(len(positions_mm))
    for model, weight in _weighed(known):
        across = _kernel(positions_mm, places, model.size, model.reach_mm)
        mean += weight * (across @ (model.inverse @ away))
    return mean


def gain_errors(known: KnownWeight, feet_mm: FloatArray, load_left: float) -> dict[str, float]:
    """What the unknown rest of the gain adds to the figures of a stance, by name.

    Parameters
    ----------
    known
        The weights that the mat was corrected by.
    feet_mm
        (2, 2) CoP of the left and the right foot, from the mat's corner.
    load_left
        Share of the load on the left foot, 0 to 1.

    Notes
    -----
    First order: a share p moves by p (1 - p) times the difference of the two gains, the CoP by that times
    the distance of the feet, the force by the gains weighed with the shares.
    """
    spread = gain_at(known, feet_mm).covariance
    apart = np.array([1.0, -1.0])
    share = load_left * (1.0 - load_left) * float(np.sqrt(max(apart @ spread @ apart, 0.0)))
    both = np.array([load_left, 1.0 - load_left])
    away = np.abs(feet_mm[1] - feet_mm[0])
    return {
        "load_left_percent": 100.0 * share,
        "load_right_percent": 100.0 * share,
        "cop_x_mm": share * float(away[0]),
        "cop_y_mm": share * float(away[1]),
        "total": float(np.sqrt(max(both @ spread @ both, 0.0))),
    }


def nonlinearity(known: KnownWeight) -> float | None:
    """Change of gain from the lightest to the heaviest weight that stood in the same place.

    None where no two masses, one half as heavy again as the other, stood within 40 mm of one another.
    """
    places, mass, gain = _places(known), np.array(known.mass_kg), np.array(known.gain)
    worst = None
    for i in range(len(mass)):
        for j in range(len(mass)):
            near = np.hypot(*(places[i] - places[j])) < _SAME_PLACE_MM
            if near and mass[i] >= 1.5 * mass[j]:
                change = float(gain[i] - gain[j])
                worst = change if worst is None or abs(change) > abs(worst) else worst
    return worst
