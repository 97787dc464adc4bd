"""What the error of a finding is made of, and what would make it smaller."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from evenground.errors import FitError
from evenground.estimate import Budget, Source, budget
from evenground.sourced import Sourced

__all__ = ["Contribution", "FindingBudget", "Help", "NoErrorError", "explain_budget"]

WORTH = Sourced(0.10, "", "ours: what shrinks the error by less than a tenth is not worth a player's time")
MORE = 3
"""Repeats that a teacher would add at once."""


class NoErrorError(FitError):
    """A finding whose error has no sources."""

    do = "Nothing has to be done; its value is exact or was typed without an error."

    def __init__(self, what: str) -> None:
        super().__init__(what)
        self.where = what
        self.what = "This figure has no error to explain."


@dataclass(frozen=True, slots=True, kw_only=True)
class Contribution:
    """One source of error.

    `repeats` is how many readings its `se` is the mean of, None where more do not help. `means` names what
    more of it would be ("placements"), or what would replace it ("a better tape").
    """

    name: str
    se: float
    dof: float = math.inf
    repeats: float | None = None
    means: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Help:
    """One thing to do, and the standard error it would leave."""

    action: str
    se_after: float
    saves: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingBudget:
    """The error of one figure, its sources largest first, and what would help, best first.

    `line` is the card line that the figure stands on; `advice` says it in one sentence.
    """

    line: str
    what: str
    value: float
    budget: Budget
    shares: tuple[float, ...]
    helps: tuple[Help, ...]
    advice: str

    def to_json(self) -> dict[str, Any]:
        """The plain form for JSON; degrees of freedom that are infinite become null."""
        made = self.budget
        sources = [{"name": s.name, "se": s.se, "dof": _finite(s.dof)} for s in made.sources]
        return {
            "line": self.line,
            "what": self.what,
            "value": self.value,
            "budget": {"sources": sources, "se": made.se, "dof": _finite(made.dof), "unit": made.unit},
            "shares": self.shares,
            "helps": self.helps,
            "advice": self.advice,
        }


def _finite(dof: float) -> float | None:
    return dof if math.isfinite(dof) else None


def explain_budget(
    line: str, what: str, value: float, contributions: Sequence[Contribution], *, unit: str
) -> FindingBudget:
    """Put contributions together and say what would help.

    Parameters
    ----------
    line, what
        The card line, and the figure on it.
    value
        Its value.
    contributions
        Independent sources, standard errors in `unit`.
    unit
        Of value and errors.

    Raises
    ------
    NoErrorError
        When no contribution is over 0.

    Notes
    -----
    JCGM 100:2008 (GUM), 5.1.2 and G.4, by `estimate.budget`. A source with n repeats shrinks to
    sqrt(n / (n + 3)) of itself with three more; one without repeats is judged by taking it away, the most
    that a better instrument could do.

    Examples
    --------
    >>> parts = [
    ...     Contribution(name="placing the feet", se=6.0, repeats=3, means="placements"),
    ...     Contribution(name="the camera", se=1.0, means="a better camera"),
    ... ]
    >>> explain_budget("irons.width", "stance width", 400.0, parts, unit="mm").advice
    '97 % of it is placing the feet; 3 more placements would leave 72 %; a better camera would not help'
    """
    kept = [c for c in contributions if c.se > 0.0]
    if not kept:
        raise NoErrorError(what)
    made = budget([Source(name=c.name, se=c.se, dof=c.dof) for c in kept], unit=unit)
    helps = sorted((_help(c, kept, made.se) for c in kept), key=lambda h: h.se_after)
    return FindingBudget(
        line=line,
        what=what,
        value=value,
        budget=made,
        shares=tuple(s.se**2 / made.se**2 for s in made.sources),
        helps=tuple(helps),
        advice=_advice(made, helps),
    )


def _help(one: Contribution, every: Sequence[Contribution], se: float) -> Help:
    rest = math.sqrt(max(0.0, math.fsum(c.se**2 for c in every if c is not one)))
    if one.repeats is None:
        return Help(action=one.means, se_after=rest, saves=1.0 - rest / se)
    left = one.se * math.sqrt(one.repeats / (one.repeats + MORE))
    after = math.hypot(rest, left)
    return Help(action=f"{MORE} more {one.means}", se_after=after, saves=1.0 - after / se)


def _advice(made: Budget, helps: Sequence[Help]) -> str:
    largest = made.sources[0]
    share = 100.0 * largest.se**2 / made.se**2
    said = [
        f"{share:.0f} % of it is {largest.name}" if len(made.sources) > 1 else f"all of it is {largest.name}"
    ]
    worth = [h for h in helps if h.saves >= WORTH.value]
    said += [_would(h, made) for h in worth]
    if not worth:
        said.append("nothing single would shrink it by a tenth")
    idle = [h.action for h in helps if h.saves < WORTH.value]
    if idle and worth:
        said.append(f"{' or '.join(idle)} would not help")
    return "; ".join(said)


def _would(one: Help, made: Budget) -> str:
    if one.se_after == 0.0:
        return f"only {one.action} would help"
    leaves = f"would leave {100.0 * one.se_after / made.se:.0f} %"
    return f"{one.action} {leaves}{'' if one.action.startswith(f'{MORE} more') else ' at best'}"
