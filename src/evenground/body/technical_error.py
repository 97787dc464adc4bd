"""The technical error of measurement: how well the same person is measured twice."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from evenground.errors import MeasureError
from evenground.sourced import Sourced

__all__ = ["NoRepeatsError", "TechnicalError", "technical_error"]

TWO_SIDED = Sourced(1.959964, "", "97.5 % point of the standard normal, any statistics text")


class NoRepeatsError(MeasureError):
    """People who were each measured once."""

    do = "Measure at least one person twice, two or more people to know how reliable it is."

    def __init__(self, what: str) -> None:
        super().__init__(what)
        self.where = what
        self.what = "Nobody was measured twice, so its technical error cannot be told."


@dataclass(frozen=True, slots=True, kw_only=True)
class TechnicalError:
    """Error of one reading from repeats on people, in mm.

    `relative_percent` is of the mean of all readings. `reliability` is the share of the spread between people
    that is not error, None with fewer than two people. `real_change_mm` is what two readings of one person
    have to differ by to be different. `dof` are the degrees of freedom behind it: under ten it is itself
    known only to a factor of about two.
    """

    tem_mm: float
    relative_percent: float
    reliability: float | None
    real_change_mm: float
    people: int
    dof: int


def technical_error(people: Sequence[Sequence[float]], *, what: str = "size") -> TechnicalError:
    """Technical error of measurement of one size.

    Parameters
    ----------
    people
        One sequence of repeats a person; people measured once only count towards the mean and the spread.
    what
        The size, for the message.

    Raises
    ------
    NoRepeatsError
        When nobody was measured twice.

    Notes
    -----
    ``TEM = sqrt(sum d^2 / 2N)`` for pairs; for more repeats the pooled variance within people, which is the
    same for pairs. ``R = 1 - TEM^2 / SD^2`` with the SD of all readings (Anthropometry, Apparel Sizing and
    Design, ch. 2). A difference within it is no change: 1.96 sqrt(2) TEM.

    Examples
    --------
    >>> technical_error([(191, 193), (184, 183), (203, 204), (177, 179), (196, 195)]).tem_mm
    1.0488
    """
    measured = [p for p in people if len(p) > 0]
    dof = sum(len(p) - 1 for p in measured)
    if dof == 0:
        raise NoRepeatsError(what)
    within = math.fsum((v - math.fsum(p) / len(p)) ** 2 for p in measured for v in p)
    tem = math.sqrt(within / dof)
    values = [v for p in measured for v in p]
    mean = math.fsum(values) / len(values)
    variance = math.fsum((v - mean) ** 2 for v in values) / (len(values) - 1)
    several = len(measured) > 1 and variance > 0.0
    return TechnicalError(
        tem_mm=tem,
        relative_percent=100.0 * tem / mean,
        reliability=1.0 - tem**2 / variance if several else None,
        real_change_mm=TWO_SIDED.value * math.sqrt(2.0) * tem,
        people=len(measured),
        dof=dof,
    )
