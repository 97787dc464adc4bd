"""How far the player turns to each side: repeats, their mean and best, and what pain stopped."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from evenground.errors import MeasureError
from evenground.estimate import Estimate, difference, from_repeats
from evenground.sourced import Sourced
from evenground.visit import TurnReading

__all__ = ["NoTurnError", "TurnRanges", "TurnSide", "turn_ranges"]

TURN_SD_DEG = Sourced(
    2.1,
    "deg",
    "Johnson et al. 2012, J Athl Train 47:52-60: largest same-day SEM of five thoracic rotation tests",
)


class NoTurnError(MeasureError):
    """Turn readings of which none is a range."""

    do = "Do not repeat a turn that hurt; leave it out, and advise asking a health professional."

    def __init__(self, count: int, stopped: int) -> None:
        super().__init__(count, stopped)
        self.where = "turn"
        if stopped:
            self.what = (
                f"Pain stopped {stopped} of {count} turns, and none is left: a turn into pain is no range."
            )
        else:
            self.what = "No turn was entered."


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnSide:
    """Turn to one side. `best_deg` is the largest single turn: higher than the mean by chance alone.

    `stopped` counts turns that pain ended; they are kept and count for nothing. `reason` says why the
    estimates are None.
    """

    toward: Literal["lead", "trail"]
    mean_deg: Estimate | None
    best_deg: Estimate | None
    stopped: int
    reason: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnRanges:
    """Turn toward the target and away from it, and how much farther it goes toward it."""

    lead: TurnSide
    trail: TurnSide
    difference_deg: Estimate | None
    notes: tuple[str, ...]


def turn_ranges(readings: Sequence[TurnReading], *, known_sd_deg: float | None = None) -> TurnRanges:
    """Mean and best turn to each side, with their errors.

    Parameters
    ----------
    readings
        Any order; both sides or one.
    known_sd_deg
        The studio's own SD of one turn; without it a published one stands in, or the repeats' own spread
        where that is larger.

    Raises
    ------
    NoTurnError
        If no reading is left that pain did not stop.

    Notes
    -----
    No norm is applied: a standing turn depends on stance, toe-out and knee bend. Compare a player with
    themselves, and sides with each other.

    Examples
    --------
    >>> turns = [TurnReading(toward="lead", turn_deg=d) for d in (50.0, 52.0, 54.0)]
    >>> turn_ranges(turns, known_sd_deg=2.0).lead.mean_deg
    Estimate(value=52.0, se=1.155, dof=inf, n=3, unit='deg')
    """
    stopped = sum(r.stopped_by_pain for r in readings)
    if stopped == len(readings):
        raise NoTurnError(len(readings), stopped)
    lead, trail = _side(readings, "lead", known_sd_deg), _side(readings, "trail", known_sd_deg)
    apart = None
    if lead.mean_deg is not None and trail.mean_deg is not None:
        apart = difference(lead.mean_deg, trail.mean_deg)
    notes = []
    if stopped:
        notes.append(f"Pain stopped {stopped} of {len(readings)} turns; they are no range.")
    if known_sd_deg is None:
        notes.append("Errors are at least a published tester's, not this studio's own.")
    return TurnRanges(
        lead=lead,
        trail=trail,
        difference_deg=apart,
        notes=tuple(notes),
    )


def _side(
    readings: Sequence[TurnReading], side: Literal["lead", "trail"], known_sd_deg: float | None
) -> TurnSide:
    own = [r for r in readings if r.toward == side]
    turns = [r.turn_deg for r in own if not r.stopped_by_pain]
    stopped = len(own) - len(turns)
    if not turns:
        reason = "pain stopped every turn to this side" if stopped else "not taken to this side"
        return TurnSide(toward=side, mean_deg=None, best_deg=None, stopped=stopped, reason=reason)
    mean = _mean(turns, known_sd_deg)
    one_sd = mean.se * len(turns) ** 0.5
    best = Estimate(value=max(turns), se=one_sd, dof=mean.dof, n=1, unit="deg")
    return TurnSide(toward=side, mean_deg=mean, best_deg=best, stopped=stopped, reason=None)


def _mean(turns: Sequence[float], known_sd_deg: float | None) -> Estimate:
    sd = TURN_SD_DEG.value if known_sd_deg is None else known_sd_deg
    stated = from_repeats(turns, unit="deg", known_sd=sd, what="turn")
    if known_sd_deg is not None or len(turns) < 2:
        return stated
    seen = from_repeats(turns, unit="deg", what="turn")
    return seen if seen.se > stated.se else stated
