r"""A known mass held at the chest: how far the common centre of mass should move, and how far it did.

::

        o shoulder
        |\  [load]     shift = load (load_ahead - body_ahead) / (body + load)
        | hip                  when the body does not give way
        |               body_ahead: where the weight was without the load, ahead of the heels
     ---+=====---       load_ahead: middle of the mass, ahead of the heels

In a held pose the mean centre of pressure lies under the centre of mass, so the mat's own shift is the test.
A body that leans back to meet the load moves less: that is no fault of the mat, and is told as such.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from evenground.body.segments import load_shift_mm
from evenground.errors import FitError
from evenground.estimate import Estimate, from_repeats
from evenground.fit.held_load_constants import (
    ADULT_YEARS,
    AGREES_WITHIN,
    BODY_KG_SD,
    LOAD_AHEAD_SD_MM,
    MINOR_KG,
    MOST_KG,
    MOST_SHARE,
    PAIR_SD_MM,
)

__all__ = [
    "HeldLoadFit",
    "LoadLimit",
    "LoadPair",
    "LoadTooHeavyError",
    "NoLoadPairsError",
    "UnlikeLoadsError",
    "fit_held_load",
    "load_limit",
    "load_moment_nm",
    "predicted_shift_mm",
]

LoadWord = Literal["agrees", "does not agree", "cannot tell"]
LEAST_OWN_SPREAD = 3
MOST_MORE = 50
GRAVITY = 9.81
SAME_KG = 0.05


class LoadTooHeavyError(FitError):
    """A mass that this player should not hold."""

    do = "Take a lighter one; start with 1 kg, close to the chest, and stop at pain."

    def __init__(self, load_kg: float, most_kg: float, why: str) -> None:
        super().__init__(load_kg, most_kg, why)
        self.where = "held load"
        self.what = f"{load_kg:g} kg is more than the {most_kg:g} kg that this player holds at most ({why})."


class NoLoadPairsError(FitError):
    """Nothing was placed with and without the mass."""

    do = "Take a placement without and one with the mass, one after the other; three such pairs at least."

    def __init__(self) -> None:
        super().__init__()
        self.where = "held load"
        self.what = "There is no pair of placements."


class UnlikeLoadsError(FitError):
    """Pairs with different masses, which cannot be averaged."""

    do = "Fit each mass by itself."

    def __init__(self, least_kg: float, most_kg: float) -> None:
        super().__init__(least_kg, most_kg)
        self.where = "held load"
        self.what = f"The pairs hold masses from {least_kg:g} to {most_kg:g} kg."


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadLimit:
    """How much a player holds at most, and why no more."""

    most_kg: float
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadPair:
    """One pair: the mass, its middle, and the centre of pressure without and with it, from the heels."""

    load_kg: float
    load_ahead_mm: float
    without_mm: float
    with_mm: float
    load_ahead_se_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldLoadFit:
    """Predicted and observed shift for one mass, + ahead.

    `apart_mm` is observed less predicted; `body_moved_mm` how far the player's own centre of mass moved to
    make that difference (- back, toward the heels), given only where the two do not agree. `agrees_within_mm`
    is a third of the prediction. `more_pairs` would tell, at the spread seen; None where enough is known or
    where no number of pairs would.
    """

    load_kg: float
    pairs: int
    predicted_mm: Estimate
    observed_mm: Estimate
    apart_mm: Estimate
    agrees_within_mm: float
    word: LoadWord
    body_moved_mm: Estimate | None
    more_pairs: int | None
    notes: tuple[str, ...]


def load_limit(body_kg: float | None, years: int | None) -> LoadLimit:
    """The heaviest mass that a player is asked to hold.

    Parameters
    ----------
    body_kg
        The player's own mass, None when it is not known.
    years
        Age by the year of birth alone (this year less that year), None when it is not known.

    Examples
    --------
    >>> load_limit(80.0, 45), load_limit(60.0, 45).most_kg, load_limit(60.0, 18).most_kg
    (LoadLimit(most_kg=8.0, why='a tenth of the body'), 6.0, 1.0)
    """
    if years is None:
        return LoadLimit(most_kg=MINOR_KG.value, why="the year of birth is not known")
    if years <= ADULT_YEARS.value:
        return LoadLimit(most_kg=MINOR_KG.value, why="a minor")
    if body_kg is None:
        return LoadLimit(most_kg=MINOR_KG.value, why="the mass of the body is not known")
    share = MOST_SHARE.value * body_kg
    if share < MOST_KG.value:
        return LoadLimit(most_kg=share, why="a tenth of the body")
    return LoadLimit(most_kg=MOST_KG.value, why="no player holds more")


def load_moment_nm(load_kg: float, reach_m: float) -> float:
    """What a mass asks of the shoulders when it is held away from them: weight times level reach.

    Examples
    --------
    >>> load_moment_nm(4.536, 0.60)
    26.7
    """
    return GRAVITY * load_kg * reach_m


def predicted_shift_mm(body_kg: float, without: Estimate, load_kg: float, load_ahead: Estimate) -> Estimate:
    """How far the common centre of mass moves ahead if the body does not give way.

    Parameters
    ----------
    body_kg, load_kg
        Masses; a body of unknown mass cannot be told anything.
    without
        Where the weight was without the load, mm ahead of the heels.
    load_ahead
        Where the middle of the mass is held, mm ahead of the heels.

    Notes
    -----
    ``body.segments.load_shift_mm``; its error from both places and the body's mass, first order.
    """
    whole = body_kg + load_kg
    lever = load_ahead.value - without.value
    parts = (
        load_kg / whole * load_ahead.se,
        load_kg / whole * without.se,
        load_kg * lever / whole**2 * BODY_KG_SD.value,
    )
    return Estimate(
        value=load_shift_mm(body_kg, without.value, load_kg, load_ahead.value),
        se=math.hypot(*parts),
        n=without.n,
        unit="mm",
    )


def fit_held_load(pairs: Sequence[LoadPair], body_kg: float) -> HeldLoadFit:
    """Predicted against observed shift, over pairs with one mass.

    Parameters
    ----------
    pairs
        At least one; three or more know their own spread.
    body_kg
        The player's own mass.

    Raises
    ------
    NoLoadPairsError
        Without any.
    UnlikeLoadsError
        With several masses.

    Notes
    -----
    Each pair's observed shift less its own predicted one; their mean, with the spread between the pairs (for
    fewer than three `PAIR_SD_MM`), and the part of the prediction's error that all pairs share. *Agrees*
    when the 95 % interval lies within a third of the prediction, *does not agree* when it does not and
    excludes 0, else *cannot tell*: a test too coarse for its load never agrees.
    """
    if not pairs:
        raise NoLoadPairsError
    masses = [p.load_kg for p in pairs]
    if max(masses) - min(masses) > SAME_KG:
        raise UnlikeLoadsError(min(masses), max(masses))
    known = PAIR_SD_MM.value if len(pairs) < LEAST_OWN_SPREAD else None
    predicted = _predicted(pairs, body_kg)
    shifts = [p.with_mm - p.without_mm for p in pairs]
    observed = from_repeats(shifts, unit="mm", known_sd=known, what="held load")
    each = [s - _rigid(p, body_kg) for s, p in zip(shifts, pairs, strict=True)]
    own = from_repeats(each, unit="mm", known_sd=known, what="held load")
    # Effective degrees of freedom grow when three pairs agree by chance: the spread's own few stay.
    apart = replace(own.widened(predicted.se), dof=own.dof)
    within = AGREES_WITHIN.value * abs(predicted.value)
    word = _word(apart, within)
    load_kg = math.fsum(masses) / len(masses)
    return HeldLoadFit(
        load_kg=load_kg,
        pairs=len(pairs),
        predicted_mm=predicted,
        observed_mm=observed,
        apart_mm=apart,
        agrees_within_mm=within,
        word=word,
        body_moved_mm=apart.scaled((body_kg + load_kg) / body_kg) if word == "does not agree" else None,
        more_pairs=_more(apart, predicted.se, within, len(pairs)) if word == "cannot tell" else None,
        notes=_notes(pairs),
    )


def _rigid(pair: LoadPair, body_kg: float) -> float:
    return load_shift_mm(body_kg, pair.without_mm, pair.load_kg, pair.load_ahead_mm)


def _predicted(pairs: Sequence[LoadPair], body_kg: float) -> Estimate:
    """Over all pairs; where the mass is held is measured alike each time: its error does not average out."""
    n = len(pairs)
    mean = [math.fsum(v) / n for v in zip(*((p.without_mm, p.load_ahead_mm) for p in pairs), strict=True)]
    errors = [LOAD_AHEAD_SD_MM.value if p.load_ahead_se_mm is None else p.load_ahead_se_mm for p in pairs]
    without = Estimate(value=mean[0], se=0.0, n=n, unit="mm")  # its own error is in the spread of the pairs
    ahead = Estimate(value=mean[1], se=max(errors), n=n, unit="mm")
    return predicted_shift_mm(body_kg, without, math.fsum(p.load_kg for p in pairs) / n, ahead)


def _word(apart: Estimate, within_mm: float) -> LoadWord:
    interval = apart.interval()
    if -within_mm <= interval.low and interval.high <= within_mm:
        return "agrees"
    return "cannot tell" if interval.low <= 0.0 <= interval.high else "does not agree"


def _more(apart: Estimate, shared_se: float, within_mm: float, n: int) -> int | None:
    """Pairs to add until the interval is as narrow as what counts as agreement, at the spread seen."""
    spread = math.sqrt(max(apart.se**2 - shared_se**2, 0.0) * n)
    for count in range(n + 1, n + MOST_MORE + 1):
        dof = math.inf if n < LEAST_OWN_SPREAD else count - 1
        own = Estimate(value=0.0, se=spread / math.sqrt(count), dof=dof, n=count, unit="mm")
        if own.widened(shared_se).half_width() <= within_mm:
            return count - n
    return None


def _notes(pairs: Sequence[LoadPair]) -> tuple[str, ...]:
    short = LEAST_OWN_SPREAD - len(pairs)
    if short <= 0:
        return ()
    return (f"{short} more pair{'s' if short > 1 else ''} would tell this player's own spread",)
