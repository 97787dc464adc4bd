"""How much a measurement varies: standard error of measurement and the smallest change that is real."""

import math
from collections.abc import Sequence

from scipy.special import ndtri

from evenground.errors import MeasureError
from evenground.estimate import Estimate, from_repeats

__all__ = ["ReliabilityOutOfRangeError", "mean_of_repeats", "sem_from_icc", "smallest_real_change"]


class ReliabilityOutOfRangeError(MeasureError):
    """A figure of repeat measurements outside what it can be."""

    def __init__(self, name: str, value: float, allowed: str) -> None:
        super().__init__(name, value, allowed)
        self.where = name
        self.what = f"{value:g} is not possible."
        self.do = f"Give {allowed}."


def mean_of_repeats(
    values: Sequence[float], *, unit: str, stated_sd: float, known_sd: float | None = None
) -> Estimate:
    """Mean of repeats with the studio's own error, or else a stated one or the repeats' own where larger.

    Parameters
    ----------
    values
        At least one.
    unit
        Of the values.
    stated_sd
        SD of one reading that stands in for a studio's own: published, or worked out.
    known_sd
        The studio's own SD of one reading.

    Notes
    -----
    Few repeats can agree by chance: their own spread counts only where it gives the larger error.

    Examples
    --------
    >>> mean_of_repeats([10.0, 20.0, 12.0], unit="deg", stated_sd=2.0)
    Estimate(value=14.0, se=3.055, dof=2, n=3, unit='deg')
    """
    sd = stated_sd if known_sd is None else known_sd
    stated = from_repeats(values, unit=unit, known_sd=sd)
    if known_sd is not None or len(values) < 2:
        return stated
    seen = from_repeats(values, unit=unit)
    return seen if seen.se > stated.se else stated


def sem_from_icc(sd: float, icc: float) -> float:
    """Standard error of measurement from the spread between people and the reliability, in the unit of `sd`.

    Parameters
    ----------
    sd
        SD over the people measured, not negative.
    icc
        Intraclass correlation, 0 to 1, of the form that matches the use.

    Raises
    ------
    ReliabilityOutOfRangeError
        For a negative `sd` or an `icc` outside 0 to 1.

    Notes
    -----
    SD * sqrt(1 - ICC): Weir 2005, J Strength Cond Res 19:231-240; check values sem-1. Depends on how varied
    the group was: where the repeats themselves are at hand, use their own spread instead.

    Examples
    --------
    >>> sem_from_icc(5.0, 0.90)
    1.5811
    """
    if not (math.isfinite(sd) and sd >= 0.0):
        what = "sd"
        raise ReliabilityOutOfRangeError(what, sd, "a number that is not negative")
    if not 0.0 <= icc <= 1.0:
        what = "icc"
        raise ReliabilityOutOfRangeError(what, icc, "a number from 0 to 1")
    return sd * math.sqrt(1.0 - icc)


def smallest_real_change(sem: float, *, level: float = 0.95, repeats: int = 1) -> float:
    """Smallest difference between two occasions that noise alone seldom makes, in the unit of `sem`.

    Parameters
    ----------
    sem
        Standard error of one measurement.
    level
        Two-sided confidence, inside 0 to 1.
    repeats
        Independent repeats averaged on each occasion, at least 1.

    Raises
    ------
    ReliabilityOutOfRangeError
        For arguments outside these ranges.

    Notes
    -----
    z * sqrt(2) * SEM / sqrt(repeats), z = 1.96 at 95 %: Weir 2005, J Strength Cond Res 19:231-240; check
    values sem-1. Averaging helps only as far as the repeats are independent.

    Examples
    --------
    >>> smallest_real_change(1.5811), smallest_real_change(1.5811, level=0.90)
    (4.3825, 3.6779)
    """
    if not (math.isfinite(sem) and sem >= 0.0):
        what = "sem"
        raise ReliabilityOutOfRangeError(what, sem, "a number that is not negative")
    if not 0.0 < level < 1.0:
        what = "level"
        raise ReliabilityOutOfRangeError(what, level, "a number between 0 and 1")
    if repeats < 1:
        what = "repeats"
        raise ReliabilityOutOfRangeError(what, repeats, "at least 1")
    return float(ndtri(0.5 + level / 2.0)) * math.sqrt(2.0 / repeats) * sem
