"""One load split told in the three ways that people mix up; what is stored is percent of the total."""

from dataclasses import dataclass

from evenground.errors import MeasureError
from evenground.estimate import Estimate, Source, budget
from evenground.measure.weighing_constants import OFFSET_SPLIT_SD

__all__ = ["LoadSplit", "NothingLoadedError", "load_split", "share_without_offset"]


class NothingLoadedError(MeasureError):
    """Neither foot carries anything."""

    do = "Check that the player stands on the mat and that it records."

    def __init__(self, left_n: float, right_n: float) -> None:
        super().__init__(left_n, right_n)
        self.where = "load split"
        self.what = f"{left_n:g} N on the left and {right_n:g} N on the right are no load to share out."


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadSplit:
    """The same stance three times: only `left_percent` is unambiguous.

    `difference_percent` is left minus right in percent of the total, `symmetry_index_percent` the same in
    percent of the mean of the two: 52.5, 5 and 10 percent are one and the same split.
    """

    left_percent: float
    difference_percent: float
    symmetry_index_percent: float


def load_split(left_n: float, right_n: float) -> LoadSplit:
    """Left share, difference and symmetry index of two forces.

    Parameters
    ----------
    left_n, right_n
        Vertical force under each foot, in one unit, not negative.

    Raises
    ------
    NothingLoadedError
        When the total is zero or a force is negative.

    Notes
    -----
    Definitions as compared in Pol Ann Med 2017 24:148; the index inflates with asymmetry, so it is never
    printed without the share.

    Examples
    --------
    >>> load_split(420.0, 380.0)
    LoadSplit(left_percent=52.5, difference_percent=5.0, symmetry_index_percent=10.0)
    """
    total = left_n + right_n
    if not total > 0.0 or min(left_n, right_n) < 0.0:
        raise NothingLoadedError(left_n, right_n)
    difference = 100.0 * (left_n - right_n) / total
    return LoadSplit(
        left_percent=100.0 * left_n / total,
        difference_percent=difference,
        symmetry_index_percent=2.0 * difference,
    )


def share_without_offset(left: Estimate, right: Estimate, offset: Estimate) -> Estimate:
    """Left share of the load once an offset is taken off that lay under both feet.

    Parameters
    ----------
    left, right
        Mean vertical force under each foot, newtons, offset included.
    offset
        What both read together beyond the weight; half of it is taken off each side.

    Returns
    -------
    share
        Percent of the total. Its error holds the forces', the offset's, and that the offset may lie unevenly
        (`OFFSET_SPLIT_SD`).

    Raises
    ------
    NothingLoadedError
        When the offset leaves nothing, or a side less than nothing.

    Notes
    -----
    ``p = (L - c / 2) / (L + R - c)``: an offset c left in pulls the share p to 50 % by
    ``c (p - 1/2) / (L + R)``.

    Examples
    --------
    >>> plain = dict(se=0.0, unit="N")
    >>> left, right = Estimate(value=440.0, **plain), Estimate(value=360.0, **plain)
    >>> round(share_without_offset(left, right, Estimate(value=40.0, **plain)).value, 2)
    55.26
    """
    c = offset.value
    left_n, right_n = left.value - 0.5 * c, right.value - 0.5 * c
    total = left_n + right_n
    if not total > 0.0 or min(left_n, right_n) < 0.0:
        raise NothingLoadedError(left_n, right_n)
    p = left_n / total
    parts = budget(
        [
            Source(name="left", se=100.0 * left.se * (1.0 - p) / total, dof=left.dof),
            Source(name="right", se=100.0 * right.se * p / total, dof=right.dof),
            Source(name="offset", se=100.0 * offset.se * abs(p - 0.5) / total, dof=offset.dof),
            Source(name="where it lies", se=100.0 * abs(c) * float(OFFSET_SPLIT_SD) / total),
        ],
        unit="%",
    )
    return Estimate(value=100.0 * p, se=parts.se, dof=parts.dof, n=left.n, unit="%")
