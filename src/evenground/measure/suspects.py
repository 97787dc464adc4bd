"""Readings that look like a slip of the pen: far from the other readings of the same person."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from evenground.sourced import Sourced

__all__ = ["Reading", "Suspect", "slips", "suspects"]

SUSPECT_SDS = Sourced(
    6.0, "", "ours: a reading this many SDs of a repeat from its others is a slip of the pen, not noise"
)

LEAST_UNKNOWN = 5
"""Readings from which a median tells the usual spread although one of them is wrong."""


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


def suspects(
    readings: Sequence[Reading], *, known_sd: float | None = None, least_sd: float = 0.0
) -> tuple[Suspect, ...]:
    """For each person the reading farthest from their others, when it is far by the median spread of all.

    Parameters
    ----------
    readings
        Of any number of persons.
    known_sd
        SD of one reading where it is known; it stands in for the median spread, which says nothing of fewer
        than five readings.
    least_sd
        No reading is finer than this, however well the others agree.

    Returns
    -------
    suspects
        At most one a person; of only two readings nobody knows which is wrong, so both are named.
    """
    people: dict[str, list[Reading]] = {}
    for r in readings:
        people.setdefault(r.person, []).append(r)
    pairs = [abs(a.value - b.value) for own in people.values() for a, b in combinations(own, 2)]
    sd = known_sd
    if sd is None:
        sd = 1.4826 * float(np.median(pairs)) / math.sqrt(2.0) if pairs else 0.0
    limit = SUSPECT_SDS.value * max(sd, least_sd)
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


def slips(
    named: Sequence[tuple[str, float]],
    *,
    unit: str,
    known_sd: float | None = None,
    least_sd: float = 0.0,
) -> tuple[str, ...]:
    """A sentence for each reading of one series that looks like a slip of the pen; all are counted.

    Parameters
    ----------
    named
        What each reading is called, and its value; the series has one true value and noise.
    unit
        Of the values.
    known_sd, least_sd
        As in `suspects`; without a known SD fewer than five readings say nothing.

    Examples
    --------
    >>> turns = [("turn 1", 52.0), ("turn 2", 5.3), ("turn 3", 54.0)]
    >>> slips(turns, unit="deg", known_sd=2.0)
    ('turn 2 reads 5.3 deg, a tenth of the others (about 53): check it; it is counted as it stands.',)
    """
    if known_sd is None and len(named) < LEAST_UNKNOWN:
        return ()
    readings = [Reading(person="", observer=name, repeat=i, value=v) for i, (name, v) in enumerate(named)]
    return tuple(
        f"{s.observer} reads {s.value:.3g} {unit}, {_against(s)}: check it; it is counted as it stands."
        for s in suspects(readings, known_sd=known_sd, least_sd=least_sd)
    )


def _against(suspect: Suspect) -> str:
    times = suspect.value / suspect.usual if suspect.usual else math.inf
    if 8.0 <= times <= 12.5:
        return f"ten times the others (about {suspect.usual:.3g})"
    if 0.08 <= times <= 0.125:
        return f"a tenth of the others (about {suspect.usual:.3g})"
    return f"far from the others (about {suspect.usual:.3g})"
