"""What is left of load shares once a tare offset is off."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from evenground.capture.weighings import WeighedRow
from evenground.estimate import Estimate
from evenground.measure.load_split import share_without_offset
from evenground.measure.weighing import Mismatch

__all__ = ["LeftShare", "without_offset"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftShare:
    """Left share of the load as it was read and without the offset."""

    person: str
    stood_on: str
    naive_percent: float
    left_percent: Estimate


def without_offset(rows: Iterable[WeighedRow], found: Sequence[Mismatch]) -> tuple[LeftShare, ...]:
    """Left shares of the rows on what has a tare offset, that offset taken off."""
    offsets = {m.who: m.offset_n for m in found if m.cause == "tare offset" and m.offset_n is not None}
    shares = []
    for row in rows:
        offset = offsets.get(row.weighing.stood_on)
        if offset is None or row.left_n is None or row.right_n is None:
            continue
        left, right = (Estimate(value=v, se=0.0, unit="N") for v in (row.left_n, row.right_n))
        shares.append(
            LeftShare(
                person=row.weighing.person,
                stood_on=row.weighing.stood_on,
                naive_percent=100.0 * row.left_n / (row.left_n + row.right_n),
                left_percent=share_without_offset(left, right, offset),
            )
        )
    return tuple(shares)
