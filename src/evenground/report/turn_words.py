"""What stance does to the turn, in a sentence for each slope."""

from evenground.fit.turn import TurnSlope
from evenground.measure.turn import turn_words

__all__ = ["slope_words"]


def slope_words(slope: TurnSlope) -> str:
    """One slope with its error and the range that it was tried over, or why there is none.

    Examples
    --------
    >>> from evenground.estimate import Estimate
    >>> told = TurnSlope(
    ...     part="trunk",
    ...     toward="trail",
    ...     varied="stance width",
    ...     step=100.0,
    ...     step_unit="mm",
    ...     low=300.0,
    ...     high=500.0,
    ...     slope=Estimate(value=-4.0, se=1.0, unit="deg"),
    ...     reason=None,
    ... )
    >>> slope_words(told)
    'The trunk turns 4.0 ± 2.0 deg less away from the target for each 100 mm of stance width (300 to 500 mm).'
    """
    where = f"{slope.varied} ({slope.low:g} to {slope.high:g} {slope.step_unit})"
    if slope.slope is None:
        return f"Turn of the {slope.part} {turn_words(slope.toward)} against {where}: {slope.reason}"
    size, half = abs(slope.slope.value), slope.slope.half_width()
    each = f"{turn_words(slope.toward)} for each {slope.step:g} {slope.step_unit} of {where}"
    if slope.seen:
        more = "more" if slope.slope.value > 0.0 else "less"
        return f"The {slope.part} turns {size:.1f} ± {half:.1f} deg {more} {each}."
    return f"The {slope.part} turns {slope.slope.value:+.1f} ± {half:.1f} deg {each}: within its error."
