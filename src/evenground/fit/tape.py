"""How thick the tape really is, learned from what came back: the workshop's own rolls, as it wraps them.

A grip that comes back thicker than it was ordered has thicker tape under it, or thicker rubber; how much of
the difference is the tape's follows from the stated errors of both. Two thicknesses are learned: the
double-sided layer that is under every grip, and a layer of build-up tape.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from evenground.errors import FitError
from evenground.estimate import Estimate
from evenground.fit.grip_bench import tape_se_mm
from evenground.fit.grip_constants import SURPRISE_P, TAPE_THINNEST_MM
from evenground.fit.grip_types import HandLaw
from evenground.stock import Tape

__all__ = ["AsBuilt", "NothingBuiltError", "TapeLearned", "law_mm", "learn_tape"]

FloatArray: TypeAlias = npt.NDArray[np.float64]

ROUNDS = 4  # the law is nearly straight in the thickness: two would do


class NothingBuiltError(FitError):
    """A tape's thickness was to be learned and nothing has come back."""

    do = "Measure a finished grip under each hand first."

    def __init__(self) -> None:
        super().__init__()
        self.what = "No finished grip was measured."


@dataclass(frozen=True, slots=True, kw_only=True)
class AsBuilt:
    """One size measured on a finished grip. `piece` names the grip: both hands' sizes share its rubber."""

    piece: str
    law: HandLaw
    measured_mm: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeLearned:
    """The tape as the finished grips tell it.

    `fits` is False where no thickness explains what came back (`chance` of a worse misfit below one in a
    thousand): then something else was different, and `tape` is still the old one.
    """

    double_sided_mm: Estimate
    build_up_mm: Estimate
    tape: Tape
    fits: bool
    chance: float
    pieces: int


def law_mm(law: HandLaw, double_sided_mm: float, build_up_mm: float) -> float:
    """Outside under a hand for given tape, by the volume law.

    Examples
    --------
    >>> law = HandLaw(station_mm=50.8, layers=3, rubber_mm2=306.0, shaft_mm=15.2, other_se_mm=0.16)
    >>> law_mm(law, 0.127, 0.127)
    23.681
    """
    inside = law.shaft_mm + 2.0 * (double_sided_mm + (law.layers - 1) * build_up_mm)
    return math.sqrt(law.rubber_mm2 + inside * inside)


def learn_tape(tape: Tape, readings: Sequence[AsBuilt]) -> TapeLearned:
    """Thickness of both tapes after some finished grips were measured.

    Parameters
    ----------
    tape
        As it is known now, with its errors.
    readings
        Sizes under the hands, from any number of grips.

    Raises
    ------
    NothingBuiltError
        If there are none.

    Notes
    -----
    A normal prior updated by the law made straight at the estimate (Gauss-Newton; JCGM 100:2008, 5.1 for the
    derivatives; the update is the linear-Gaussian one of any text on Bayesian regression, as in Rasmussen &
    Williams 2006, 2.1). A size's error is the calliper's and all that is under the hand but the tape; what is
    under the hand is shared by both sizes of one piece. Misfit: the squared surprise under the prior is
    chi-squared with as many degrees of freedom as readings.
    """
    if not readings:
        raise NothingBuiltError
    prior = np.array([tape.double_sided_mm, tape.build_up_mm])
    spread = np.diag(np.square(tape_se_mm(tape)))
    noise = _noise(readings)
    seen = np.array([r.measured_mm.value for r in readings])
    thick, after = prior, spread
    chance = _chance(readings, prior, spread, noise)
    for _ in range(ROUNDS):
        expected, slope = _expected(readings, thick)
        gain = spread @ slope.T @ np.linalg.inv(slope @ spread @ slope.T + noise)
        thick = prior + gain @ (seen - expected - slope @ (prior - thick))
        after = spread - gain @ slope @ spread
    fits = chance >= SURPRISE_P.value and float(thick.min()) >= TAPE_THINNEST_MM.value
    count = len({r.piece for r in readings})
    ses = np.sqrt(np.diag(after))
    double, build_up = (
        Estimate(value=float(v), se=float(s), n=count, unit="mm") for v, s in zip(thick, ses, strict=True)
    )
    learned = replace(
        tape,
        double_sided_mm=double.value,
        build_up_mm=build_up.value,
        double_sided_se_mm=double.se,
        build_up_se_mm=build_up.se,
    )
    return TapeLearned(
        double_sided_mm=double,
        build_up_mm=build_up,
        tape=learned if fits else tape,
        fits=fits,
        chance=chance,
        pieces=count,
    )


def _expected(readings: Sequence[AsBuilt], thick: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(N,) sizes the law gives, and (N, 2) how they change with each thickness."""
    sizes = np.array([law_mm(r.law, float(thick[0]), float(thick[1])) for r in readings])
    more = np.array([[1.0, r.law.layers - 1.0] for r in readings])
    inside = np.array([r.law.shaft_mm for r in readings]) + 2.0 * more @ thick
    return sizes, np.asarray((2.0 * inside / sizes)[:, None] * more)


def _noise(readings: Sequence[AsBuilt]) -> FloatArray:
    """(N, N) covariance of the sizes but for the tape."""
    other = np.array([r.law.other_se_mm for r in readings])
    pieces = np.array([r.piece for r in readings])
    shared = np.where(pieces[:, None] == pieces[None, :], other[:, None] * other[None, :], 0.0)
    return np.asarray(shared + np.diag([r.measured_mm.se**2 for r in readings]))


def _chance(readings: Sequence[AsBuilt], thick: FloatArray, spread: FloatArray, noise: FloatArray) -> float:
    """Chance of sizes further from the expected ones than these are, if all stated errors are right."""
    from scipy.special import chdtrc

    expected, slope = _expected(readings, thick)
    off = np.array([r.measured_mm.value for r in readings]) - expected
    squared = float(off @ np.linalg.solve(slope @ spread @ slope.T + noise, off))
    return float(chdtrc(len(readings), squared))
