"""From a card line back to what it stands on: findings, their figures, readings, and the recordings."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from evenground.findings import CardLine, Finding, Findings
from evenground.records.merge import Merged, Slot
from evenground.records.reading_kinds import kind_named
from evenground.report.evidence_figures import figure_rows, ground_table
from evenground.studio.pages.checks import slug_of
from evenground.studio.typed import show_stored
from evenground.units import LengthSystem
from evenground.visit import Check

__all__ = ["Trace", "TraceFigure", "TraceReading", "Tracer", "says"]

CHECK_OF: tuple[tuple[str, Check], ...] = (
    ("setup", "hip line"),
    ("stance", "hip line"),
    ("hip line", "hip line"),
    ("ground", "ground"),
    ("placement", "ground"),
    ("posture", "posture"),
    ("turn", "turn"),
    ("grip.check", "grip"),
    ("grip.build", "own clubs"),
    ("grip.wanted", "hands"),
    ("aim", "aim"),
    ("body", "body"),
    ("safety", "safety"),
)
"""Beginning of a finding's kind, and the check on whose page its readings stand."""

# How an evidence name leads back to the log: pattern, kind of reading, key fields in the pattern's order.
READINGS: tuple[tuple[re.Pattern[str], str, tuple[str, ...]], ...] = (
    (re.compile(r"^hip line trial (\d+)$"), "hip-line trial", ("trial",)),
    (re.compile(r"^as arrived, (\w+)$"), "as arrived", ("family",)),
    (re.compile(r"^(left|right) hand$"), "hand", ("side",)),
    (re.compile(r"^side view (.+)$"), "side view", ("view",)),
)
NAMES = {
    "setup": "Stance proposed",
    "stance": "Hip line against width",
    "stance.confirm": "Fresh placements",
    "ground": "On the mat",
    "placement": "On the mat, one placement",
    "posture": "Posture",
    "posture view": "Posture from a photo",
    "grip.wanted": "Grip wanted",
    "grip.build": "Grip build",
    "grip.check": "Grip check",
    "aim": "Aim",
}
DEEP = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceFigure:
    """One figure of a finding with its error."""

    what: str
    figure: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceReading:
    """One piece of evidence: what it is, what it says, who entered it; `digest` when it is a stored file."""

    name: str
    says: str = ""
    by: str = ""
    digest: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """One finding behind a line. `slug` names the check's page, empty where there is none."""

    kind: str
    title: str
    status: str
    reason: str
    slug: str
    figures: tuple[TraceFigure, ...]
    readings: tuple[TraceReading, ...]
    methods: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tracer:
    """Leads the lines of one card back; each finding is put into words once.

    Attributes
    ----------
    findings
        What was worked out of the visit.
    log
        The visit's readings, to say what each trial was and who took it.
    digests
        Recordings of the visit: name -> SHA-256.
    system
        How the studio likes its lengths.
    """

    findings: Findings
    log: Merged
    digests: Mapping[str, str]
    system: LengthSystem
    _told: dict[str, Trace] = field(default_factory=dict)

    def of(self, line: CardLine) -> tuple[Trace, ...]:
        """The findings that a line came from, and those that these stand on, each once, nearest first."""
        found = _found(line.findings, self.findings, DEEP)
        for finding in found:
            if finding.kind not in self._told:
                self._told[finding.kind] = self._trace(finding)
        return tuple(self._told[finding.kind] for finding in found)

    def _trace(self, found: Finding) -> Trace:
        kinds = {f.kind for f in self.findings.findings}
        return Trace(
            kind=found.kind,
            title=_title(found.kind),
            status=found.status,
            reason=found.reason or "",
            slug=next((slug_of(check) for head, check in CHECK_OF if found.kind.startswith(head)), ""),
            figures=tuple(_figures(found, self.findings, self.system)),
            readings=tuple(
                _reading(name, self.log, self.digests, self.system)
                for name in found.evidence
                if name not in kinds
            ),
            methods=", ".join(f"{name} {n}" for name, n in sorted(found.methods.items())),
        )


def _found(kinds: Iterable[str], findings: Findings, deep: int) -> list[Finding]:
    """Findings of these kinds and those named in their evidence, breadth first."""
    reached: dict[str, Finding] = {}
    names = list(kinds)
    for _ in range(deep):
        fresh = [f for f in findings.findings if f.kind in names and f.kind not in reached]
        reached |= {f.kind: f for f in fresh}
        names = [_as_kind(name) for f in fresh for name in f.evidence]
    return list(reached.values())


def _as_kind(name: str) -> str:
    """Evidence that names one placement names its finding too."""
    found = re.match(r"^ground (placement \d+)\b", name)
    return found.group(1) if found else name


def _title(kind: str) -> str:
    """A finding's kind as a heading.

    Examples
    --------
    >>> _title("ground.fitted.golf shoes"), _title("placement 2")
    ('On the mat: fitted, golf shoes', 'On the mat, one placement: 2')
    """
    for head in sorted(NAMES, key=len, reverse=True):
        if kind.startswith(head):
            rest = kind.removeprefix(head).strip(". ").replace(".", ", ")
            return f"{NAMES[head]}: {rest}" if rest else NAMES[head]
    return kind.replace(".", ", ").capitalize()


def _figures(found: Finding, findings: Findings, system: LengthSystem) -> Iterator[TraceFigure]:
    alone = replace(findings, findings=(found,))
    for row in figure_rows(alone, system):
        yield TraceFigure(what=row.what, figure=f"{row.figure} ({row.readings})")
    table = ground_table(alone, system)
    for name, *values in () if table is None else table.rows:
        yield TraceFigure(what=name, figure=values[0])


def _reading(name: str, log: Merged, digests: Mapping[str, str], system: LengthSystem) -> TraceReading:
    digest = next((d for file, d in digests.items() if file in name), "")
    for pattern, kind, keys in READINGS:
        match = pattern.match(name)
        if match is None:
            continue
        said = match.groups()
        count = kind_named(kind).number  # a photo's name may be all digits and stays a name
        typed = {k: int(v) if k == count else v for k, v in zip(keys, said, strict=True)}
        slot = log.slot(kind, typed)
        if slot is not None:
            return TraceReading(
                name=name,
                says=says({n: shown.value for n, shown in slot.shown.items()}, system),
                by=_by(slot, log),
                digest=digest,
            )
    return TraceReading(name=name, digest=digest)


def says(values: Mapping[str, Any], system: LengthSystem) -> str:
    """A reading's values in words, each number with its name.

    Examples
    --------
    >>> says({"width_mm": 450.0, "hip_line_deg": 3.7, "family": "irons", "confirms": False}, "metric")
    'width 450 mm, hip line 3.7°, irons'
    """
    said = []
    for name, value in values.items():
        if isinstance(value, bool):
            said += [name] if value else []
        elif isinstance(value, int | float):
            words = name.replace("_", " ").removesuffix(" mm").removesuffix(" deg").removesuffix(" kg")
            said.append(f"{words} {show_stored(name, value, system)}")
        elif isinstance(value, str):
            said.append(value)
    return ", ".join(said)


def _by(slot: Slot, log: Merged) -> str:
    """Who took the readings, and when, the latest of them."""
    entries = [e for e in log.entries if e.id in slot.readings]
    if not entries:
        return ""
    last = entries[-1]
    return " ".join(filter(None, (last.by, last.at.astimezone().strftime("%H:%M"))))
