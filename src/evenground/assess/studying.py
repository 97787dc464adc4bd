"""A measurement study from its table to all that is said of it; the command and the page call this."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from evenground.capture.study_table import StudyTable
from evenground.measure.agreement import Agreement, TooFewPairsError, WithinPersons, agreement, within_persons
from evenground.measure.spread import repeats_for_change
from evenground.measure.study import NothingVariesError, NotRepeatedError, Study
from evenground.measure.study import study as work_out
from evenground.measure.suspects import Reading
from evenground.studies import StudyNotUsedError

__all__ = ["StudyResult", "assess_study"]

LEAST_DOF = 5
"""Fewer degrees of freedom know an SD only to within a factor of three (ours: too little to decide with)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyResult:
    """What a table of readings says: one study a method, and how two methods agree.

    `studies` is by method, in the order of `methods`, under an empty name where no method was named;
    `why_not` says why a method has none. `repeats` is how many would show the change that was asked about.
    """

    methods: tuple[str, ...]

    studies: dict[str, Study]
    agreement: Agreement | None
    within: WithinPersons | None
    not_taken: int
    repeats: int | None
    why_not: dict[str, str]

    def errors(self) -> tuple[float, float | None]:
        """The SD of one reading, and between observers, that the studio would decide with.

        Raises
        ------
        StudyNotUsedError
            For two methods, a slip of the pen that was not looked at, or too few repeats.
        """
        if len(self.studies) != 1:
            why = "it compares two methods" if self.agreement else "no method was repeated"
            raise StudyNotUsedError(why, "Give the readings of the one method that the studio uses.")
        found = next(iter(self.studies.values()))
        if found.suspects:
            names = ", ".join(f"{s.person} repeat {s.repeat}" for s in found.suspects)
            raise StudyNotUsedError(
                f"some readings look like slips of the pen ({names})",
                "Look at them; correct them, or leave them out with a reason.",
            )
        if (found.sem.dof or 0.0) < LEAST_DOF:
            raise StudyNotUsedError(
                f"it has {found.sem.dof:g} repeats to judge by",
                f"Repeat more readings: {LEAST_DOF} beyond the first of each person are the least.",
            )
        between = None
        if found.observers is not None and found.observers.observers > 1:
            between = found.observers.shift_sd
        return found.sem.value, between


def assess_study(table: StudyTable, *, unit: str, change: float | None, seed: int) -> StudyResult:
    """Everything a study says.

    Parameters
    ----------
    table
        The readings by method.
    unit
        Of the values.
    change
        A change that matters, in the same unit; None when nobody asked.
    seed
        Of the drawn ranges.

    Raises
    ------
    MeasureError
        When the readings hold no repeats at all, or two methods share too few persons.
    """
    studies: dict[str, Study] = {}
    why_not: dict[str, str] = {}
    for name, readings in table.methods.items():
        try:
            studies[name] = work_out(readings, unit=unit, rng=np.random.default_rng(seed))
        except (NotRepeatedError, NothingVariesError) as exc:
            if len(table.methods) == 1:
                raise
            why_not[name] = str(exc)
    found, within = _compare(table, unit)
    first = next(iter(studies.values()), None)
    return StudyResult(
        methods=tuple(table.methods),
        studies=studies,
        agreement=found,
        within=within,
        not_taken=table.not_taken,
        repeats=None if change is None or first is None else repeats_for_change(first.sem.value, change),
        why_not=why_not,
    )


def _compare(table: StudyTable, unit: str) -> tuple[Agreement | None, WithinPersons | None]:
    if len(table.methods) < 2:
        return None, None
    one, other = table.methods.values()
    people = [p for p in dict.fromkeys(r.person for r in one) if any(r.person == p for r in other)]
    found = agreement(_of_each(one, people), _of_each(other, people), unit=unit)
    places = {(r.person, r.observer, r.repeat): r.value for r in other}
    pairs = [(r, places[key]) for r in one if (key := (r.person, r.observer, r.repeat)) in places]
    try:
        return found, within_persons(
            [r.value for r, _ in pairs], [v for _, v in pairs], [r.person for r, _ in pairs]
        )
    except TooFewPairsError:
        return found, None


def _of_each(readings: Sequence[Reading], people: Sequence[str]) -> list[list[float]]:
    return [[r.value for r in readings if r.person == person] for person in people]
