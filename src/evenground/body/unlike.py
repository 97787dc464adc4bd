"""Which of a body's sizes do not belong with the others, and what may have happened to them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from evenground.body.joint import Fit, distance_limit, off_limit_sd, plausibility
from evenground.body.report import BodyWarning
from evenground.body.sizes import MASS, words
from evenground.body.survey import SurveyTable
from evenground.estimate import Estimate

__all__ = ["UNIT_SLIPS", "Comparison", "compare"]

UNIT_SLIPS = (
    (10.0, "centimetres"),
    (25.4, "inches"),
    (1000.0, "metres"),
    (0.1, "tenths of a mm"),
    (2.54, "inches typed as centimetres"),
    (1.0 / 2.54, "centimetres typed as inches"),
)
"""What a number has to be multiplied by to be millimetres, and what it then was."""

POUND_KG = 0.45359237  # exact, as in `size_text`
_LIKELY_SD = 2.5  # a slip explains a number only if its correction is ordinary

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Which sizes were called unlike, why, and how each size that was compared fits the rest."""

    warnings: tuple[BodyWarning, ...]
    unlike: frozenset[str]
    fits: Mapping[str, tuple[Estimate, float]]


def compare(
    known: Mapping[str, Estimate], table: SurveyTable, *, suspects: frozenset[str] = frozenset()
) -> Comparison:
    """Hold the sizes of one body against each other.

    Parameters
    ----------
    known
        Sizes by name with their errors; those that the survey lacks are left aside.
    table
        The survey's table.
    suspects
        Sizes that are outside any adult's range: they are looked at for a swap and else left out.

    Returns
    -------
    comparison
        Two sizes that fit once they change places are called swapped. Otherwise the size that is furthest
        off is called unlike and left out, and the rest looked at again, so that one slip does not make its
        neighbours look wrong.
    """
    kept = {n: e for n, e in known.items() if n in table.names}
    found = _swapped(kept, table, suspects)
    warnings = list(found)
    unlike = {w.where for w in found} | set(suspects)
    kept = {n: e for n, e in kept.items() if n not in unlike}
    while len(kept) > 1:
        fit = _fit(kept, table)
        worst = _worst(fit, tuple(kept))
        if worst is None:
            break
        warnings.append(_unlike(worst, kept, fit))
        unlike.add(worst)
        del kept[worst]
    warnings += _odd_as_a_whole(kept, table)
    return Comparison(warnings=tuple(warnings), unlike=frozenset(unlike), fits=_fits(kept, table))


def _fit(known: Mapping[str, Estimate], table: SurveyTable, rows: FloatArray | None = None) -> Fit:
    sizes = np.array([[e.value for e in known.values()]]) if rows is None else rows
    errors = np.array([e.se for e in known.values()])
    return plausibility(sizes, tuple(known), table, se=errors)


def _alarms(fit: Fit) -> NDArray[np.bool_]:
    """(N,) whether anything about a body is out of bounds."""
    taken = fit.off_sd.shape[1]
    worst = np.abs(fit.off_sd).max(axis=1)
    return np.asarray((worst > off_limit_sd(taken)) | (fit.distance > distance_limit(taken)))


def _swapped(
    known: Mapping[str, Estimate], table: SurveyTable, suspects: frozenset[str]
) -> tuple[BodyWarning, ...]:
    """The two sizes that make an ordinary body of an odd one when they change places."""
    names = tuple(known)
    if len(names) < 3:
        return ()
    fit = _fit(known, table)
    if not _alarms(fit)[0]:
        return ()
    off = np.abs(fit.off_sd[0]) > off_limit_sd(len(names))
    odd = {n for n, o in zip(names, off, strict=True) if o} | suspects
    pairs = [(a, b) for a, b in combinations(names, 2) if MASS not in (a, b) and odd & {a, b}]
    if not pairs:
        return ()
    rows = np.array([_with_swap(known, pair) for pair in pairs])
    tried = _fit(known, table, rows)
    mended = ~_alarms(tried)
    if not mended.any():
        return ()
    a, b = pairs[int(np.argmin(np.where(mended, tried.distance, np.inf)))]
    text = (
        f"{words(a)} {known[a].value:.0f} mm and {words(b)} {known[b].value:.0f} mm fit this body the other "
        "way round: were they swapped? Correct both, or measure both again."
    )
    return tuple(BodyWarning(code="swapped", where=n, text=text) for n in (a, b))


def _with_swap(known: Mapping[str, Estimate], pair: tuple[str, str]) -> list[float]:
    a, b = pair
    other = {a: known[b].value, b: known[a].value}
    return [other.get(name, e.value) for name, e in known.items()]


def _worst(fit: Fit, names: tuple[str, ...]) -> str | None:
    """The size that is furthest off, None when none is beyond the limit.

    Of two sizes each is as far off as the other; then it is the one that is not the stature.
    """
    off = np.abs(fit.off_sd[0])
    if off.max() <= off_limit_sd(len(names)):
        return None
    if len(names) == 2 and "stature" in names:
        return next(n for n in names if n != "stature")
    return names[int(np.argmax(off))]


def _unlike(name: str, known: Mapping[str, Estimate], fit: Fit) -> BodyWarning:
    i = list(known).index(name)
    value, expected, sd = known[name].value, float(fit.expected[0, i]), float(fit.sd[0, i])
    off, half = float(fit.off_sd[0, i]), off_limit_sd(len(known)) * sd
    unit, small, large = ("kg", "light", "heavy") if name == MASS else ("mm", "short", "long")
    slip = _slip(name, value, expected, sd)
    others = "the stature" if set(known) == {name, "stature"} else "the other sizes"
    text = (
        f"{words(name)} {value:.0f} {unit} is {abs(off):.1f} SD too {large if off > 0.0 else small} for "
        f"{others} ({expected - half:.0f} to {expected + half:.0f} {unit} would not surprise)"
    )
    return BodyWarning(code="unlike-the-others", where=name, text=f"{text}: {slip or 'measure it again.'}")


def _slip(name: str, value: float, expected: float, sd: float) -> str:
    """What would explain a number, if another unit does."""
    slips = [(POUND_KG, "pounds"), (1.0 / POUND_KG, "kilograms typed as pounds")]
    for factor, said in slips if name == MASS else UNIT_SLIPS:
        if abs(value * factor - expected) <= _LIKELY_SD * sd:
            return f"it looks like {said}. Measure it again, or correct the unit."
    return ""


def _odd_as_a_whole(known: Mapping[str, Estimate], table: SurveyTable) -> Iterable[BodyWarning]:
    if len(known) < 2:
        return
    fit = _fit(known, table)
    if fit.distance[0] > distance_limit(len(known)):
        text = (
            f"no single size stands out, but these {len(known)} sizes together are rarer than one body in a "
            "thousand: check whether they all belong to this player, and the units."
        )
        yield BodyWarning(code="odd-together", where="body", text=text)


def _fits(known: Mapping[str, Estimate], table: SurveyTable) -> dict[str, tuple[Estimate, float]]:
    if len(known) < 2:
        return {}
    fit = _fit(known, table)
    return {
        name: (
            Estimate(
                value=float(fit.expected[0, i]),
                se=float(fit.sd[0, i]),
                n=len(known) - 1,
                unit="kg" if name == MASS else "mm",
            ),
            float(fit.off_sd[0, i]),
        )
        for i, name in enumerate(known)
    }
