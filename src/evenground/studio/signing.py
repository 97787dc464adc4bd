"""The papers of a visit, and a card's signing: what was shown is what is signed, printed and kept."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from django.db import transaction

from evenground.assess.instruments import printed_mm
from evenground.capture.bundle_writer import studio_toml, visit_toml
from evenground.capture.order_file import line_table
from evenground.errors import RecordsError
from evenground.findings import Findings
from evenground.fit.grip_constants import TOLERANCE_MM
from evenground.fit.workshop import OrderLine
from evenground.plain import to_plain
from evenground.records.answers import answered
from evenground.records.assessing import Inputs, findings_of, inputs_of
from evenground.records.cards import draft_card, sign_card
from evenground.records.entries import canonical
from evenground.records.log import entries_of
from evenground.records.merge import merged
from evenground.records.models import CardVersion, Person
from evenground.report.build_view import BuildView, build_view, orders_of
from evenground.report.card_view import CardView
from evenground.report.choices import chosen_findings, teachers_card
from evenground.report.paper import paper_again, setup_card_pdf
from evenground.report.strip_view import StripView, strip_view
from evenground.report.words import day_text
from evenground.studio.days import today_here
from evenground.studio.deciding import DecidedLine, choices_of, decided_lines

__all__ = [
    "PAPERS",
    "CardMovedOnError",
    "LinesWaitError",
    "NotSignedError",
    "Papers",
    "Proposal",
    "next_number",
    "papers_of",
    "proposal",
    "sign",
    "signed_card",
    "signed_paper",
]

FORMAT = 1
PAPERS = ("setup-card", "width-strip", "build-sheet")
DRAFT = "draft, not signed"


class CardMovedOnError(RecordsError):
    """The card that was to be signed is not the one that was on the page."""

    do = "Look at the card as it stands now, and sign that."

    def __init__(self, visit: str) -> None:
        super().__init__(visit)
        self.where = f"visit {visit}"
        self.what = "Readings came in, or a line was decided anew, since the page was drawn."


class LinesWaitError(RecordsError):
    """A card was to be signed while lines of it wait for a decision."""

    do = "Accept each of them, or set your own with the reason."

    def __init__(self, lines: tuple[str, ...]) -> None:
        super().__init__(lines)
        self.where = "card"
        self.what = f"Still to be decided: {'; '.join(lines)}."


class NotSignedError(RecordsError):
    """There is no signed card of that number."""

    do = "Open the card from its visit."

    def __init__(self, visit: str, number: int) -> None:
        super().__init__(visit, number)
        self.where = f"visit {visit}"
        self.what = f"There is no signed card {number}."


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A visit's card as it stands: inputs, findings, and each line with its decision."""

    inputs: Inputs
    findings: Findings
    lines: tuple[DecidedLine, ...]

    @property
    def stamp(self) -> str:
        """What is signed when this is: the hash of the inputs, and of every decision that shows."""
        lines = [
            [d.line.key, d.state, None if d.decision is None else str(d.decision.id)] for d in self.lines
        ]
        return hashlib.sha256(canonical([self.inputs.hash(), lines]).encode()).hexdigest()

    @property
    def waiting(self) -> tuple[DecidedLine, ...]:
        """Lines that have to be decided before the card can be signed."""
        return tuple(d for d in self.lines if not d.settled)


@dataclass(frozen=True, slots=True, kw_only=True)
class Papers:
    """The view models of a visit's three papers."""

    card: CardView
    strip: StripView
    build: BuildView

    def plain(self, name: str) -> dict[str, Any]:
        """The plain form of one of `PAPERS`."""
        views = {"setup-card": self.card, "width-strip": self.strip, "build-sheet": self.build}
        plain: dict[str, Any] = to_plain(views[name])
        return plain


def proposal(visit_id: UUID) -> Proposal:
    """The card of a visit as it stands now, worked out if it is not yet.

    Raises
    ------
    VisitNotFoundError
        When there is no such visit.
    """
    inputs = inputs_of(visit_id)
    found = findings_of(visit_id)
    return Proposal(inputs=inputs, findings=found, lines=decided_lines(found, merged(entries_of(visit_id))))


def papers_of(shown: Proposal, *, signed_by: str = "", check_bar_mm: float | None = None) -> Papers:
    """The three papers with the teacher's choices on them; without a signer they say that they are drafts.

    Raises
    ------
    CheckBarError
        When the measured check bar cannot be that of the strip.
    """
    visit, settings = shown.inputs.visit, shown.inputs.studio.settings
    choices = choices_of(shown.lines)
    drawn = chosen_findings(shown.findings, choices, visit.shoes)
    card = teachers_card(visit, settings, shown.findings, choices)
    bar_mm = printed_mm(shown.inputs.studio, visit.day) if check_bar_mm is None else check_bar_mm
    strip = strip_view(visit, settings, drawn, check_bar_mm=bar_mm)
    note = f"signed by {signed_by}, {day_text(today_here())}" if signed_by else DRAFT
    return Papers(
        card=replace(card, made_by=", ".join(filter(None, (card.made_by, note)))),
        strip=strip if signed_by else replace(strip, dates=f"{strip.dates}, {DRAFT}"),
        build=_build(shown, note),
    )


def _build(shown: Proposal, note: str) -> BuildView:
    build = build_view(shown.inputs.visit, shown.inputs.studio.settings, shown.findings)
    return replace(build, made_by=", ".join(filter(None, (build.made_by, note))))


def sign(visit_id: UUID, person: Person, *, stamp: str, number: int) -> CardVersion:
    """Sign the card that was shown; the same press sent twice signs once.

    Parameters
    ----------
    visit_id, person
        Which visit's card, and who signs it.
    stamp
        The `Proposal.stamp` that the page was drawn with.
    number
        The version that the page was about to make.

    Raises
    ------
    MayNotSignError
        When the person is neither owner nor teacher.
    LinesWaitError, CardMovedOnError
        When a line waits, or the card is not the one that was shown.
    """
    before = _signed(visit_id, number)
    if before is not None:
        return before
    shown = proposal(visit_id)
    if shown.stamp != stamp:
        raise CardMovedOnError(shown.inputs.visit.visit)
    if shown.waiting:
        raise LinesWaitError(tuple(d.line.title for d in shown.waiting))
    papers = papers_of(shown, signed_by=person.name)
    pdf = setup_card_pdf(papers.card)
    with answered(), transaction.atomic():
        draft = draft_card(
            visit_id, [_line(d) for d in shown.lines], _kept(shown, papers), shown.inputs.hash()
        )
        if draft.number != number:
            raise CardMovedOnError(shown.inputs.visit.visit)
        return sign_card(draft.pk, person, pdf)


def signed_paper(card: CardVersion, name: str) -> bytes:
    """A paper of a signed card, set from what the card keeps; nothing is worked out again."""
    return paper_again(name, card.findings[name])


def next_number(visit_id: UUID) -> int:
    """The version that the next signing makes."""
    last = CardVersion.objects.filter(visit_id=visit_id, signed_at__isnull=False).order_by("-number").first()
    return 1 if last is None else last.number + 1


def _signed(visit_id: UUID, number: int) -> CardVersion | None:
    return CardVersion.objects.filter(visit_id=visit_id, number=number, signed_at__isnull=False).first()


def signed_card(visit_id: UUID, number: int) -> CardVersion:
    """A signed card of a visit.

    Raises
    ------
    NotSignedError
        When there is none of that number.
    """
    card = _signed(visit_id, number)
    if card is None:
        raise NotSignedError(str(visit_id), number)
    return card


def _line(decided: DecidedLine) -> dict[str, Any]:
    """One line as a signed card keeps it: the proposal, the decision, by whom and when."""
    plain: dict[str, Any] = to_plain(decided.line) | {"state": decided.state, "decision": None}
    if decided.decision is not None:
        d = decided.decision
        plain["decision"] = {
            "choice": d.choice,
            "text": d.text,
            "reason": d.reason,
            "by": d.by,
            "at": d.at.isoformat(),
        }
    return plain


def _kept(shown: Proposal, papers: Papers) -> Mapping[str, Any]:
    """All that a signed card needs to be shown, printed and checked again."""
    return {
        "format": FORMAT,
        "visit.toml": visit_toml(shown.inputs.visit),
        "studio.toml": studio_toml(shown.inputs.studio),
        "digests": dict(shown.inputs.digests),
        "findings": to_plain(shown.findings),
        **{name: papers.plain(name) for name in PAPERS},
        "order": [line_table(line) for line in _order_lines(shown)],
    }


def _order_lines(shown: Proposal) -> tuple[OrderLine, ...]:
    """What the workshop would be given; where the teacher chose otherwise, that stands beside it."""
    chosen = {
        club.mark: f"Teacher's choice: {d.decision.text} ({d.decision.reason})"
        for d in shown.lines
        for club in shown.inputs.visit.own_clubs
        if d.decision is not None and d.state == "chosen" and d.line.key.startswith("grip.")
        if club.mark in d.line.key
    }
    return orders_of(shown.inputs.visit, shown.findings, tolerance_mm=TOLERANCE_MM.value, notes=chosen)
