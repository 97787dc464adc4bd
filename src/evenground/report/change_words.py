"""Change between visits in words."""

from evenground.assess.changes import Kept
from evenground.estimate import Estimate
from evenground.report.words import estimate_text
from evenground.units import LengthSystem, show_range

__all__ = ["figure_words", "kept_words"]


def figure_words(value: Estimate | None, system: LengthSystem = "metric") -> str:
    """One figure with its error, or that there is none."""
    return "not measured" if value is None else estimate_text(value, system)


def kept_words(kept: Kept, system: LengthSystem = "metric") -> str:
    """Whether the player came back standing as the card said."""
    said = show_range(kept.low_mm, kept.high_mm, system)
    came = estimate_text(kept.came_mm, system, decimals=0)
    return f"{kept.family.capitalize()}: the card said {said}, the player came with {came}: {kept.word}."
