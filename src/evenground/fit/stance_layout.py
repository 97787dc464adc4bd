"""Which curve each family stands on: its own, one shared by all, or one borrowed from a neighbour.

no family column          one component, every family loads it
family with 3+ trials     a component of its own
family with 0 to 2        the nearest such family's component, plus one of its own that adds variance
after the routine         plus one more component, the change, shared by all families
after a rest              plus one of its own with the same prior, the control
footwear, hands, ...      plus one for each that was varied, shared by all families and phases
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenground.fit import stance_constants as c
from evenground.fit.stance_conditions import Condition, condition_loads, varied_conditions
from evenground.fit.stance_model import Points, Prior, noise_weights
from evenground.fit.stance_types import StanceOptions
from evenground.visit import FAMILIES, PHASES, Family, HipLineTrial, Phase

__all__ = ["Layout", "lay_out", "middle_of_phase"]

FloatArray = NDArray[np.float64]
_ENOUGH = 3  # trials that carry a curve of their own, the same number below which no search is made


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """The prior, and the row of loads of each family before the routine; a phase's load is added after it.

    `phase_load` holds the change after the routine and after a rest; `conditions` were varied, the loads of
    each are in `condition_load` in the same order.
    """

    prior: Prior
    shared: bool
    loads: dict[Family, FloatArray]
    phase_load: dict[Phase, FloatArray]
    conditions: tuple[Condition, ...]
    condition_load: tuple[FloatArray, ...]
    own_trials: dict[Family, int]
    base: dict[Family, Family]

    def load(self, family: Family, phase: Phase) -> FloatArray:
        """(C,) what a family's curve is made of in a phase."""
        return self.loads[family] + self.phase_load.get(phase, 0.0)

    def points(self, family: Family, phase: Phase, width_mm: FloatArray, late: float = 0.0) -> Points:
        """Points of one family's curve at the given widths."""
        n = len(width_mm)
        return Points(
            width_mm=width_mm, late=np.full(n, late), loads=np.tile(self.load(family, phase), (n, 1))
        )

    def effect_points(self, load: FloatArray, width_mm: FloatArray) -> Points:
        """Points of what one load adds: the change of a phase, a condition, or a difference of the two."""
        n = len(width_mm)
        return Points(width_mm=width_mm, late=np.zeros(n), loads=np.tile(load, (n, 1)))

    def measured(self) -> tuple[Family, ...]:
        """Families that a next trial may be asked of: all alike when shared, else those with trials."""
        if self.shared:
            return FAMILIES[:1]
        return tuple(f for f in FAMILIES if self.own_trials[f])

    def curves(self) -> tuple[tuple[Family, ...], ...]:
        """Families grouped by the curve they stand on."""
        return (FAMILIES,) if self.shared else tuple((f,) for f in FAMILIES)


def middle_of_phase(trials: Sequence[HipLineTrial], phase: Phase) -> float:
    """The mean trial number of a phase, from which drift is counted; 0 without trials."""
    numbers = [t.trial for t in trials if t.phase == phase]
    return sum(numbers) / len(numbers) if numbers else 0.0


def _bases(own_trials: dict[Family, int]) -> dict[Family, Family]:
    """Whose component each family stands on: its own with enough trials, else the nearest that has them."""
    most = max(FAMILIES, key=lambda f: (own_trials[f], f == "irons"))
    carrying = [f for f in FAMILIES if own_trials[f] >= _ENOUGH] or [most]

    def nearest(family: Family) -> Family:
        place = FAMILIES.index(family)
        return min(carrying, key=lambda f: (abs(FAMILIES.index(f) - place), -own_trials[f]))

    return {f: nearest(f) for f in FAMILIES}


def lay_out(
    trials: Sequence[HipLineTrial], *, options: StanceOptions, centre_mm: float
) -> tuple[Layout, Points, FloatArray]:
    """The layout of the curves, the points that were read, and the (n,) readings in deg.

    Parameters
    ----------
    trials
        Checked trials: all with a family, or none.
    options
        For the drift's prior and the studio's noise.
    centre_mm
        Width at which the slope turns.
    """
    shared = trials[0].family is None
    counts = Counter(t.family for t in trials)
    own: dict[Family, int] = {f: len(trials) if shared else counts[f] for f in FAMILIES}
    base: dict[Family, Family] = dict.fromkeys(FAMILIES, "irons") if shared else _bases(own)
    roots = sorted(set(base.values()), key=FAMILIES.index)
    borrowers = [f for f in FAMILIES if base[f] != f and not shared]
    conditions = varied_conditions(trials)
    phases = [p for p in ("rested",) if any(t.phase == p for t in trials)]
    before_change = len(roots) + len(borrowers) + len(conditions)
    unit = np.eye(before_change + len(phases) + 1)
    loads = {f: unit[roots.index(base[f])].copy() for f in FAMILIES}
    for i, family in enumerate(borrowers):
        loads[family] += unit[len(roots) + i]
    phase_load: dict[Phase, FloatArray] = {"after": unit[-1]}
    if phases:
        phase_load["rested"] = unit[-2]
    condition_load = tuple(unit[len(roots) + len(borrowers) + i] for i in range(len(conditions)))
    columns = (
        *((c.CONSTANT_SD.value, c.SLOPE_SD.value, 1.0) for _ in roots),
        *(_BORROW for _ in borrowers),
        *((one.constant_sd, one.slope_sd, one.amplitude_share) for one in conditions),
        *(_CHANGE for _ in range(len(phases) + 1)),
    )
    layout = Layout(
        prior=_prior(columns, options=options, centre_mm=centre_mm),
        shared=shared,
        loads=loads,
        phase_load=phase_load,
        conditions=conditions,
        condition_load=condition_load,
        own_trials=own,
        base=base,
    )
    middles: dict[Phase, float] = {p: middle_of_phase(trials, p) for p in PHASES}
    points = Points(
        width_mm=np.array([t.width_mm for t in trials]),
        late=np.array([t.trial - middles[t.phase] for t in trials]),
        loads=np.array([_trial_load(layout, t) for t in trials]),
        own_sd=np.array([t.se_deg or 0.0 for t in trials]),
    )
    return layout, points, np.array([t.hip_line_deg for t in trials])


def _trial_load(layout: Layout, trial: HipLineTrial) -> FloatArray:
    """(C,) what a trial's reading is made of, its conditions in."""
    load = layout.load(trial.family or "irons", trial.phase)
    carried = condition_loads(layout.conditions, trial)
    for share, one in zip(carried, layout.condition_load, strict=True):
        load = load + share * one
    return load


_BORROW = (c.BORROW_CONSTANT_SD.value, c.BORROW_SLOPE_SD.value, c.BORROW_AMPLITUDE_SHARE.value)
_CHANGE = (c.CHANGE_CONSTANT_SD.value, c.CHANGE_SLOPE_SD.value, c.CHANGE_AMPLITUDE_SHARE.value)


def _prior(
    columns: Sequence[tuple[float, float, float]], *, options: StanceOptions, centre_mm: float
) -> Prior:
    """The prior from each component's constant SD, slope SD and share of the amplitude."""
    constant_sd, slope_sd, share = np.array(columns).T
    noises = np.array([s.value for s in c.NOISES_DEG])
    return Prior(
        constant_sd=constant_sd,
        slope_sd=slope_sd,
        amplitude_share=share,
        centre_mm=centre_mm,
        drift_sd=options.drift_sd_deg,
        lengths_mm=np.array([s.value for s in c.LENGTHS_MM]),
        amplitudes_deg=np.array([s.value for s in c.AMPLITUDES_DEG]),
        noises_deg=noises,
        noise_weight=noise_weights(noises, options.noise_deg),
    )
