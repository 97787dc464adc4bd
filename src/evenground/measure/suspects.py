"""Readings that look like a slip of the pen: far from the other readings of the same person."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from evenground.sourced import Sourced

__all__ = ["Reading", "Suspect", "suspects"]

SUSPECT_SDS = Sourced(
    6.0, "", "ours: a reading this many SDs of a repeat from its others is a slip of the pen, not noise"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading of one person by one observer."""

    person: str
    observer: str
    repeat: int
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """A reading far from the other readings of the same person; `usual` is their median."""

    person: str
    observer: str
    repeat: int
    value: float
    usual: float


def suspects(readings: Sequence[Reading]) -> tuple[Suspect, ...]:
    """For each person the reading farthest from their others, when it is far by the median spread of all.

    Parameters
    ----------
    readings
        Of any number of persons.

    Returns
    -------
    suspects
        At most one a person; of only two readings nobody knows which is wrong, so both are named.
    """
    people: dict[str, list[Reading]] = {}
    for r in readings:
        people.setdefault(r.person, []).append(r)
    pairs = [abs(a.value - b.value) for own in people.values() for a, b in combinations(own, 2)]
    limit = SUSPECT_SDS.value * 1.4826 * float(np.median(pairs)) / math.sqrt(2.0) if pairs else 0.0
    found = []
    for own in people.values():
        middle = float(np.median([r.value for r in own]))
        far = max(abs(r.value - middle) for r in own)
        for r in own:
            others = [o.value for o in own if o is not r]
            if others and abs(r.value - middle) >= far > 0.0:
                usual = float(np.median(others))
                if abs(r.value - usual) > limit * math.sqrt(1.0 + 1.0 / len(others)) > 0.0:
                    found.append(
                        Suspect(
                            person=r.person,
                            observer=r.observer,
                            repeat=r.repeat,
                            value=r.value,
                            usual=usual,
                        )
                    )
    return tuple(found)
