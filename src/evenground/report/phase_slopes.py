"""The hip line before and after the routine, or a rest: paired slopes over the widths set in both phases."""

from collections.abc import Iterator, Sequence

from evenground.estimate import Estimate
from evenground.fit.stance_constants import SAME_WIDTH
from evenground.fit.stance_types import Change, ConditionEffect, StanceFit
from evenground.fit.stance_words import phase_words
from evenground.report.drawing import Drawing
from evenground.report.slopes_drawing import Slopes, slopes_drawing
from evenground.report.words import estimate_text
from evenground.units import LengthSystem, show_length
from evenground.visit import HipLineTrial, Phase

__all__ = ["clearest", "effect_words", "phase_sentences", "phase_slopes"]


def clearest(changes: Sequence[Change]) -> Change | None:
    """The change that stands out most from its error, None without any."""
    return max(changes, key=lambda c: abs(c.change_deg.value) / max(c.change_deg.se, 1e-9), default=None)


def phase_slopes(
    fit: StanceFit, trials: Sequence[HipLineTrial], phase: Phase, system: LengthSystem
) -> Drawing | None:
    """Every width set in both phases, its mean reading in each, and the curves' means where it is clearest.

    None without a width that was set in both.
    """
    told = clearest(fit.control if phase == "rested" else fit.change)
    pairs = list(_pairs(trials, phase, system))
    if told is None or not pairs:
        return None
    before = _at(fit, "before", told.width_mm)
    after = _at(fit, phase, told.width_mm)
    if before is None or after is None:
        return None
    return slopes_drawing(
        Slopes(
            left="before",
            right="after a rest" if phase == "rested" else "after",
            pairs=pairs,
            left_mean=before,
            right_mean=after,
            measured="hip line, deg, + open",
            zero="square",
        )
    )


def _pairs(
    trials: Sequence[HipLineTrial], phase: Phase, system: LengthSystem
) -> Iterator[tuple[str, float, float]]:
    """Each width set in both phases with its mean reading in either."""
    widths: list[float] = []
    for trial in trials:
        if trial.phase == phase and all(abs(trial.width_mm - w) > SAME_WIDTH.value for w in widths):
            widths.append(trial.width_mm)
    for width in sorted(widths):
        means = [_mean(trials, p, width) for p in ("before", phase)]
        if means[0] is not None and means[1] is not None:
            yield show_length(width, system).rpartition(" ")[0], means[0], means[1]


def _mean(trials: Sequence[HipLineTrial], phase: str, width_mm: float) -> float | None:
    own = [
        t.hip_line_deg
        for t in trials
        if t.phase == phase and not t.confirms and abs(t.width_mm - width_mm) <= SAME_WIDTH.value
    ]
    return sum(own) / len(own) if own else None


def _at(fit: StanceFit, phase: Phase, width_mm: float) -> Estimate | None:
    """The curve of a phase with the most trials at a width; None without one."""
    found = next((c for c in fit.conditions if c.phase == phase and c.trials), None)
    if found is None:
        return None
    point = min(found.curve, key=lambda p: abs(p.width_mm - width_mm))
    return Estimate(value=point.mean_deg, se=point.sd_deg, n=found.trials, unit="deg")


def phase_sentences(fit: StanceFit, phase: Phase, system: LengthSystem) -> Iterator[str]:
    """What changed and with what error; beyond the rest where both were taken."""
    told = clearest(fit.control if phase == "rested" else fit.change)
    if told is None:
        return
    unit = "mm" if system == "metric" else "in"
    yield f"Thin: widths set in both phases, in {unit}; thick: the curves with their 95 % ranges."
    words = "differs" if told.shows else "does not differ beyond its error"
    where = show_length(told.width_mm, system)
    not_shown = " (not shown to come from it)" if phase == "after" else ", the control,"
    yield (
        f"{phase_words(phase).capitalize()}{not_shown} the hip line at {where} {words}: "
        f"{estimate_text(told.change_deg)}."
    )
    if told.beyond_rest_deg is not None:
        yield f"Beyond what a rest as long does: {estimate_text(told.beyond_rest_deg)}."


def effect_words(effect: ConditionEffect, system: LengthSystem) -> str:
    """What a condition that was varied does, in a sentence."""
    seen = "differs" if not effect.effect_deg.interval().holds(0.0) else "does not differ beyond its error"
    level = effect.level
    against = level if level.endswith("more") else f"{level} against {effect.reference}"
    return (
        f"{effect.name.capitalize()}, {against}: the hip line at {show_length(effect.width_mm, system)} "
        f"{seen}, {estimate_text(effect.effect_deg)}."
    )
