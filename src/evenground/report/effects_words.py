"""Effects in words: what was changed from what to what, and what that did."""

from evenground.estimate import Estimate
from evenground.fit.effects import Effect, Effects
from evenground.fit.effects_design import condition_words
from evenground.report.words import MINUS, joined

__all__ = [
    "change_words",
    "condition_words",
    "effect_title",
    "effect_verdict",
    "never_varied_words",
    "signed_text",
]


def effect_title(effect: Effect) -> str:
    """The condition, from which state to which.

    Examples
    --------
    >>> width = Effect(condition="width_mm", start=300.0, end=420.0, change=None, reason="")
    >>> effect_title(width)
    'width, 300 to 420 mm'
    """
    words, unit = condition_words(effect.condition)
    states = f"{_state(effect.start)} to {_state(effect.end)} {unit}".rstrip()
    return f"{words}, {states}"


def _state(state: float | str) -> str:
    return state if isinstance(state, str) else f"{state:g}".replace("-", MINUS)


def signed_text(value: float, decimals: int = 1) -> str:
    """A number with its sign, a true minus for less.

    Examples
    --------
    >>> signed_text(-1.24), signed_text(0.04)
    ('−1.2', '0.0')
    """
    text = f"{value:+.{decimals}f}"
    return f"{0:.{decimals}f}" if float(text) == 0.0 else text.replace("-", MINUS)


def change_words(change: Estimate) -> str:
    """A change with its error, such as ``+2.1 ± 1.3 deg``."""
    return f"{signed_text(change.value)} ± {change.half_width():.1f} {change.unit}".rstrip()


def effect_verdict(effect: Effect) -> str:
    """What may be said of an effect."""
    if effect.change is None:
        return effect.reason or "cannot tell"
    return "real" if effect.seen else "within its error"


def never_varied_words(effects: Effects) -> str:
    """What never changed, so that nothing is known of what it does; empty when everything did."""
    same = []
    for name, state in effects.never_varied:
        words, unit = condition_words(name)
        same.append(f"{words} ({_state(state)} {unit}".rstrip() + ")")
    return f"never varied: {joined(same)}" if same else ""
