"""The hip-line check step by step: three first widths, then what tells most, then the confirmation."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from evenground.fit import stance_constants as c
from evenground.fit.stance_confirm import confirmation_order
from evenground.fit.stance_next import first_widths
from evenground.fit.stance_types import StanceFit
from evenground.measure.repeats import smallest_real_change
from evenground.visit import Family, HipLineTrial, Phase

__all__ = ["PlannedTrial", "plan_trial"]

FIRST = 3
ORDER: tuple[Family, ...] = ("irons", "putter", "woods")
"""Whose width is confirmed first, where several have one (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedTrial:
    """The trial to take next: what to set, whose it is, why; `part` and `place` say where in the check."""

    width_mm: float
    family: Family | None
    phase: Phase
    confirms: bool
    reason: str
    part: str
    place: int
    of: int


def plan_trial(
    trials: Sequence[HipLineTrial],
    fit: StanceFit | None,
    *,
    stature_mm: float | None,
    as_arrived_mm: Mapping[Family, float],
    phase: Phase,
    seed: int,
    noise_deg: float | None = None,
    allowed_mm: Sequence[float] = (),
) -> PlannedTrial | None:
    """What to set next, None when nothing is left to do in this check.

    Parameters
    ----------
    trials
        All trials so far.
    fit
        What the search made of them; None while there are fewer than three.
    stature_mm
        Spreads the first three widths; None takes the default stature.
    as_arrived_mm
        The player's own widths, heel centre to heel centre.
    phase
        The phase that goes on: before the hip routine, after it, or after a rest of the same length.
    seed
        The visit's own number: it settles the order of the first widths and of the confirmation, the same on
        every screen.
    noise_deg
        The studio's own SD of one reading; None takes the middle of the prior.
    allowed_mm
        The teacher's own list of widths; empty for any.

    Notes
    -----
    Method: docs/method/stance.md. Two readings at one width that differ by more than two readings of one
    thing nearly ever do are settled by a third before the search goes on. The confirmation is planned once
    the search has stopped with a width.
    """
    searching = [t for t in trials if not t.confirms]
    before = [t for t in searching if t.phase == "before"]
    goes_on = fit is None or fit.next is not None
    again = _repeat(searching, phase, noise_deg) if goes_on else None
    if again is not None:
        return again
    if len(before) < FIRST:
        return _first(before, stature_mm, as_arrived_mm, seed, allowed_mm)
    if fit is None:
        return None
    if phase != "before" and not any(t.phase == phase for t in searching):
        return _after(fit, searching, phase)
    if fit.next is not None and fit.next.phase == phase:
        taken = sum(t.phase == phase for t in searching)
        return PlannedTrial(
            width_mm=fit.next.width_mm,
            family=fit.next.family,
            phase=phase,
            confirms=False,
            reason=fit.next.reason,
            part="search",
            place=taken + 1,
            of=_budget(phase),
        )
    return None if phase != "before" else _confirming(trials, fit, as_arrived_mm, seed)


def _budget(phase: Phase) -> int:
    return int((c.BUDGET_BEFORE if phase == "before" else c.BUDGET_AFTER).value)


def _repeat(searching: Sequence[HipLineTrial], phase: Phase, noise_deg: float | None) -> PlannedTrial | None:
    """The width whose only two readings differ by more than chance allows, by how much in the reason."""
    allowed = smallest_real_change(c.NOISE_CENTRE.value if noise_deg is None else noise_deg)
    series = [t for t in searching if t.phase == phase]
    for trial in series:
        alike = [t for t in series if _same_setting(t, trial)]
        if len(alike) != 2:
            continue
        by = abs(alike[0].hip_line_deg - alike[1].hip_line_deg)
        if by > allowed:
            return PlannedTrial(
                width_mm=trial.width_mm,
                family=trial.family,
                phase=phase,
                confirms=False,
                reason=f"The two readings differ by {by:.1f} deg: a third tells which of them to doubt.",
                part="repeat",
                place=len(series) + 1,
                of=_budget(phase),
            )
    return None


def _same_setting(one: HipLineTrial, other: HipLineTrial) -> bool:
    return one.family == other.family and abs(one.width_mm - other.width_mm) <= c.SAME_WIDTH.value


def _first(
    taken: Sequence[HipLineTrial],
    stature_mm: float | None,
    as_arrived_mm: Mapping[Family, float],
    seed: int,
    allowed_mm: Sequence[float],
) -> PlannedTrial:
    """One of the three first widths that has not been set yet."""
    stature = c.DEFAULT_STATURE.value if stature_mm is None else stature_mm
    arrived = next((as_arrived_mm[f] for f in ORDER if f in as_arrived_mm), None)
    rng = np.random.default_rng(seed)
    widths = first_widths(stature, step_mm=10.0, rng=rng, as_arrived_mm=arrived, allowed_mm=allowed_mm)
    left = [w for w in widths if all(abs(w - t.width_mm) > c.SAME_WIDTH.value for t in taken)]
    return PlannedTrial(
        width_mm=(left or list(widths))[0],
        family=taken[-1].family if taken else None,
        phase="before",
        confirms=False,
        reason="Three widths spread over what this body can stand at come first, in random order, so that "
        "drift does not look like width.",
        part="first widths",
        place=len(taken) + 1,
        of=FIRST,
    )


def _after(fit: StanceFit, searching: Sequence[HipLineTrial], phase: Phase) -> PlannedTrial:
    family = next((f for f in ORDER if fit.families[f].width_mm is not None), ORDER[0])
    return PlannedTrial(
        width_mm=fit.families[family].best_width_mm,
        family=searching[-1].family and family,
        phase=phase,
        confirms=False,
        reason="The chosen width comes first: it shows at once whether "
        + ("the routine moved it." if phase == "after" else "rest alone moves it."),
        part="after the routine" if phase == "after" else "after a rest",
        place=1,
        of=int(c.BUDGET_AFTER.value),
    )


def _confirming(
    trials: Sequence[HipLineTrial], fit: StanceFit, as_arrived_mm: Mapping[Family, float], seed: int
) -> PlannedTrial | None:
    family = next((f for f in ORDER if fit.families[f].width_mm is not None), None)
    if family is None:
        return None
    done = [t for t in trials if t.confirms]
    order = confirmation_order(np.random.default_rng(seed))
    own = as_arrived_mm.get(family)
    turns = [name for name in order if own is not None or name == "chosen"]
    if len(done) >= len(turns):
        return None
    chosen = fit.families[family].best_width_mm
    named = trials[-1].family is not None
    return PlannedTrial(
        width_mm=chosen if turns[len(done)] == "chosen" or own is None else own,
        family=family if named else None,
        phase="before",
        confirms=True,
        reason="Fresh placements show whether the chosen width holds. The player is not told which it is.",
        part="confirming",
        place=len(done) + 1,
        of=len(turns),
    )
