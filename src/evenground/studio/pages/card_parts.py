"""What the card page prints: each line with decision, evidence and drawing, and what signing waits for."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from uuid import UUID, uuid4

from evenground.assess.budgets import budgets_of
from evenground.fit.budgets import FindingBudget
from evenground.records.merge import Merged
from evenground.records.models import CardVersion
from evenground.report.budget_drawing import budget_drawing
from evenground.report.card_view import CardView
from evenground.report.drawing import Drawing
from evenground.studio.deciding import DecidedLine, proposal_of
from evenground.studio.signing import Proposal, next_number, papers_of
from evenground.studio.svg import Picture, picture
from evenground.studio.tracing import Trace, Tracer
from evenground.visit import FAMILIES

__all__ = [
    "HEEL_CENTRES",
    "BudgetPart",
    "LinePart",
    "SignPart",
    "anchor_of",
    "line_parts",
    "sign_part",
    "signed_versions",
]

HEEL_CENTRES = "between heel centres"
"""How a width line says that it does not run between the inside edges."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePart:
    """One line as the page shows it; `error` stands beside what was typed, which is kept."""

    decided: DecidedLine
    anchor: str
    fresh_id: UUID
    seen: str
    traces: tuple[Trace, ...]
    picture: Picture | None = None
    curves: tuple[Picture, ...] = ()
    budgets: tuple["BudgetPart", ...] = ()
    text: str = ""
    reason: str = ""
    error: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BudgetPart:
    """What one figure's error is made of; a picture only where there is more than one source."""

    found: FindingBudget
    picture: Picture | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SignPart:
    """What stands between the card and its signing."""

    waiting: tuple[DecidedLine, ...]
    chosen: int
    stamp: str
    number: int
    fresh_id: UUID
    signed: tuple[CardVersion, ...]


def anchor_of(key: str) -> str:
    """A line's place on the page.

    Examples
    --------
    >>> anchor_of("grip.7 iron and wedge")
    'line-grip-7-iron-and-wedge'
    """
    return "line-" + "-".join("".join(c if c.isalnum() and c.isascii() else " " for c in key).split())


def line_parts(shown: Proposal, log: Merged, *, only: str | None = None) -> list[LinePart]:
    """The card's lines, or one of them, with their evidence and drawings."""
    view = papers_of(shown).card
    drawings = _drawings(view)
    tracer = Tracer(
        findings=shown.findings,
        log=log,
        digests=shown.inputs.digests,
        system=shown.inputs.studio.settings.units,
    )
    budgets = budgets_of(shown.inputs.visit, shown.inputs.studio, shown.findings)
    return [
        replace(_part(d, tracer, view, drawings), budgets=_budgets(d.line.key, budgets))
        for d in shown.lines
        if only in (None, d.line.key)
    ]


def sign_part(visit_id: UUID, shown: Proposal) -> SignPart:
    """What waits, and which version a signing would make."""
    return SignPart(
        waiting=shown.waiting,
        chosen=sum(d.state == "chosen" for d in shown.lines),
        stamp=shown.stamp,
        number=next_number(visit_id),
        fresh_id=uuid4(),
        signed=signed_versions(visit_id),
    )


def signed_versions(visit_id: UUID) -> tuple[CardVersion, ...]:
    """The signed cards of a visit, newest first."""
    cards = CardVersion.objects.filter(visit_id=visit_id, signed_at__isnull=False)
    return tuple(cards.defer("findings", "lines").order_by("-number"))


def _part(decided: DecidedLine, tracer: Tracer, view: CardView, drawings: Mapping[str, Drawing]) -> LinePart:
    line = decided.line
    drawn = drawings.get(line.key)
    decision = decided.decision
    return LinePart(
        decided=decided,
        anchor=anchor_of(line.key),
        fresh_id=uuid4(),
        seen=proposal_of(line),
        traces=tracer.of(line),
        picture=None if drawn is None else _picture(drawn, line.key, f"{line.title}: {line.now}"),
        curves=_curves(view, decided),
        text="" if decision is None else decision.text,
        reason="" if decision is None else decision.reason,
    )


def _budgets(key: str, budgets: Sequence[FindingBudget]) -> tuple[BudgetPart, ...]:
    """The budgets that stand on one line; every grip stands on the hands' own."""
    line = "grip" if key.startswith("grip") else key
    return tuple(
        BudgetPart(
            found=one,
            picture=picture(
                budget_drawing(one), says=one.advice, name=f"{anchor_of(key)}-budget-{number}", wide_px=560.0
            )
            if len(one.budget.sources) > 1
            else None,
        )
        for number, one in enumerate(budgets)
        if one.line == line
    )


def _drawings(view: CardView) -> dict[str, Drawing]:
    """The drawings of page one by the line that they belong to."""
    rows = {f"{family}.width": row.drawing for family, row in zip(FAMILIES, view.rows, strict=True)}
    all_of_them = rows | {"posture": view.posture.drawing, "aim": view.aim.drawing}
    return {key: drawing for key, drawing in all_of_them.items() if drawing is not None}


def _picture(drawing: Drawing, key: str, says: str) -> Picture:
    return picture(drawing, says=says, name=anchor_of(key), wide_px=420.0, margin_px=(60.0, 12.0))


def _curves(view: CardView, decided: DecidedLine) -> tuple[Picture, ...]:
    """The evidence's own curves, beside the widths of the families that they are of."""
    if not decided.is_width:
        return ()
    family = decided.line.key.partition(".")[0]
    return tuple(
        picture(
            part.drawing,
            says=f"{part.title}. {' '.join(part.sentences)}",
            name=f"{anchor_of(decided.line.key)}-{number}",
            wide_px=620.0,
            margin_px=(30.0, 16.0),
            title=f"{part.title}. {' '.join(part.sentences)}",
        )
        for number, part in enumerate(view.evidence.curves)
        if family in part.title
    )
