"""What was measured with an instrument that failed, since it was last in order."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from evenground.instruments import Instrument, last_good, latest
from evenground.visit import Visit

__all__ = ["Doubted", "doubted_visits", "measured_with", "out_of_order"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubted:
    """One visit's readings that stand on an instrument nobody vouches for."""

    instrument: str
    day: date
    visit: str
    what: str


def out_of_order(instrument: Instrument) -> bool:
    """Whether the newest check of some step failed."""
    return any(not check.passed for check in latest(instrument).values())


def doubted_visits(instruments: Iterable[Instrument], visits: Iterable[Visit]) -> tuple[Doubted, ...]:
    """Readings of each instrument that is out of order, taken on or after the day it was last good.

    The day of the last good check itself counts as in doubt: what was measured after it that day is not told
    apart from what was measured before.
    """
    known = list(visits)
    return tuple(_doubted(instruments, known))


def _doubted(instruments: Iterable[Instrument], visits: list[Visit]) -> Iterator[Doubted]:
    for one in instruments:
        if not out_of_order(one):
            continue
        good = last_good(one)
        for visit in sorted(visits, key=lambda v: v.day):
            what = measured_with(visit, one.kind)
            if what and (good is None or visit.day >= good.date()):
                yield Doubted(instrument=one.name, day=visit.day, visit=visit.visit, what=what)


def measured_with(visit: Visit, kind: str) -> str:
    """What of a visit a kind of instrument measured, in words; empty when nothing."""
    hip_lines = 0 if visit.hip_line is None else len(visit.hip_line.trials)
    sizes = 0 if visit.body is None else len(visit.body.sizes)
    counts = {
        "mat": (("placement", len(visit.ground)),),
        "scales": (("placement", len(visit.ground)),),
        "bar": (("hip-line trial", hip_lines),),
        "protractor": (("hip-line trial", hip_lines), ("turn", len(visit.turn))),
        "camera": (("posture", len(visit.posture)),),
        "caliper": (("own club", len(visit.own_clubs)),),
        "tape measure": (("body size", sizes), ("as-arrived stance", len(visit.as_arrived))),
    }
    said = [f"{n} {name}{'' if n == 1 else 's'}" for name, n in counts.get(kind, ()) if n]
    return ", ".join(said)
