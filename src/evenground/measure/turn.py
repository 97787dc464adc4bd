"""How far trunk or pelvis turns to each side: repeats, their mean and best, and what pain stopped."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from evenground.errors import MeasureError
from evenground.estimate import Estimate, difference
from evenground.measure.repeats import mean_of_repeats
from evenground.measure.suspects import slips
from evenground.sourced import Sourced
from evenground.visit import TurnPart, TurnReading

__all__ = ["MixedTurnPartsError", "NoTurnError", "TurnRanges", "TurnSide", "turn_ranges", "turn_words"]

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


class MixedTurnPartsError(MeasureError):
    """Turns of the trunk and of the pelvis in one series."""

    do = "Give each its own series: the pelvis turns less than the trunk."

    def __init__(self, trunk: int, pelvis: int) -> None:
        super().__init__(trunk, pelvis)
        self.where = "turn"
        self.what = f"{trunk} turns of the trunk and {pelvis} of the pelvis are not one range."


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
    """Turn toward the target and away from it, and how much farther it goes toward it; of which part."""

    lead: TurnSide
    trail: TurnSide
    difference_deg: Estimate | None
    notes: tuple[str, ...]
    part: TurnPart = "trunk"


def turn_words(toward: Literal["lead", "trail"]) -> str:
    """A side to turn to, as it is said.

    Examples
    --------
    >>> turn_words("lead"), turn_words("trail")
    ('toward the target', 'away from the target')
    """
    return "toward the target" if toward == "lead" else "away from the target"


def turn_ranges(readings: Sequence[TurnReading], *, known_sd_deg: float | None = None) -> TurnRanges:
    """Mean and best turn to each side, with their errors.

    Parameters
    ----------
    readings
        Any order; both sides or one, of one part.
    known_sd_deg
        The studio's own SD of one turn; without it a published one stands in, or the repeats' own spread
        where that is larger.

    Raises
    ------
    NoTurnError
        If no reading is left that pain did not stop.
    MixedTurnPartsError
        If trunk and pelvis are mixed.

    Notes
    -----
    No norm is applied: a standing turn depends on stance, toe-out and knee bend. Compare a player with
    themselves, and sides with each other. A turn that looks like a slip of the pen is named and counted.

    Examples
    --------
    >>> turns = [TurnReading(toward="lead", turn_deg=d) for d in (50.0, 52.0, 54.0)]
    >>> turn_ranges(turns, known_sd_deg=2.0).lead.mean_deg
    Estimate(value=52.0, se=1.155, dof=inf, n=3, unit='deg')
    """
    pelvis = sum(r.part == "pelvis" for r in readings)
    if 0 < pelvis < len(readings):
        raise MixedTurnPartsError(len(readings) - pelvis, pelvis)
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
    notes += [note for side in (lead, trail) for note in _stances(readings, side)]
    notes += [note for side in (lead, trail) for note in _slips(readings, side, known_sd_deg)]
    return TurnRanges(
        part="pelvis" if pelvis else "trunk",
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
    mean = mean_of_repeats(turns, unit="deg", stated_sd=TURN_SD_DEG.value, known_sd=known_sd_deg)
    one_sd = mean.se * len(turns) ** 0.5
    best = Estimate(value=max(turns), se=one_sd, dof=mean.dof, n=1, unit="deg")
    return TurnSide(toward=side, mean_deg=mean, best_deg=best, stopped=stopped, reason=None)


def _stances(readings: Sequence[TurnReading], side: TurnSide) -> list[str]:
    """That the mean is over more than one stance, where it is."""
    stances = {
        (r.width_mm, r.trunk_deg, r.knee_flex_deg)
        for r in readings
        if r.toward == side.toward and not r.stopped_by_pain
    }
    if len(stances) < 2:
        return []
    return [f"Turns {turn_words(side.toward)} are over {len(stances)} stances; the mean is over all of them."]


def _slips(readings: Sequence[TurnReading], side: TurnSide, known_sd_deg: float | None) -> tuple[str, ...]:
    named = [
        (f"Turn {i} {turn_words(side.toward)}", r.turn_deg)
        for i, r in enumerate((r for r in readings if r.toward == side.toward), 1)
        if not r.stopped_by_pain
    ]
    sd = TURN_SD_DEG.value if known_sd_deg is None else known_sd_deg
    return slips(named, unit="deg", known_sd=sd)
