"""The card line by line: what the fit proposes, what the teacher made of it, what still waits for them.

A decision is a reading like any other: appended under its own id, kept with what was proposed at that moment.
When the proposal changes afterwards, the line waits again and says so.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal
from uuid import UUID

from evenground.errors import CaptureError, RecordsError
from evenground.findings import CardLine, Findings, Range
from evenground.records.entries import Entry
from evenground.records.log import append
from evenground.records.merge import Merged, Slot
from evenground.records.models import Person
from evenground.records.reading_kinds import kind_named
from evenground.report.choices import Between, LineChoice
from evenground.report.words import width_range
from evenground.units import LengthSystem, parse_length_mm

__all__ = [
    "KIND",
    "ChoiceMissingError",
    "DecidedLine",
    "Decision",
    "LineGoneError",
    "NotAWidthRangeError",
    "choices_of",
    "decide",
    "decided_lines",
    "line_named",
    "proposal_of",
    "width_range_from",
]

KIND = "card line"
State = Literal["waits", "accepted", "chosen", "nothing to decide", "changed"]
WIDEST_MM, NARROWEST_MM = 1200.0, 40.0
"""No stance is wider or narrower between the shoes (ours)."""
LEAST_SPAN_MM = 5.0
"""What a foot can be set to by eye (ours): a narrower range is a false promise."""
MOST_SPAN_MM = 150.0
_TO = re.compile(r"(?i:\s+to\s+)|\s*[\u2013\u2014]\s*|(?<=[\dA-Za-z\"'])\s*-\s*(?=\d)")
_UNIT = re.compile(r"[A-Za-z\"'\u2032\u2033]+\.?$")


class NotAWidthRangeError(CaptureError):
    """A stance width that is no range to stand in."""

    def __init__(self, text: str, why: str, example: str) -> None:
        super().__init__(text, why, example)
        self.where = "width"
        self.what = f"{text!r} {why}."
        self.do = f"Type a range to stand in, such as {example}: nobody stands to the millimetre."


class ChoiceMissingError(CaptureError):
    """A line was to be set without its words or without the reason."""

    def __init__(self, missing: str) -> None:
        super().__init__(missing)
        self.where = missing
        self.what = f"The {missing} is missing."
        self.do = "Type what the card shall say, and why; the reason is printed overleaf."


class LineGoneError(RecordsError):
    """A decision about a line that the card does not have any more, or that reads differently now."""

    do = "Look at the line as it stands now, and decide again."

    def __init__(self, line: str) -> None:
        super().__init__(line)
        self.where = line
        self.what = "Readings came in and this line changed since the page was drawn."


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """What was decided about a line: `id` is its reading, `proposed` what the fit said then."""

    id: UUID
    choice: Literal["accepted", "chosen"]
    proposed: str
    by: str
    at: datetime
    text: str = ""
    reason: str = ""
    low_mm: float | None = None
    high_mm: float | None = None
    between: Between | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DecidedLine:
    """One line of the card with its decision. `earlier` counts decisions that were replaced."""

    line: CardLine
    state: State
    decision: Decision | None = None
    earlier: int = 0

    @property
    def settled(self) -> bool:
        """Whether the card can be signed as far as this line goes."""
        return self.state in ("accepted", "chosen", "nothing to decide")

    @property
    def is_width(self) -> bool:
        """Whether the line is a stance width, which is set as a range."""
        return self.line.key.endswith(".width")


def proposal_of(line: CardLine) -> str:
    """A line's proposal in one text, to be compared with later ones."""
    return f"{line.answer}: {line.now}"


def decided_lines(findings: Findings, log: Merged) -> tuple[DecidedLine, ...]:
    """Every line of the proposed card with what the teacher made of it, in the order of page one."""
    return tuple(_decided(line, log) for line in findings.card)


def line_named(findings: Findings, key: str) -> CardLine:
    """The card line of a key.

    Raises
    ------
    LineGoneError
        When the card has no such line now.
    """
    found = next((line for line in findings.card if line.key == key), None)
    if found is None:
        raise LineGoneError(key[:60])
    return found


def choices_of(lines: Sequence[DecidedLine]) -> tuple[LineChoice, ...]:
    """The lines that the teacher set, as the card prints them."""
    return tuple(
        LineChoice(
            key=d.line.key,
            text=d.decision.text,
            reason=d.decision.reason,
            by=d.decision.by or "the teacher",
            low_mm=d.decision.low_mm,
            high_mm=d.decision.high_mm,
            between=d.decision.between,
        )
        for d in lines
        if d.state == "chosen" and d.decision is not None
    )


def decide(
    visit_id: UUID,
    line: CardLine,
    values: dict[str, Any],
    *,
    new_id: UUID,
    at: datetime,
    person: Person | None,
    device: str = "",
) -> Entry:
    """Append one decision about a line; sent again under its id it changes nothing."""
    payload = {
        "line": line.key,
        "proposed": proposal_of(line),
        **dict.fromkeys(("text", "reason", "low_mm", "high_mm", "between")),
        **values,
    }
    entry = Entry(
        id=new_id,
        kind=KIND,
        version=kind_named(KIND).version,
        payload=payload,
        at=at,
        by="" if person is None else person.name,
        device=device,
    )
    return append(visit_id, entry, person=person).reading.entry()


def width_range_from(text: str, system: LengthSystem) -> tuple[float, float, str]:
    """A typed range of stance width in millimetres, and how the card shows it.

    Raises
    ------
    NotAWidthRangeError
        When it is one number, runs downwards, or is no range that a player can stand in.
    UnreadableSizeError, ImplausibleSizeError
        When one of its ends is no length.

    Examples
    --------
    >>> width_range_from("410 to 430", "metric")
    (410.0, 430.0, '410 to 430 mm')
    >>> width_range_from('16 - 17 in', "inch quarters")
    (406.4, 431.8, '16 to 17 in')
    """
    said = " ".join(text.split())
    metric = system == "metric"
    example = "410 to 430 mm" if metric else "16 to 16 3/4 in"
    ends = _TO.split(said)
    if len(ends) != 2:
        raise NotAWidthRangeError(said, "is not a range", example)
    unit = _UNIT.search(ends[1])
    if unit is not None and _UNIT.search(ends[0]) is None:
        ends[0] = f"{ends[0]} {unit.group()}"
    low, high = (
        parse_length_mm(
            end,
            field="width",
            default_unit="mm" if metric else "in",
            low_mm=NARROWEST_MM,
            high_mm=WIDEST_MM,
        )
        for end in ends
    )
    if high < low:
        raise NotAWidthRangeError(said, "runs from the wider to the narrower", example)
    if high - low < LEAST_SPAN_MM - 1e-6:
        raise NotAWidthRangeError(said, "is narrower than a foot can be set", example)
    if high - low > MOST_SPAN_MM:
        raise NotAWidthRangeError(said, "is wider than one stance", example)
    return low, high, width_range(Range(low=low, high=high, unit="mm", means=""), system)


def _decided(line: CardLine, log: Merged) -> DecidedLine:
    slot = log.slot(KIND, {"line": line.key})
    decision = None if slot is None else _decision(slot, log)
    earlier = max(0, len(log.history(KIND, {"line": line.key}, "choice")) - 1)
    return DecidedLine(line=line, state=_state(line, decision), decision=decision, earlier=earlier)


def _decision(slot: Slot, log: Merged) -> Decision | None:
    values, shown = slot.values, slot.shown.get("choice")
    entry = next((e for e in log.entries if shown is not None and e.id == shown.reading), None)
    if entry is None or values["choice"] == "open":
        return None
    return Decision(
        id=entry.id,
        choice=values["choice"],
        proposed=values.get("proposed") or "",
        by=entry.by,
        at=entry.at,
        text=values.get("text") or "",
        reason=values.get("reason") or "",
        low_mm=values.get("low_mm"),
        high_mm=values.get("high_mm"),
        between=values.get("between"),
    )


def _state(line: CardLine, decision: Decision | None) -> State:
    if decision is None:
        return "nothing to decide" if line.answer == "not measured" else "waits"
    return decision.choice if decision.proposed == proposal_of(line) else "changed"
