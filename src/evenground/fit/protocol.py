"""What to do next in a visit and why, check by check: one answer for the command line and every page."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from evenground.fit.hour import HOUR, HOUR_MINUTES, Progress, State
from evenground.fit.protocol_checks import STEPS
from evenground.fit.protocol_types import Known, Step
from evenground.needs import not_asked
from evenground.visit import CHECKS, Check, Visit

__all__ = ["Agenda", "CheckAgenda", "agenda", "progress_of_step", "visit_step"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckAgenda:
    """One check of the agenda: the step, what leaving it out costs, and the minutes that it still takes."""

    step: Step
    minutes: int
    price: str
    may_skip: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Agenda:
    """The whole visit: every check, which is next, and whether what is open fits what is left of the hour.

    `minutes_left` is None where nobody said how much of the hour is gone; `leave_out` then is empty. It names
    the checks, the cheapest first, that would have to go for the rest to fit.
    """

    checks: Mapping[Check, CheckAgenda]
    next: Check | None
    minutes_open: int
    minutes_left: int | None
    leave_out: tuple[Check, ...] = field(default=())


LEAVE_FIRST: tuple[Check, ...] = ("turn", "grip", "own clubs", "aim", "posture", "hands", "body", "ground")
"""Which checks go first when time is short: docs/protocol.md, With less time; ours."""


def visit_step(visit: Visit, check: Check, known: Known) -> Step:
    """What to do next in one check.

    Parameters
    ----------
    visit
        What was measured so far.
    check
        The check that is open.
    known
        What the findings and the studio add, and the visit's own number for what is left to chance.

    Notes
    -----
    A check that was skipped before anything was taken is *skipped*; one that has readings ended early. One
    that this player's body or screening rules out is *not asked*; turn waits for the screening's answer.
    """
    step = STEPS[check](visit, known)
    said = visit.skipped.get(check)
    if said is not None:
        if step.state == "waiting":
            return _over(step, "skipped", f"Left out: {said}.", HOUR[check].price)
        why = step.ending or "What was taken counts as it stands."
        return replace(_over(step, "done", f"Ended early: {said}.", why), ended=said)
    reason = not_asked(visit, check)
    waits = check == "turn" and visit.screening is None
    if reason is not None and step.state == "waiting" and not waits:
        return _over(step, "not asked", f"Not asked: {reason}.", HOUR[check].price)
    return step


def _over(step: Step, state: State, what: str, why: str) -> Step:
    return replace(step, state=state, what=what, why=why, rest=False, enough=True)


def agenda(visit: Visit, known: Known, *, elapsed_min: int | None = None) -> Agenda:
    """Every check of the visit with its next step, in the order of the hour.

    Parameters
    ----------
    visit, known
        As in `visit_step`.
    elapsed_min
        Minutes since the first reading; None where that is not known.

    Notes
    -----
    The first check that waits or was begun is next: as arrived before anything is coached, the ball before
    anything that depends on it. A check that was begun counts half of its minutes. Checks are named to leave
    out in the order of `LEAVE_FIRST` until the rest fits.
    """
    steps = {check: visit_step(visit, check, known) for check in CHECKS}
    first = next((c for c in CHECKS if steps[c].state in ("waiting", "partly")), None)
    if first is not None and steps[first].state == "waiting":
        steps[first] = replace(steps[first], state="next")
    lines = {
        check: CheckAgenda(
            step=step,
            minutes=_minutes(check, step.state),
            price=HOUR[check].price,
            may_skip=HOUR[check].may_skip,
        )
        for check, step in steps.items()
    }
    opened = sum(line.minutes for line in lines.values())
    left = None if elapsed_min is None else max(0, int(HOUR_MINUTES.value) - elapsed_min)
    return Agenda(
        checks=lines,
        next=first,
        minutes_open=opened,
        minutes_left=left,
        leave_out=() if left is None else _leave_out(lines, opened - left),
    )


def _minutes(check: Check, state: State) -> int:
    if state in ("next", "waiting"):
        return HOUR[check].minutes
    return HOUR[check].minutes // 2 if state == "partly" else 0


def _leave_out(lines: Mapping[Check, CheckAgenda], over_min: int) -> tuple[Check, ...]:
    """Checks to leave out, in their order, until `over_min` minutes are saved or none is left to go."""
    gone: list[Check] = []
    for check in LEAVE_FIRST:
        if over_min <= 0:
            break
        if lines[check].minutes:
            gone.append(check)
            over_min -= lines[check].minutes
    return tuple(gone)


def progress_of_step(step: Step) -> Progress:
    """How far a check is, in the few words of the margin."""
    if step.state == "skipped":
        return Progress(state="skipped", count="left out", enough=step.what)
    if step.state == "not asked":
        return Progress(state="not asked", count="not asked", enough=step.what)
    return Progress(state=step.state, count=step.count, enough=step.what if step.ended else step.why)
