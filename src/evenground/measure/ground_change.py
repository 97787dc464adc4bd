"""Two ways of standing compared: barefoot with shoes, as arrived with now."""

from dataclasses import dataclass
from typing import Any

from evenground.errors import MeasureError
from evenground.estimate import Estimate, difference
from evenground.measure.ground import Ground

__all__ = ["COMPARED", "FigureChange", "GroundChange", "TooFewPlacementsError", "ground_change"]

COMPARED = (
    "feet.left.load_percent",
    "feet.left.toe_out_deg",
    "feet.right.toe_out_deg",
    "feet.left.heel_load_percent",
    "feet.right.heel_load_percent",
    "stance_width_mm.heel_centres",
    "fore_aft_offset_mm",
    "heel_line_deg",
    "load_line_deg",
    "cop_mm.x",
    "cop_mm.y",
)
"""Figures that mean the same in two stances in the same footwear, by their place in `Ground`."""

_OF_THE_SOLE = ("feet.left.heel_load_percent", "feet.right.heel_load_percent", "cop_mm.y")
"""Counted from the heel or the length of what touches the mat: a shoe's is not a foot's."""

_LEAST = 2


class TooFewPlacementsError(MeasureError):
    """Too few placements to know how placing the feet varies."""

    do = "Step off and on again: three placements each are usual."

    def __init__(self, one: int, other: int) -> None:
        super().__init__(one, other)
        self.where = "comparison"
        self.what = f"{one} and {other} placements do not tell a difference from placing the feet anew."


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureChange:
    """One figure both ways, and the second less the first. `shown` when the 95 % range leaves out zero."""

    figure: str
    before: Estimate
    after: Estimate
    difference: Estimate
    shown: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundChange:
    """What differs between two ways of standing, each with at least two placements."""

    before: str
    after: str
    figures: tuple[FigureChange, ...]


def ground_change(
    before: Ground, after: Ground, *, names: tuple[str, str], other_footwear: bool = False
) -> GroundChange:
    """Differences of all figures that mean the same both ways.

    Parameters
    ----------
    before, after
        Pooled placements (`ground.pool_placements`).
    names
        What the two ways of standing are called.
    other_footwear
        Whether one is barefoot and the other not: figures of the sole are then left out.

    Raises
    ------
    TooFewPlacementsError
        With a single placement on either side: its error does not hold the placing of the feet.

    Notes
    -----
    Errors of pooled placements come from between them; the difference by `estimate.difference`, degrees of
    freedom by Welch and Satterthwaite. Of eleven figures that do not differ, one is *shown* in two of five
    comparisons by chance.
    """
    one, other = _placements(before), _placements(after)
    if min(one, other) < _LEAST:
        raise TooFewPlacementsError(one, other)
    figures = []
    for path in COMPARED:
        if other_footwear and path in _OF_THE_SOLE:
            continue
        was, now = _at(before, path), _at(after, path)
        if not isinstance(was, Estimate) or not isinstance(now, Estimate):
            continue
        apart = difference(now, was)
        shown = abs(apart.value) > apart.half_width()
        figures.append(FigureChange(figure=path, before=was, after=now, difference=apart, shown=shown))
    return GroundChange(before=names[0], after=names[1], figures=tuple(figures))


def _placements(ground: Ground) -> int:
    """How many placements stand behind pooled figures, by the first figure that there is."""
    found = (_at(ground, path) for path in COMPARED)
    return next((e.n for e in found if isinstance(e, Estimate)), 0)


def _at(value: Any, path: str) -> Any:
    for name in path.split("."):
        value = getattr(value, name, None)
    return value
