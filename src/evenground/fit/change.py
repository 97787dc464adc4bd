"""Whether a figure changed between visits: *changed*, *no real change*, *cannot tell*, *not comparable*."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from evenground.estimate import Estimate, difference

__all__ = [
    "ChangeWord",
    "Figure",
    "LineChange",
    "Place",
    "against_range",
    "compare_figures",
    "repeats_to_tell",
]

ChangeWord = Literal["changed", "no real change", "cannot tell", "not comparable"]

Place = Literal["inside", "below", "above", "at the edge"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure of one visit.

    `under` says under what it was taken: it must be alike to compare two; what was not written down is None
    and stops nothing. `reason` says why `value` is None.
    """

    value: Estimate | None
    reason: str | None = None
    under: Mapping[str, str | None] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class LineChange:
    """Two figures of one line compared; `change` is after less before, with what visits add to its error.

    `matters` is the change that a teacher would act on; `reason` says in a sentence how the word came about.
    """

    key: str
    title: str
    before: Estimate | None
    after: Estimate | None
    change: Estimate | None
    matters: float
    word: ChangeWord
    reason: str


def compare_figures(
    key: str, title: str, before: Figure, after: Figure, *, matters: float, visit_sd: float = 0.0
) -> LineChange:
    """The word for one line.

    Parameters
    ----------
    key, title
        Name the line.
    before, after
        The same figure of the earlier and of the later visit, in one unit.
    matters
        A change that a teacher would act on, over 0, in that unit.
    visit_sd
        SD of what shifts all readings of one visit together (another observer, another bar), added twice.

    Returns
    -------
    line
        *changed* when the 95 % interval of the difference leaves out 0; else *no real change* when its 90 %
        interval lies within `matters` either way; else *cannot tell*. *Not comparable* when a figure is
        missing or was taken under other conditions.

    Notes
    -----
    Difference of two independent means with degrees of freedom by Welch and Satterthwaite (JCGM 100:2008,
    G.4). *No real change* is the two one-sided tests of Schuirmann 1987, J Pharmacokinet Biopharm 15:657-680,
    at 5 %. `matters` never makes a change out of noise, and noise never widens it. Of twenty lines of an
    unchanged player about one reads *changed*.
    """
    apart = _apart(before, after)
    if apart is not None or before.value is None or after.value is None:
        return LineChange(
            key=key,
            title=title,
            before=before.value,
            after=after.value,
            change=None,
            matters=matters,
            word="not comparable",
            reason=apart or "",
        )
    change = difference(after.value, before.value).widened(visit_sd * math.sqrt(2.0))
    word, reason = _word(change, matters)
    return LineChange(
        key=key,
        title=title,
        before=before.value,
        after=after.value,
        change=change,
        matters=matters,
        word=word,
        reason=reason,
    )


def _apart(before: Figure, after: Figure) -> str | None:
    """Why two figures must not be compared, None when they may."""
    missing = [
        f"not measured {when}: {figure.reason}" if figure.reason else f"not measured {when}"
        for figure, when in ((before, "before"), (after, "now"))
        if figure.value is None
    ]
    if missing:
        return "; ".join(missing)
    for name, was in before.under.items():
        now = after.under.get(name)
        if was is not None and now is not None and was != now:
            return f"other {name}: {was} before, {now} now"
    return None


def _word(change: Estimate, matters: float) -> tuple[ChangeWord, str]:
    half, unit = change.half_width(), change.unit
    size = f"{abs(change.value):.2g} {unit}".rstrip()
    if abs(change.value) > half:
        small = f", less than the {matters:g} {unit} that matter".replace("  ", " ")
        return "changed", (
            f"{size} differ, {half:.2g} {unit} could be error".replace("  ", " ")
            + (small if abs(change.value) < matters else "")
        )
    if abs(change.value) + change.half_width(0.9) <= matters:
        return "no real change", f"a change of {matters:g} {unit} would have shown".replace("  ", " ")
    return "cannot tell", f"changes under {half:.2g} {unit} do not show".replace("  ", " ")


def against_range(value: Estimate, low: float, high: float) -> Place:
    """Where a measured value lies beside a range that was promised, ends included.

    *Below* and *above* only when its 95 % interval lies outside; *at the edge* when the value does and its
    interval does not.

    Examples
    --------
    >>> own = Estimate(value=318.0, se=4.0, unit="mm")
    >>> against_range(own, 320.0, 340.0), against_range(own, 330.0, 350.0), against_range(own, 300.0, 320.0)
    ('at the edge', 'below', 'inside')
    """
    half = value.half_width()
    if low <= value.value <= high:
        return "inside"
    if value.value + half < low:
        return "below"
    return "above" if value.value - half > high else "at the edge"


def repeats_to_tell(line: LineChange) -> int | None:
    """How many times the readings of both visits would make a change that matters show.

    None where the line is no *cannot tell*. Errors shrink with the root of the count, and what shifts whole
    visits does not shrink: the count is the least that could do.

    Examples
    --------
    >>> was, now = (Figure(value=Estimate(value=v, se=2.0, unit="deg")) for v in (10.0, 11.0))
    >>> repeats_to_tell(compare_figures("x", "x", was, now, matters=2.0))
    8
    """
    if line.word != "cannot tell" or line.change is None:
        return None
    return max(2, math.ceil((line.change.half_width() / line.matters) ** 2 - 1e-9))
