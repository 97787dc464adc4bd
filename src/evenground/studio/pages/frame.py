"""The frame of a visit: checks down the margin, card so far, clock, ruler; the same around every check."""

from collections.abc import Mapping
from dataclasses import dataclass

from evenground.findings import CardLine, Findings
from evenground.fit.hour import HOUR, Clock, Progress, State, clock
from evenground.needs import not_asked
from evenground.studio.pages.checks import slug_of
from evenground.studio.pages.leading import progress
from evenground.studio.pages.scene import Scene
from evenground.studio.ruler import Ruler, ruler
from evenground.visit import CHECKS, FAMILIES, Check

__all__ = ["CardSoFar", "Frame", "Glance", "MarginLine", "SkipPart", "frame_of", "skip_part"]

TITLES: Mapping[Check, str] = {check: check for check in CHECKS}
WORDS: Mapping[State, str] = {
    "done": "done",
    "partly": "partly done",
    "next": "do this next",
    "waiting": "not begun",
    "skipped": "left out",
    "not asked": "not asked",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class MarginLine:
    """One check in the margin."""

    check: Check
    slug: str
    state: State
    says: str
    count: str
    here: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Glance:
    """One line of the card so far."""

    title: str
    now: str
    answer: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CardSoFar:
    """The card as the findings have it now; `settling` while newer readings are worked on."""

    lines: tuple[Glance, ...]
    not_measured: tuple[str, ...]
    settling: bool
    failed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SkipPart:
    """What leaving the open check out costs, or why it is left out already."""

    price: str
    may_skip: bool
    skipped: str
    not_asked: str
    reasons: tuple[str, ...] = ("no time", "tired", "pain", "the player does not want to", "no instrument")


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """All that stands around the open check."""

    margin: tuple[MarginLine, ...]
    card: CardSoFar
    clock: Clock
    ruler: Ruler
    next: Check | None


def _answered(scene: Scene, check: Check) -> bool:
    """Whether it is known that the check drops out; turn waits for the screening before it does."""
    return check != "turn" or scene.visit.screening is not None


def frame_of(scene: Scene, here: Check | None) -> Frame:
    """The frame around a check."""
    states = {check: progress(scene, check) for check in CHECKS}
    first = next((c for c in CHECKS if states[c].state in ("waiting", "partly")), None)
    if first is not None:
        states[first] = Progress(
            state="next" if states[first].state == "waiting" else "partly",
            count=states[first].count,
            enough=states[first].enough,
        )
    return Frame(
        margin=tuple(
            MarginLine(
                check=check,
                slug=slug_of(check),
                state=p.state,
                says="do this next" if check == first else WORDS[p.state],
                count=p.count,
                here=check == here,
            )
            for check, p in states.items()
        ),
        card=_card(scene),
        clock=clock(scene.begun, scene.now, {c: p.state for c, p in states.items()}, last=scene.last),
        ruler=ruler(scene.findings, scene.system),
        next=first,
    )


def skip_part(scene: Scene, check: Check) -> SkipPart:
    """What a skip of a check costs."""
    line = HOUR[check]
    return SkipPart(
        price=line.price,
        may_skip=line.may_skip,
        skipped=scene.visit.skipped.get(check, ""),
        not_asked=(not_asked(scene.visit, check) or "") if _answered(scene, check) else "",
    )


def _card(scene: Scene) -> CardSoFar:
    findings = scene.findings
    return CardSoFar(
        lines=() if findings is None else tuple(_glances(findings)),
        not_measured=() if findings is None else _missing(findings),
        settling=not scene.fresh,
        failed=scene.standing.failed,
    )


def _glances(findings: Findings) -> list[Glance]:
    """The card's lines that say something, short enough for the side of a page."""
    found = [_glance(line) for line in findings.card if line.key.endswith(".width")]
    for end in (".toe-out", ".ball"):
        line = next(
            (c for c in findings.card if c.key.endswith(end) and not c.now.endswith("not measured")), None
        )
        found += [] if line is None else [_glance(line)]
    found += [
        _glance(c)
        for c in findings.card
        if c.key.startswith(("grip", "aim", "posture")) and c.answer != "not measured"
    ]
    return found


def _glance(line: CardLine) -> Glance:
    title = line.title.partition(":")[0] if line.key.endswith(".width") else line.title
    if line.key == "posture":
        return Glance(title=title, now=line.answer, answer="")
    return Glance(title=title, now=line.now, answer=line.answer)


def _missing(findings: Findings) -> tuple[str, ...]:
    """What the card does not hold; a family is named only where another one has it."""
    missing: dict[str, list[str]] = {}
    for line in findings.card:
        if line.answer == "not measured":
            family, _, what = line.title.partition(": ")
            missing.setdefault(what or line.title.lower(), []).extend([family.lower()] if what else [])
    return tuple(
        f"{what} ({', '.join(families)})" if 0 < len(families) < len(FAMILIES) else what
        for what, families in missing.items()
    )
