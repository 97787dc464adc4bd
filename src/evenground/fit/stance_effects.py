"""What a phase and each condition that was varied does to the hip line, from the joint posterior."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from evenground.estimate import Estimate
from evenground.fit.stance_answer import curve_at
from evenground.fit.stance_layout import Layout
from evenground.fit.stance_model import Fitted
from evenground.fit.stance_types import Change, ConditionEffect
from evenground.visit import FAMILIES, HipLineTrial, Phase

__all__ = ["condition_effects", "phase_change"]

FloatArray = NDArray[np.float64]


def phase_change(
    phase: Phase,
    fitted: Fitted,
    layout: Layout,
    trials: Sequence[HipLineTrial],
    widths_mm: Sequence[float],
    *,
    margin_deg: float,
) -> tuple[Change, ...]:
    """A phase less *before* at each width; empty without trials in both.

    Parameters
    ----------
    phase
        *after* the routine, or *rested* as long as it takes: the control, worked out in the same way.
    fitted, layout
        The posterior and what its components are.
    trials
        That were taken in.
    widths_mm
        Where the change is told.
    margin_deg
        What counts as square.
    """
    taken = {t.phase for t in trials}
    if not {"before", phase} <= taken:
        return ()
    n, load = len(trials), layout.phase_load[phase]
    told = _told(fitted, layout, load, widths_mm, n, margin_deg)
    beyond: list[Estimate] | list[None] = [None] * len(told)
    if phase == "after" and "rested" in taken:
        apart = load - layout.phase_load["rested"]
        beyond = _told(fitted, layout, apart, widths_mm, n, margin_deg)
    family = max(FAMILIES, key=lambda f: layout.own_trials[f])
    both: tuple[Phase, Phase] = ("before", phase)
    before, after = (
        curve_at(fitted, layout.points(family, p, np.array(widths_mm)), margin_deg).p for p in both
    )
    return tuple(
        Change(
            width_mm=float(w),
            change_deg=told[i],
            p_square_before=float(before[i]),
            p_square_after=float(after[i]),
            beyond_rest_deg=beyond[i],
        )
        for i, w in enumerate(widths_mm)
    )


def condition_effects(
    fitted: Fitted,
    layout: Layout,
    trials: Sequence[HipLineTrial],
    widths_mm: Sequence[float],
    *,
    margin_deg: float,
) -> tuple[ConditionEffect, ...]:
    """What every condition that was varied does at the middle one of the widths, the others held."""
    width = float(sorted(widths_mm)[len(widths_mm) // 2])
    return tuple(
        ConditionEffect(
            name=one.name,
            reference=one.reference,
            level=one.level,
            width_mm=width,
            effect_deg=_told(fitted, layout, load, [width], len(trials), margin_deg)[0],
            trials=one.trials,
        )
        for one, load in zip(layout.conditions, layout.condition_load, strict=True)
    )


def _told(
    fitted: Fitted, layout: Layout, load: FloatArray, widths_mm: Sequence[float], n: int, margin_deg: float
) -> list[Estimate]:
    """What a load adds at each width."""
    found = curve_at(fitted, layout.effect_points(load, np.array(widths_mm)), margin_deg)
    return [
        Estimate(value=float(m), se=float(s), n=n, unit="deg")
        for m, s in zip(found.mean_deg, found.sd_deg, strict=True)
    ]
