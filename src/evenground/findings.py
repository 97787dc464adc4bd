"""What was worked out of a visit: findings with their evidence, and the card lines they lead to."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from evenground.estimate import Estimate
from evenground.plain import dump
from evenground.visit import Family

__all__ = [
    "CardLine",
    "FamilySetup",
    "Finding",
    "Findings",
    "Range",
    "Status",
    "finding_key",
    "seen_kind",
]

Status = Literal["measured", "not measured"]

Answer = Literal["square", "likely", "none", "cannot tell", "not measured", "teacher's choice"]
"""The word beside a width; the last one only where a teacher put a width in the place of the fit's."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """A range as a player reads it: low and high in `unit`, and in one sentence what it promises."""

    low: float
    high: float
    unit: str
    means: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """Something computed from readings.

    `kind` names what it is (``stance``, ``ground.fitted.golf shoes``, ``aim.as arrived``); `value` is a
    result dataclass, None when not measured; `reason` says why not, or what limits it. `evidence` names the
    readings and recordings, `methods` the versions of what computed it.
    """

    key: str
    kind: str
    status: Status
    value: Any | None
    reason: str | None
    evidence: tuple[str, ...]
    methods: Mapping[str, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class FamilySetup:
    """The stance proposed for one club family, everything a card row draws. None means not measured.

    `width_inside_mm` is the range to stand in, inside edge to inside edge in the shoes named by the visit,
    and `width_heel_range_mm` the same range between heel centres; `was_inside_mm` is the as-arrived width
    inside the shoes.
    """

    family: Family
    answer: Answer
    probability: float | None
    carried_over_from: Family | None
    width_heel_centres_mm: Estimate | None
    width_inside_mm: Range | None
    width_shoe_lengths: Range | None
    was_inside_mm: Estimate | None
    toe_out_lead_deg: Estimate | None
    toe_out_trail_deg: Estimate | None
    ball_inside_lead_heel_mm: Estimate | None
    ball_from_toe_line_mm: Estimate | None
    width_heel_range_mm: Range | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CardLine:
    """One line of the proposed card: what to do now, what it was, the answer word, where it comes from."""

    key: str
    title: str
    answer: str
    now: str
    was: str | None
    evidence: str
    findings: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings:
    """All findings of a visit, and the card lines proposed from them."""

    visit: str
    version: str
    findings: tuple[Finding, ...]
    card: tuple[CardLine, ...] = ()
    not_measured: tuple[str, ...] = field(default_factory=tuple)

    def of(self, kind: str) -> Finding | None:
        """The finding of one kind, if there is one."""
        return next((f for f in self.findings if f.kind == kind), None)

    def value(self, kind: str) -> Any | None:
        """The value of the finding of one kind; None when it was not measured."""
        found = self.of(kind)
        return found.value if found is not None else None


def seen_kind(number: int) -> str:
    """The kind of the finding that holds the picture of one placement on the mat.

    Examples
    --------
    >>> seen_kind(3)
    'placement 3 seen'
    """
    return f"placement {number} seen"


def finding_key(kind: str, parts: Sequence[Any], methods: Mapping[str, int]) -> str:
    """Hash of all a finding stands on: 16 hexadecimal digits that change with any input or version."""
    text = dump([kind, list(parts), dict(methods)])
    return hashlib.sha256(text.encode()).hexdigest()[:16]
