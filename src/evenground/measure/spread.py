"""How far readings of one thing scatter: an SD with its interval, and how many readings steady it."""

import math
from dataclasses import dataclass

from scipy.special import chdtri, ndtri

from evenground.estimate import Interval
from evenground.measure.repeats import ReliabilityOutOfRangeError

__all__ = ["Spread", "readings_for_spread", "repeats_for_change", "spread_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """An SD, the range that holds the true one with `interval.level`, and the degrees of freedom behind it.

    `dof` is None where the range does not come from one chi-square.
    """

    value: float
    interval: Interval
    dof: float | None
    unit: str


def spread_of(sd: float, dof: float, *, unit: str, level: float = 0.95) -> Spread:
    """An SD of normal readings with its chi-square range.

    Parameters
    ----------
    sd
        Root of a mean square with `dof` degrees of freedom.
    dof
        Over 0.

    Notes
    -----
    ``dof * sd^2 / sigma^2`` is chi-square: any statistics text. With 2 degrees of freedom the range runs from
    half to six times the SD: a study of three readings says next to nothing.

    Examples
    --------
    >>> found = spread_of(2.0, 10, unit="deg").interval
    >>> found.low, found.high
    (1.397, 3.510)
    """
    tail = (1.0 - level) / 2.0
    low, high = (math.sqrt(dof / float(chdtri(dof, p))) * sd for p in (tail, 1.0 - tail))
    return Spread(
        value=sd, interval=Interval(low=low, high=high, level=level, unit=unit), dof=float(dof), unit=unit
    )


def readings_for_spread(within: float, *, level: float = 0.95) -> int:
    """Degrees of freedom after which an SD is known to within a share of itself, either way.

    Parameters
    ----------
    within
        Such as 0.2 for 20 %; 0.05 to 1.

    Raises
    ------
    ReliabilityOutOfRangeError
        For a share outside that range.

    Notes
    -----
    The smallest whole number whose chi-square range has both ends within the share. Two readings of each
    of that many people give as many.

    Examples
    --------
    >>> readings_for_spread(0.2)
    69
    """
    if not 0.05 <= within <= 1.0:
        what = "within"
        raise ReliabilityOutOfRangeError(what, within, "a share from 0.05 to 1")
    dof = 1
    while True:
        ends = spread_of(1.0, dof, unit="", level=level).interval
        if ends.high <= 1.0 + within and ends.low >= 1.0 - within:
            return dof
        dof += 1


def repeats_for_change(sd: float, change: float, *, power: float = 0.8, level: float = 0.95) -> int:
    """Repeats on each of two occasions that will show a change of a given size.

    Parameters
    ----------
    sd
        Known SD of one reading, not negative.
    change
        Size of the true change, over 0, in the same unit.
    power
        Chance of seeing it, 0.5 to under 1.

    Raises
    ------
    ReliabilityOutOfRangeError
        For arguments outside these ranges.

    Notes
    -----
    ``2 (z_level + z_power)^2 sd^2 / change^2``, rounded up: two-sided test of two means with a known SD, any
    statistics text. Repeats cannot shrink what shifts a whole occasion (another observer, another bar).

    Examples
    --------
    >>> repeats_for_change(3.0, 4.0)
    9
    """
    if not (math.isfinite(sd) and sd >= 0.0):
        what = "sd"
        raise ReliabilityOutOfRangeError(what, sd, "a number that is not negative")
    if not change > 0.0:
        what = "change"
        raise ReliabilityOutOfRangeError(what, change, "a number over 0")
    if not 0.5 <= power < 1.0:
        what = "power"
        raise ReliabilityOutOfRangeError(what, power, "a number from 0.5 to under 1")
    z = float(ndtri(0.5 + level / 2.0)) + float(ndtri(power))
    return max(1, math.ceil(2.0 * (z * sd / change) ** 2 - 1e-9))
