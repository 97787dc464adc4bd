"""What goes into the stance-width search and what comes out of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from evenground.estimate import Estimate
from evenground.fit import stance_constants as c
from evenground.visit import Family, Phase

__all__ = [
    "Answer",
    "Change",
    "ConditionCurve",
    "ConditionEffect",
    "CurvePoint",
    "FamilyAnswer",
    "NextWidth",
    "StanceFit",
    "StanceFlag",
    "StanceOptions",
    "Stop",
    "WidthWindow",
]

Answer = Literal["square", "likely", "none", "cannot tell"]
"""The answer word of one family."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StanceOptions:
    """How the search is run.

    `margin_deg` is what the teacher calls square in practice; noise never widens it. `noise_deg` is the
    studio's pooled SD of one hip-line reading. `keep_order` holds putter <= irons <= woods. `use_phase`
    names the curve that the answers come from. `allowed_mm` are the only widths that may be set and chosen,
    any where it is empty. With `turn_at_least_deg` a width has to leave that much turn to the side
    `turn_toward` as well; `turn_noise_deg` is the studio's SD of one turn.
    """

    margin_deg: float = c.MARGIN.value
    noise_deg: float | None = None
    keep_order: bool = True
    use_phase: Phase = "before"
    budget_before: int = int(c.BUDGET_BEFORE.value)
    budget_after: int = int(c.BUDGET_AFTER.value)
    least_gain: float = c.LEAST_GAIN.value
    drift_sd_deg: float = c.DRIFT_SD.value
    step_mm: float = 10.0
    draws: int = 512
    allowed_mm: tuple[float, ...] = ()
    turn_at_least_deg: float | None = None
    turn_toward: Literal["lead", "trail"] = "trail"
    turn_noise_deg: float | None = None

    def budget(self, phase: Phase) -> int:
        """Trials allowed in a phase."""
        return self.budget_before if phase == "before" else self.budget_after


@dataclass(frozen=True, slots=True, kw_only=True)
class WidthWindow:
    """Widths that are considered for a family, heel centre to heel centre, ends included.

    `only_mm` are the widths of the teacher's own list that may be chosen; empty where there is no list.
    """

    low_mm: float
    high_mm: float
    only_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FamilyAnswer:
    """What is known about one family's stance width.

    `width_mm` is given with *square* and *likely*; its error is the posterior spread of the squarest width
    around it. `best_width_mm` is the width with the highest `probability` of square whatever the answer.
    `any_square` is the chance that some width in the window is square. `carried_over` says that the family
    has no trials of its own and borrows the curve of `borrowed_from`.
    """

    answer: Answer
    width_mm: Estimate | None
    probability: float
    carried_over: bool
    best_width_mm: float
    any_square: float
    window_mm: WidthWindow
    borrowed_from: Family | None
    own_trials: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePoint:
    """The hip line at one width: mean, SD (of the curve, not of a reading), probability of square.

    Where a least turn is asked for, `p_square` is the chance of square *and* that turn.
    """

    width_mm: float
    mean_deg: float
    sd_deg: float
    p_square: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionCurve:
    """The curve of the families that share it, in one phase.

    `square_bands_mm` holds (from, to, probability): neighbouring widths that are each at least *likely*, and
    the mean of their probabilities, which is the share of the band that is expected to be square.
    """

    families: tuple[Family, ...]
    phase: Phase
    trials: int
    square_bands_mm: tuple[tuple[float, float, float], ...]
    curve: tuple[CurvePoint, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NextWidth:
    """The width to set for the next trial, what it is expected to gain, and why, in a sentence.

    `gain` is the expected rise of the summed best probabilities. `family` is None when a trial speaks for
    all.
    """

    width_mm: float
    gain: float
    reason: str
    family: Family | None
    phase: Phase


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """Whether the series may end, and why in a sentence."""

    done: bool
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """After minus before the hip routine at one width: measured *after* it, not shown to come from it.

    The same with a rest in the place of the routine is the control: what comes with time, standing and
    setting the feet anew. `beyond_rest_deg` is the change after the routine less that after the rest, where
    both were taken.
    """

    width_mm: float
    change_deg: Estimate
    p_square_before: float
    p_square_after: float
    beyond_rest_deg: Estimate | None = None

    @property
    def shows(self) -> bool:
        """Whether the change is larger than its error."""
        return not self.change_deg.interval().holds(0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionEffect:
    """What one condition that was varied does to the hip line at a width, family, phase and width alike.

    `level` beside `reference`: the other word, or the step that the effect is told for. `trials` is how many
    were not at the reference.
    """

    name: str
    reference: str
    level: str
    width_mm: float
    effect_deg: Estimate
    trials: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StanceFlag:
    """Something the reader must know about how the answer came about."""

    code: str
    where: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StanceFit:
    """Stance widths per family with their answers, the curve behind them, and what to do next.

    `curve` and `square_bands_mm` belong to the first of `conditions`, the curve with the most trials.
    `control` is the change after a rest, as `change` is that after the routine. `effects` tells what else
    was varied; the answers hold at each one's reference.
    """

    families: Mapping[Family, FamilyAnswer]
    square_bands_mm: tuple[tuple[float, float, float], ...]
    drift_deg_per_trial: Estimate
    next: NextWidth | None
    stop: Stop
    curve: tuple[CurvePoint, ...]
    noise_deg: Estimate
    phase: Phase
    margin_deg: float
    stature_mm: float
    stature_assumed: bool
    conditions: tuple[ConditionCurve, ...]
    change: tuple[Change, ...]
    flags: tuple[StanceFlag, ...]
    control: tuple[Change, ...] = ()
    effects: tuple[ConditionEffect, ...] = ()
