"""Sheets to take away: the hip routine as a list, and the practice sheet with its lines to fill in."""

from dataclasses import dataclass, replace
from typing import Literal

from evenground.library import Move, Routine, RoutineVersion
from evenground.plain import to_plain
from evenground.report.paper import paper_again
from evenground.units import LengthSystem, show_length

__all__ = ["Handout", "Step", "handout_pdf", "practice_handout", "routine_handout", "routine_time"]

Paper = Literal["a4", "us-letter"]
FORMS: dict[RoutineVersion, str] = {
    "usual": "as it is",
    "easier": "in its easier form",
    "seated": "sitting",
}
BLANK_ROWS = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One numbered step: its name, how it is done, what else is to be said of it, how long it takes."""

    name: str
    how: str
    time: str
    more: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Handout:
    """Everything on one sheet; `columns` head the lines to fill in."""

    paper: str
    title: str
    under: str
    cautions: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()
    columns: tuple[str, ...] = ()
    blank_rows: int = 0
    closing: tuple[str, ...] = ()


def handout_pdf(handout: Handout) -> bytes:
    """The sheet as PDF."""
    return paper_again("handout", to_plain(handout))


def routine_time(move: Move) -> str:
    """How long a move takes and how often it is done.

    Examples
    --------
    >>> routine_time(Move(name="a", seconds=15, how="", easier="", seated="", stop="", each_side=True))
    '15 s each side'
    """
    often = "" if move.repeats is None else f"{move.repeats} times, "
    return f"{often}{move.seconds} s{' each side' if move.each_side else ''}"


def routine_handout(routine: Routine, version: RoutineVersion = "usual", paper: Paper = "a4") -> Handout:
    """The routine as a printed list, in one of its forms; the easier form stands beside the usual one."""
    minutes, seconds = divmod(routine.seconds, 60)
    return Handout(
        paper=paper,
        title=routine.name,
        under=f"{FORMS[version]}, {minutes} min {seconds} s without pauses".capitalize(),
        cautions=routine.cautions,
        steps=tuple(_step(move, version) for move in routine.moves),
        closing=("Stopping early is always right; nobody asks why.",),
    )


def _step(move: Move, version: RoutineVersion) -> Step:
    easier = (("Easier:", move.easier),) if version == "usual" else ()
    care = ((("Care:", move.caution),) if move.caution else ()) + (("", move.stop),)
    return Step(name=move.name, how=move.done(version), time=routine_time(move), more=easier + care)


def practice_handout(
    gate_mm: float, distance_m: float, *, system: LengthSystem = "metric", paper: Paper = "a4"
) -> Handout:
    """The practice sheet: how the gate is set, and lines for date, rolled and passed.

    Parameters
    ----------
    gate_mm
        Clear width between the two posts of the gate.
    distance_m
        From the ball's place to the gate.
    """
    wide = show_length(gate_mm, system)
    far = f"{distance_m:.2f} m" if system == "metric" else show_length(distance_m * 1000.0, system)
    first = Handout(
        paper=paper,
        title="Aim practice",
        under=f"Gate {wide} wide, {far} from the ball, on a level place",
        cautions=(
            "Stop when back, hips or eyes tire; ten good balls say more than thirty weary ones.",
            "Posts are for practice: nothing may lie on the ground to help an aim in play (Rules of Golf).",
        ),
    )
    steps = (
        Step(
            name="Set the gate",
            how=f"Two posts {wide} apart, {far} from the ball's place, square to it.",
            time="",
        ),
        Step(
            name="Roll ten",
            how="Step away before each ball. Aim afresh, and do not repair the last one.",
            time="",
        ),
        Step(
            name="Count what passed",
            how="A ball that touches a post has not passed. Write down every ten.",
            time="",
        ),
    )
    return replace(
        first,
        steps=steps,
        columns=("date", "balls rolled", "passed", "how it felt"),
        blank_rows=BLANK_ROWS,
        closing=("Bring the sheet to the next visit: what passed is held against what the card expected.",),
    )
