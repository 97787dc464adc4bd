"""A teacher's own choices put onto the card: their words on page one, the reason and the proposal overleaf.

A chosen line never keeps the fit's answer word, its chance or its confirmation: those belong to a value that
no longer stands there. The evidence overleaf stays the fit's own.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from evenground.findings import Answer, CardLine, FamilySetup, Finding, Findings, Range
from evenground.report.card_parts import AimPart, GripLine, GripPart, PosturePart
from evenground.report.card_view import CardRow, CardView, ChoiceLine, RowFact, card_view
from evenground.report.read import setup_of
from evenground.visit import FAMILIES, Family, Shoes, StudioSettings, Visit

__all__ = ["CHOSEN", "Between", "LineChoice", "chosen_findings", "teachers_card"]

Between = Literal["inside edges", "heel centres"]
CHOSEN: Answer = "teacher's choice"
WHY_OVERLEAF = "why stands overleaf"
LEGEND = "teacher's choice: set by the teacher, not by the fit; why stands overleaf"


@dataclass(frozen=True, slots=True, kw_only=True)
class LineChoice:
    """What a teacher put in the place of one proposed line.

    `key` is the `CardLine`'s; `low_mm` to `high_mm` is the range of a chosen stance width, between the two
    inside edges or the heel centres, None for every other line.
    """

    key: str
    text: str
    reason: str
    by: str
    low_mm: float | None = None
    high_mm: float | None = None
    between: Between | None = None


def teachers_card(
    visit: Visit, studio: StudioSettings, findings: Findings, choices: Sequence[LineChoice]
) -> CardView:
    """The card with the teacher's choices on it; without any it is the fit's own card.

    Parameters
    ----------
    visit, studio, findings
        As in `card_view`.
    choices
        One a line at most; a choice for a line that the card does not have stands overleaf only.
    """
    fitted = card_view(visit, studio, findings)
    if not choices:
        return fitted
    told = {choice.key: choice for choice in choices}
    drawn = card_view(visit, studio, chosen_findings(findings, choices, visit.shoes))
    return replace(
        drawn,
        rows=tuple(_row(f, row, told) for f, row in zip(FAMILIES, drawn.rows, strict=True)),
        legend="; ".join(filter(None, (drawn.legend, LEGEND))),
        posture=_posture(drawn.posture, told.get("posture")),
        grip=_grip(fitted.grip, told),
        aim=_aim(fitted.aim, told.get("aim")),
        not_measured=fitted.not_measured,
        evidence=fitted.evidence,
        choices=tuple(_overleaf(choice, findings.card) for choice in choices),
    )


def chosen_findings(findings: Findings, choices: Sequence[LineChoice], shoes: Shoes | None) -> Findings:
    """Findings in which each family's setup holds what the teacher chose, for drawings and the strip.

    A chosen width takes the place of the fit's with its answer, chance and promise; toe-out and ball that
    were chosen in words are taken out, so that nothing measured is drawn in their place.
    """
    told = {choice.key: choice for choice in choices}
    found = list(findings.findings)
    for family in FAMILIES:
        before = setup_of(findings, family)
        after = _setup(family, before, told, shoes)
        if after is None or after == before:
            continue
        kept = [f for f in found if f.kind != f"setup.{family}"]
        old = findings.of(f"setup.{family}")
        found = [*kept, _finding(family, old, after)]
    return replace(findings, findings=tuple(found))


def _finding(family: Family, old: Finding | None, setup: FamilySetup) -> Finding:
    if old is not None:
        return replace(old, value=setup, status="measured")
    return Finding(
        key="",
        kind=f"setup.{family}",
        status="measured",
        value=setup,
        reason=None,
        evidence=(CHOSEN,),
        methods={},
    )


def _setup(
    family: Family, before: FamilySetup | None, told: Mapping[str, LineChoice], shoes: Shoes | None
) -> FamilySetup | None:
    width = told.get(f"{family}.width")
    if before is None and width is None:
        return None
    setup = before or _blank(family)
    if width is not None and width.low_mm is not None and width.high_mm is not None:
        setup = _with_width(setup, width, width.low_mm, width.high_mm, shoes)
    if f"{family}.toe-out" in told:
        setup = replace(setup, toe_out_lead_deg=None, toe_out_trail_deg=None)
    if f"{family}.ball" in told:
        setup = replace(setup, ball_inside_lead_heel_mm=None, ball_from_toe_line_mm=None)
    return setup


def _with_width(
    setup: FamilySetup, choice: LineChoice, low_mm: float, high_mm: float, shoes: Shoes | None
) -> FamilySetup:
    means = f"{CHOSEN}: {choice.reason}"
    wide = Range(low=low_mm, high=high_mm, unit="mm", means=means)
    inside = choice.between != "heel centres"
    lengths = None
    if inside and shoes is not None and shoes.length_mm:
        lengths = Range(
            low=low_mm / shoes.length_mm, high=high_mm / shoes.length_mm, unit="shoe lengths", means=means
        )
    return replace(
        setup,
        answer=CHOSEN,
        probability=None,
        carried_over_from=None,
        width_heel_centres_mm=None,
        width_inside_mm=wide if inside else None,
        width_heel_range_mm=None if inside else wide,
        width_shoe_lengths=lengths,
    )


def _blank(family: Family) -> FamilySetup:
    return FamilySetup(
        family=family,
        answer="not measured",
        probability=None,
        carried_over_from=None,
        width_heel_centres_mm=None,
        width_inside_mm=None,
        width_shoe_lengths=None,
        was_inside_mm=None,
        toe_out_lead_deg=None,
        toe_out_trail_deg=None,
        ball_inside_lead_heel_mm=None,
        ball_from_toe_line_mm=None,
    )


def _row(family: Family, row: CardRow, told: Mapping[str, LineChoice]) -> CardRow:
    if f"{family}.width" in told:
        row = replace(row, answer_note=WHY_OVERLEAF)
    ball, toes = told.get(f"{family}.ball"), told.get(f"{family}.toe-out")
    if ball is not None:
        rest = tuple(fact for fact in row.facts if not fact.name.startswith("ball"))
        said = RowFact(name=f"ball, {CHOSEN}", figure=ball.text)
        row = replace(row, ball=(f"{ball.text} ({CHOSEN})",), facts=(said, *rest))
    if toes is not None:
        row = replace(row, facts=(*row.facts, RowFact(name=f"toe-out, {CHOSEN}", figure=toes.text)))
    return row


def _posture(part: PosturePart, choice: LineChoice | None) -> PosturePart:
    if choice is None:
        return part
    note = part.note if part.drawing is None else "Drawn as measured."
    return replace(part, answer=CHOSEN, cues=(choice.text,), note=note)


def _grip(part: GripPart, told: Mapping[str, LineChoice]) -> GripPart:
    lines = tuple(
        line
        if (choice := told.get(f"grip.{line.clubs}")) is None
        else GripLine(clubs=line.clubs, answer=CHOSEN, text=choice.text)
        for line in part.lines
    )
    alone = told.get("grip")
    if alone is not None:
        lines = (*lines, GripLine(clubs="All clubs", answer=CHOSEN, text=alone.text))
    return replace(part, lines=lines)


def _aim(part: AimPart, choice: LineChoice | None) -> AimPart:
    if choice is None:
        return part
    return AimPart(drawing=None, lines=(f"{CHOSEN.capitalize()}: {choice.text}",))


def _overleaf(choice: LineChoice, lines: Sequence[CardLine]) -> ChoiceLine:
    line = next((line for line in lines if line.key == choice.key), None)
    return ChoiceLine(
        title=choice.key if line is None else line.title,
        chosen=choice.text,
        proposed="nothing" if line is None else f"{line.now} ({line.answer})",
        why=_sentence(choice.reason),
        by=choice.by,
    )


def _sentence(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else f"{text}."
