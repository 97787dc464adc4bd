"""Total force against body weight: a tare offset, a wrong unit and a wrong body mass told apart.

What gives each away::

    wrong unit     force over weight is one of a few known factors
    tare offset    as many newtons on one thing stood on, whoever stands there; or seen with nobody on it
    wrong gain     as many percent, whoever stands there
    wrong mass     one person, whatever they stand on

One person on one thing tells the last three apart only when the instrument was checked; otherwise the
answer is *cannot tell*, with what would.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import stdtrit

from evenground.errors import MeasureError
from evenground.estimate import Estimate, from_repeats
from evenground.measure.ground_constants import STANDARD_GRAVITY
from evenground.measure.recording import FloatArray
from evenground.measure.weighing_constants import (
    MASS_TOLERANCE,
    OFFSET_LEAST_N,
    PERSON_OFF,
    UNIT_FACTORS,
    UNIT_NEAR,
)

__all__ = [
    "Cause",
    "Mismatch",
    "NoWeighingError",
    "Weighing",
    "explain_weights",
    "mismatch_words",
    "unit_factor",
]

Cause = Literal["tare offset", "wrong unit", "wrong gain", "wrong mass", "cannot tell"]

_SURE = 0.995  # one-sided: in 1 of 100 an offset is seen where there is none
_FEW_N = 2.0  # SD of the difference of two weighings of one person, clothes and breathing (ours)
_CLEARER = 0.5  # residual variance of the better explanation over that of the other
_ENOUGH_PEOPLE = 3


class NoWeighingError(MeasureError):
    """Nothing to compare."""

    do = "Give at least one total force with the mass of who stood there."

    def __init__(self) -> None:
        super().__init__()
        self.where, self.what = "weights", "There is no total force with a body mass."


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """One recording's mean total force, the mass on file, who stood there and on what.

    `empty_n` is what was read there with nobody on it, `worn_kg` what was worn beside the mass on file,
    `checked` whether a known weight read right there.
    """

    force_n: float
    mass_kg: float
    person: str = "the player"
    stood_on: str = "the mat"
    empty_n: float | None = None
    worn_kg: float = 0.0
    checked: bool = False

    @property
    def weight_n(self) -> float:
        """What should be read."""
        return (self.mass_kg + self.worn_kg) * float(STANDARD_GRAVITY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mismatch:
    """One thing that is wrong: what, whose or where, how much, and a sentence that says what to do.

    `offset_n` is what has to be taken off every total force there; `factor` reading over truth for a wrong
    unit or gain; `mass_kg` what the person weighs by the plates.
    """

    cause: Cause
    who: str
    text: str
    offset_n: Estimate | None = None
    factor: float | None = None
    mass_kg: Estimate | None = None


def _first_up(words: str) -> str:
    return words[:1].upper() + words[1:]


def unit_factor(force_n: float, weight_n: float) -> tuple[float, str] | None:
    """The known factor that a force is off by, and what was mixed up; None when there is none near.

    Examples
    --------
    >>> unit_factor(80.0, 784.5)[1]
    'kilograms were taken for newtons'
    """
    if force_n <= 0.0:
        return None
    ratio = math.log(force_n / weight_n)
    near = [(abs(ratio - math.log(f.value)), f.value, words) for words, f in UNIT_FACTORS.items()]
    away, factor, words = min(near)
    return (factor, words) if away < float(UNIT_NEAR) else None


def mismatch_words(force_n: float, weight_n: float, left_percent: float | None = None) -> str:
    """What may lie behind one force that is not the weight, and what it does to the load share.

    Parameters
    ----------
    force_n, weight_n
        What was read, and mass times gravity.
    left_percent
        Load share as it was read: an offset ``c`` under both feet is ``(p - 50) c / (F - c)`` of it.

    Examples
    --------
    >>> mismatch_words(80.0, 784.5)
    'it looks as if kilograms were taken for newtons'
    >>> mismatch_words(880.0, 800.0, 60.0)
    'check the mass, and what it reads empty; were it an offset, the load share would be 1.0 points off'
    """
    wrong = unit_factor(force_n, weight_n)
    if wrong is not None:
        return f"it looks as if {wrong[1]}"
    said = "check the mass, and what it reads empty"
    if left_percent is None:
        return said
    off = abs((left_percent - 50.0) * (force_n - weight_n) / weight_n)
    return f"{said}; were it an offset, the load share would be {off:.1f} points off"


def explain_weights(weighings: Sequence[Weighing]) -> tuple[Mismatch, ...]:
    """What is wrong with total forces, body masses or both; empty when they agree.

    Parameters
    ----------
    weighings
        Of one person or several, on one thing or several.

    Raises
    ------
    NoWeighingError
        Without any.

    Notes
    -----
    In this order, each taken out before the next: units; offsets read with nobody there; offsets between
    things stood on, within people (Student's t over the people, 99 %); an offset or gain common to all
    people; people who differ from the others. Tolerances are `weighing_constants`.
    """
    if not weighings:
        raise NoWeighingError
    found: list[Mismatch] = []
    rest = _without_units(weighings, found)
    rest = _without_empty(rest, found)
    rest = _without_offsets(rest, found)
    if rest:
        _people(rest, found)
    return tuple(found)


def _without_units(weighings: Iterable[Weighing], found: list[Mismatch]) -> list[Weighing]:
    weighings = list(weighings)
    rest, said = [], set()
    shared = {thing: _shared_unit(weighings, thing) for thing in {w.stood_on for w in weighings}}
    for one in weighings:
        wrong = unit_factor(one.force_n, one.weight_n)
        if wrong is None:
            rest.append(one)
            continue
        factor, words = shared[one.stood_on] or wrong
        who = one.stood_on if words not in _OF_THE_MASS else one.person
        if (who, words) in said:
            continue
        said.add((who, words))
        text = (
            f"{one.force_n:.0f} N for {one.mass_kg:g} kg is {factor:.3g} times the weight, "
            f"as if {words}: correct the unit, not the mass."
        )
        found.append(Mismatch(cause="wrong unit", who=who, text=text, factor=factor))
    return rest


def _shared_unit(weighings: Sequence[Weighing], thing: str) -> tuple[float, str] | None:
    """The factor of most of what was weighed on one thing: two factors may lie closer than a breakfast."""
    ratios = [w.force_n / w.weight_n for w in weighings if w.stood_on == thing]
    return unit_factor(float(np.median(ratios)), 1.0)


_OF_THE_MASS = {"the mass is in pounds", "the mass is in stones"}


def _without_empty(weighings: list[Weighing], found: list[Mismatch]) -> list[Weighing]:
    """Take off what was read with nobody there."""
    said = set()
    for one in weighings:
        if one.empty_n is None or abs(one.empty_n) < float(OFFSET_LEAST_N) or one.stood_on in said:
            continue
        said.add(one.stood_on)
        text = (
            f"{_first_up(one.stood_on)} reads {one.empty_n:+.1f} N with nobody on it: "
            "that was taken off. Tare it before the next recording."
        )
        offset = Estimate(value=one.empty_n, se=0.0, unit="N")
        found.append(Mismatch(cause="tare offset", who=one.stood_on, text=text, offset_n=offset))
    return [_lighter(one, one.empty_n or 0.0) for one in weighings]


def _lighter(one: Weighing, offset_n: float) -> Weighing:
    return Weighing(
        force_n=one.force_n - offset_n,
        mass_kg=one.mass_kg,
        person=one.person,
        stood_on=one.stood_on,
        worn_kg=one.worn_kg,
        checked=one.checked,
    )


def _excess_n(weighings: Iterable[Weighing]) -> dict[tuple[str, str], float]:
    """Mean excess of force over weight of each person on each thing."""
    cells: dict[tuple[str, str], list[float]] = {}
    for one in weighings:
        cells.setdefault((one.person, one.stood_on), []).append(one.force_n - one.weight_n)
    return {key: math.fsum(values) / len(values) for key, values in cells.items()}


def _without_offsets(weighings: list[Weighing], found: list[Mismatch]) -> list[Weighing]:
    """Offsets of one thing stood on against another, within people: no mass can make these."""
    excess = _excess_n(weighings)
    things = list(dict.fromkeys(one.stood_on for one in weighings))
    if len(things) < 2:
        return weighings
    plain = min(things, key=lambda t: abs(np.mean([v for (_, on), v in excess.items() if on == t])))
    offsets: dict[str, float] = {}
    for thing in things:
        people = [p for p, on in excess if on == thing and (p, plain) in excess]
        if thing == plain or not people:
            continue
        apart = [excess[p, thing] - excess[p, plain] for p in people]
        known = _FEW_N if len(apart) == 1 else None
        offset = from_repeats(apart, unit="N", known_sd=known, what="offset")
        sure = abs(offset.value) > float(stdtrit(min(offset.dof, 1e9), _SURE)) * offset.se
        if sure and abs(offset.value) > float(OFFSET_LEAST_N):
            offsets[thing] = offset.value
            text = (
                f"On {thing} everybody weighs {offset.value:+.1f} N more than on {plain}: no body mass does "
                f"that. {_first_up(thing)} was not tared away; take {offset.value:.1f} N off and tare it."
            )
            found.append(Mismatch(cause="tare offset", who=thing, text=text, offset_n=offset))
    return [_lighter(one, offsets.get(one.stood_on, 0.0)) for one in weighings]


def _people(weighings: list[Weighing], found: list[Mismatch]) -> None:
    """What all people have in common is the instrument's, what one has alone is theirs."""
    people: dict[str, list[Weighing]] = {}
    for one in weighings:
        people.setdefault(one.person, []).append(one)
    if len(people) < _ENOUGH_PEOPLE:
        for own in people.values():
            _alone(own, found)
        return
    common = _common(weighings, found)
    for own in people.values():
        left = float(np.mean([w.force_n - w.weight_n - common[w.stood_on](w.weight_n) for w in own]))
        if abs(left) > float(PERSON_OFF) * own[0].weight_n:
            found.append(_wrong_mass(own, left, len(people)))


@dataclass(frozen=True, slots=True, eq=False)
class _Group:
    """Excess and weight of each person on one thing (P,), those who stand out left aside."""

    thing: str
    excess_n: FloatArray
    weight_n: FloatArray

    def sure(self) -> bool:
        """Whether the mean excess is more than people's masses on file make of it (Student's t, 95 %)."""
        if len(self.excess_n) < _ENOUGH_PEOPLE:
            return False
        mean = from_repeats(self.excess_n.tolist(), unit="N", what="offset")
        return abs(mean.value) > max(mean.half_width(), float(OFFSET_LEAST_N))


def _common(weighings: list[Weighing], found: list[Mismatch]) -> dict[str, Callable[[float], float]]:
    """An offset or a gain that people have in common, by what they stood on: newtons for a weight."""
    groups = [_group(weighings, thing) for thing in dict.fromkeys(w.stood_on for w in weighings)]
    common: dict[str, Callable[[float], float]] = {g.thing: _nothing for g in groups}
    for group in groups:
        if not group.sure():
            continue
        plain = any(len(g.excess_n) >= _ENOUGH_PEOPLE and not g.sure() for g in groups)
        common[group.thing] = _explained(group, elsewhere_right=plain, found=found)
    return common


def _nothing(_weight_n: float) -> float:
    return 0.0


def _group(weighings: list[Weighing], thing: str) -> _Group:
    own = [w for w in weighings if w.stood_on == thing]
    people = list(dict.fromkeys(w.person for w in own))
    excess = np.array([np.mean([w.force_n - w.weight_n for w in own if w.person == p]) for p in people])
    weight = np.array([np.mean([w.weight_n for w in own if w.person == p]) for p in people])
    usual = np.abs(excess - np.median(excess)) <= float(PERSON_OFF) * weight
    return _Group(thing, excess[usual], weight[usual])


def _explained(group: _Group, *, elsewhere_right: bool, found: list[Mismatch]) -> Callable[[float], float]:
    """Offset or gain: by which fits people of different weight better, or that another thing reads right."""
    excess, weight, who = group.excess_n, group.weight_n, group.thing
    offset = from_repeats(excess.tolist(), unit="N", what="offset")
    share = float(excess @ weight / (weight @ weight))
    added = float(((excess - offset.value) ** 2).sum())
    scaled = float(((excess - share * weight) ** 2).sum())
    if elsewhere_right or added < _CLEARER * scaled:
        text = (
            f"{_first_up(who)}: {offset.value:+.1f} N off for everybody, light or heavy: a tare offset "
            "(or clothes that the masses on file leave out). Take it off, and tare."
        )
        found.append(Mismatch(cause="tare offset", who=who, text=text, offset_n=offset))
        return lambda _weight_n: offset.value
    if scaled < _CLEARER * added:
        text = f"{_first_up(who)}: {100.0 * share:+.1f} % off for everybody: check it with known weights."
        found.append(Mismatch(cause="wrong gain", who=who, text=text, factor=1.0 + share))
        return lambda weight_n: share * weight_n
    text = (
        f"{_first_up(who)}: {100.0 * share:+.1f} % off for most people, whose weights are too alike to tell "
        "an offset from a wrong gain: lay a known weight there, and look at what is read with nobody on it."
    )
    found.append(Mismatch(cause="cannot tell", who=who, text=text))
    return lambda weight_n: share * weight_n


def _by_force(own: Sequence[Weighing], excess_n: float) -> Estimate:
    mass = own[0].mass_kg + excess_n / float(STANDARD_GRAVITY)
    return Estimate(value=mass, se=_FEW_N / float(STANDARD_GRAVITY), n=len(own), unit="kg")


def _wrong_mass(own: Sequence[Weighing], excess_n: float, of: int) -> Mismatch:
    mass = _by_force(own, excess_n)
    text = (
        f"{_first_up(own[0].person)} alone of {of} weighs {mass.value:.1f} kg where {own[0].mass_kg:g} kg is "
        "on file: weigh them again, and correct the mass."
    )
    return Mismatch(cause="wrong mass", who=own[0].person, text=text, mass_kg=mass)


def _alone(own: Sequence[Weighing], found: list[Mismatch]) -> None:
    """One person on one thing: an offset, a gain and a wrong mass look alike."""
    excess_n = float(np.mean([w.force_n - w.weight_n for w in own]))
    weight_n = own[0].weight_n
    if abs(excess_n) <= float(MASS_TOLERANCE) * weight_n:
        return
    who, mass = own[0].person, _by_force(own, excess_n)
    if all(w.checked for w in own):
        text = (
            f"{_first_up(who)} weighs {mass.value:.1f} kg where {own[0].mass_kg:g} kg is on file, on what "
            "reads a known weight right: weigh them again, and correct the mass."
        )
        found.append(Mismatch(cause="wrong mass", who=who, text=text, mass_kg=mass))
        return
    text = (
        f"{_first_up(who)} reads {excess_n:+.0f} N ({100.0 * excess_n / weight_n:+.0f} %) against "
        f"{own[0].mass_kg:g} kg: a wrong mass ({mass.value:.1f} kg would fit), a tare offset or a wrong "
        "gain. Lay a known weight there: if it reads right, weigh the player again."
    )
    found.append(Mismatch(cause="cannot tell", who=who, text=text, mass_kg=mass))
