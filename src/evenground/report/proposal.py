"""The proposed card, line by line: what stands on page one, each line with the findings that it came from."""

from collections.abc import Iterator

from evenground.findings import CardLine, FamilySetup, Findings
from evenground.report.card_view import CardRow, CardView, card_view
from evenground.report.read import balance_words, setup_of
from evenground.report.words import toe_out_range
from evenground.visit import FAMILIES, Family, StudioSnapshot, Visit

__all__ = ["card_lines"]


def card_lines(visit: Visit, studio: StudioSnapshot, findings: Findings) -> tuple[CardLine, ...]:
    """Every line that the teacher may accept or override, in the order of page one.

    The words are those of the card itself (`card_view`), so that what is accepted is what is printed.
    """
    view = card_view(visit, studio.settings, findings)
    return (*_stance_lines(view, findings), *_lower_lines(view, findings))


def _stance_lines(view: CardView, findings: Findings) -> Iterator[CardLine]:
    for family, row in zip(FAMILIES, view.rows, strict=True):
        setup = setup_of(findings, family)
        yield _width_line(family, row, setup)
        if setup is not None:
            yield from _feet_and_ball(family, row, setup)


def _width_line(family: Family, row: CardRow, setup: FamilySetup | None) -> CardLine:
    chance = (
        "" if setup is None or setup.probability is None else f"; chance of square {setup.probability:.2f}"
    )
    note = f"; {row.answer_note}" if row.answer_note else ""
    return CardLine(
        key=f"{family}.width",
        title=f"{row.family}: stance width",
        answer=row.answer,
        now=row.width or row.instead or "nothing proposed",
        was=row.was,
        evidence=f"{row.width_means or 'no width'}{chance}{note}",
        findings=(f"setup.{family}", "stance"),
    )


def _feet_and_ball(family: Family, row: CardRow, setup: FamilySetup) -> Iterator[CardLine]:
    feet = [
        f"{foot} {toe_out_range(angle)}"
        for foot, angle in (("lead", setup.toe_out_lead_deg), ("trail", setup.toe_out_trail_deg))
        if angle is not None
    ]
    yield CardLine(
        key=f"{family}.toe-out",
        title=f"{row.family}: toe-out",
        answer="as measured" if feet else "not measured",
        now=", ".join(feet) or "not measured",
        was=None,
        evidence="; ".join(setup.notes) or "angle between each foot's long axis and straight ahead",
        findings=(f"setup.{family}",),
    )
    placed = setup.ball_inside_lead_heel_mm is not None
    yield CardLine(
        key=f"{family}.ball",
        title=f"{row.family}: ball",
        answer="as measured" if placed else "not measured",
        now=", ".join(row.ball),
        was=None,
        evidence="from the lead heel centre and the line through the toes",
        findings=(f"setup.{family}",),
    )


def _lower_lines(view: CardView, findings: Findings) -> Iterator[CardLine]:
    posture = tuple(f.kind for f in findings.findings if f.kind.startswith("posture"))
    yield CardLine(
        key="posture",
        title=view.posture.title,
        answer=view.posture.answer,
        now=" ".join(view.posture.cues),
        was=None,
        evidence=" ".join(s for s in (view.posture.note, balance_words(findings)) if s) or "angles overleaf",
        findings=posture,
    )
    for line in view.grip.lines:
        yield CardLine(
            key=f"grip.{line.clubs}",
            title=f"Grip: {line.clubs}",
            answer=line.answer,
            now=line.text,
            was=None,
            evidence=view.grip.note,
            findings=("grip.wanted", *(f.kind for f in findings.findings if f.kind.startswith("grip.build"))),
        )
    if not view.grip.lines:
        yield CardLine(
            key="grip",
            title="Grip",
            answer="not measured",
            now=view.grip.note,
            was=None,
            evidence=view.grip.note,
            findings=("grip.wanted",),
        )
    yield CardLine(
        key="aim",
        title="Aim",
        answer="as measured" if view.aim.drawing is not None else "not measured",
        now=" ".join(view.aim.lines),
        was=None,
        evidence="bias and spread overleaf",
        findings=tuple(f.kind for f in findings.findings if f.kind.startswith("aim")),
    )
