"""How a phase of the hip-line check is said."""

from evenground.visit import Phase

__all__ = ["phase_words"]


def phase_words(phase: Phase) -> str:
    """A phase in the words of pages and paper.

    Examples
    --------
    >>> phase_words("rested")
    'after a rest'
    """
    return "after a rest" if phase == "rested" else f"{phase} the routine"
