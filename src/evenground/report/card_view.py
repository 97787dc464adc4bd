"""The setup card as plain strings, ranges and drawings, the same for paper and screen."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta

from evenground.findings import FamilySetup, Findings
from evenground.fit.change import against_range
from evenground.needs import not_asked
from evenground.report.card_parts import AimPart, GripPart, PosturePart, aim_part, grip_part, posture_part
from evenground.report.cues import HomeCheck, home_check
from evenground.report.drawing import Drawing
from evenground.report.evidence_view import EvidenceView, evidence_view
from evenground.report.feet_drawing import feet_drawing
from evenground.report.read import setup_of, unmeasured
from evenground.report.words import (
    day_text,
    heel_range,
    joined,
    kept_together,
    length_range,
    shoe_lengths,
    width_range,
)
from evenground.units import LengthSystem
from evenground.visit import FAMILIES, Check, Family, StudioSettings, Visit

__all__ = ["CAUTIONS", "CardRow", "CardView", "ChoiceLine", "NotMeasured", "RowFact", "card_view"]

CAUTIONS = (
    (
        "Stop at pain, numbness or dizziness, and ask a licensed practitioner before going on; this card "
        "is no medical advice."
    ),
    (
        "Nothing may lie on the ground to help your stance or aim during a stroke (Rules of Golf, "
        "Rule 10.2b). Equipment defers to the current Equipment Rules."
    ),
)

BY_FAMILY: tuple[tuple[str, str, Check], ...] = (
    ("ball", "ball not measured", "ball"),
    ("own width", "own width not measured", "as arrived"),
)

TITLES: dict[Family, str] = {"putter": "Putter", "irons": "Irons", "woods": "Woods"}


@dataclass(frozen=True, slots=True, kw_only=True)
class RowFact:
    """A range with its name over it, as the column beside the drawing shows it."""

    name: str
    figure: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CardRow:
    """One family on page one. `width` is None where nothing is proposed and `instead` says what to do."""

    family: str
    answer: str
    answer_note: str
    width: str | None
    width_means: str
    shoe_lengths: str | None
    instead: str | None
    ball: tuple[str, ...]
    was: str
    facts: tuple[RowFact, ...]
    drawing: Drawing | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NotMeasured:
    """One thing that is not on the card, and why."""

    what: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoiceLine:
    """One line that the teacher set: what stands on page one, what the fit proposed, why, and who."""

    title: str
    chosen: str
    proposed: str
    why: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CardView:
    """Everything that stands on a setup card; `evidence` and `choices` are overleaf."""

    paper: str
    name: str
    dates: str
    person: str
    made_by: str
    screening: str | None
    rows: tuple[CardRow, ...]
    legend: str
    posture: PosturePart
    grip: GripPart
    aim: AimPart
    home: HomeCheck
    not_measured: tuple[NotMeasured, ...]
    cautions: tuple[str, ...]
    evidence: EvidenceView
    choices: tuple[ChoiceLine, ...] = ()


def card_view(visit: Visit, studio: StudioSettings, findings: Findings) -> CardView:
    """Put a visit's findings into the words and drawings of its card.

    Parameters
    ----------
    visit
        Who, when, in which shoes.
    studio
        Units and paper that this studio prints, and for how long a card is good.
    findings
        What was worked out; anything missing is said to be missing.
    """
    until = visit.day + timedelta(weeks=studio.valid_weeks)
    shoes = visit.shoes.name if visit.shoes is not None else "shoes not recorded"
    rows = tuple(_row(family, visit, studio.units, findings) for family in FAMILIES)
    return CardView(
        paper=studio.paper,
        name=visit.player.name,
        dates=f"{day_text(visit.day)}, valid until {day_text(until)}",
        person=f"{visit.player.handed}-handed, {shoes}",
        made_by=", ".join(part for part in (studio.name, visit.teacher) if part),
        screening=_screening(visit),
        rows=rows,
        legend=_legend(rows),
        posture=posture_part(visit, findings, studio.cues),
        grip=grip_part(visit, findings),
        aim=aim_part(visit, studio, findings),
        home=home_check(visit, findings, studio.cues),
        not_measured=_not_measured(visit, findings, rows),
        cautions=CAUTIONS,
        evidence=evidence_view(visit, studio, findings),
    )


def _screening(visit: Visit) -> str | None:
    """What the screening means for the card; nothing when the player was cleared."""
    if visit.screening == "cleared":
        return None
    if visit.screening == "measuring only":
        return "Measuring only today: nothing here asks you to load or to turn the body."
    return "No screening was recorded: nothing here asks you to load or to turn the body."


def _legend(rows: tuple[CardRow, ...]) -> str:
    """What the answer words that stand on this card promise."""
    said = {row.answer for row in rows}
    meanings = {
        "square": "square: nine in ten or better that the hips average square at this width",
        "likely": "likely: seven in ten or better",
        "none": "none: no width within reach was found square",
        "cannot tell": "cannot tell: the readings do not settle it",
    }
    return "; ".join(words for answer, words in meanings.items() if answer in said)


def _row(family: Family, visit: Visit, system: LengthSystem, findings: Findings) -> CardRow:
    setup = setup_of(findings, family)
    if setup is None:
        return _empty_row(family, visit)
    shown = setup.width_inside_mm or setup.width_heel_range_mm
    inside = setup.width_inside_mm is not None
    confirmed = findings.value(f"stance.confirm.{family}")
    note = "" if confirmed is None else confirmed.verdict
    if setup.carried_over_from:
        note = f"carried over from {setup.carried_over_from}"
    return CardRow(
        family=TITLES[family],
        answer=setup.answer,
        answer_note=note,
        width=None if shown is None else width_range(shown, system),
        width_means=_width_means(visit, inside=inside),
        shoe_lengths=None if setup.width_shoe_lengths is None else shoe_lengths(setup.width_shoe_lengths),
        instead=None if shown is not None else _instead(setup, visit, system),
        ball=_ball(setup, system),
        was=_was(setup, system),
        facts=tuple(_facts(setup, system)),
        drawing=feet_drawing(setup, visit.shoes, visit.player.handed),
    )


def _empty_row(family: Family, visit: Visit) -> CardRow:
    reason = visit.skipped.get("hip line", "")
    return CardRow(
        family=TITLES[family],
        answer="not measured",
        answer_note=reason,
        width=None,
        width_means="",
        shoe_lengths=None,
        instead=_instead(None, visit, "metric"),
        ball=("ball not measured",),
        was="own width not measured",
        facts=(),
        drawing=None,
    )


def _width_means(visit: Visit, *, inside: bool) -> str:
    if not_asked(visit, "hip line") is not None:
        return ""
    return "inside edges, in these shoes" if inside else "between heel centres"


def _instead(setup: FamilySetup | None, visit: Visit, system: LengthSystem) -> str:
    """What to do where no width is proposed; who does not stand on two feet is not told to keep a stance."""
    reason = not_asked(visit, "hip line")
    if reason is not None:
        return f"No stance between two feet: {reason}."
    own = "your own stance"
    if setup is not None and setup.was_inside_mm is not None:
        own = f"{own}, {length_range(setup.was_inside_mm, system)} inside your shoes"
    return f"Keep {own}."


def _ball(setup: FamilySetup, system: LengthSystem) -> tuple[str, ...]:
    inside, ahead = setup.ball_inside_lead_heel_mm, setup.ball_from_toe_line_mm
    lines = []
    if inside is not None:
        where, shown = heel_range(inside, system)
        lines.append(f"{shown} {where}")
    if ahead is not None:
        lines.append(f"{length_range(ahead, system)} from the toe line")
    return tuple(lines) or ("ball not measured",)


def _facts(setup: FamilySetup, system: LengthSystem) -> Iterator[RowFact]:
    """Ball, then was and now: the same ranges as `ball` and `was`, set as a column."""
    inside, ahead = setup.ball_inside_lead_heel_mm, setup.ball_from_toe_line_mm
    if inside is not None:
        where, shown = heel_range(inside, system)
        yield RowFact(name=f"ball {where}", figure=shown)
    if ahead is not None:
        yield RowFact(name="ball from the toe line", figure=length_range(ahead, system))
    if inside is None and ahead is None:
        yield RowFact(name="ball", figure="not measured")
    bare = [
        foot
        for foot, angle in (("lead", setup.toe_out_lead_deg), ("trail", setup.toe_out_trail_deg))
        if angle is None
    ]
    if bare:
        yield RowFact(name=f"toe-out, {joined(bare)}", figure="not measured")
    if setup.was_inside_mm is None:
        yield RowFact(name="width as arrived", figure="not measured")
        return
    was, now = length_range(setup.was_inside_mm, system), setup.width_inside_mm
    if now is None:
        yield RowFact(name="width as arrived", figure=was)
    elif now.low <= setup.was_inside_mm.value <= now.high:
        yield RowFact(name="width, was and now", figure=f"{was}: stays")
    else:
        unit = f" {was.rpartition(' ')[2]}"
        own, fitted = kept_together(was.removesuffix(unit)), kept_together(width_range(now, system))
        yield RowFact(name="width, was and now", figure=f"{own} \N{RIGHTWARDS ARROW} {fitted}")


def _was(setup: FamilySetup, system: LengthSystem) -> str:
    """How the player arrived, and whether that changes."""
    if setup.was_inside_mm is None:
        return "own width not measured"
    was = length_range(setup.was_inside_mm, system)
    now = setup.width_inside_mm
    if now is None:
        return f"was {was}, nothing proposed"
    where = against_range(setup.was_inside_mm, now.low, now.high)
    if where == "inside":
        return f"was {was}: stays, no real change"
    told = "changed" if where in ("below", "above") else "cannot tell whether that changes"
    return f"was {was}, now {width_range(now, system)}: {told}"


def _not_measured(visit: Visit, findings: Findings, rows: tuple[CardRow, ...]) -> tuple[NotMeasured, ...]:
    """All that was not measured; a family without a ball or without an own width is named too."""
    listed = dict(unmeasured(visit, findings))
    for what, sign, check in BY_FAMILY:
        short = [row.family.lower() for row in rows if sign in (row.was, *row.ball)]
        if short and what not in listed:
            why = visit.skipped.get(check, "not done")
            listed[what if len(short) == len(rows) else f"{what}, {joined(short)}"] = why
    return tuple(NotMeasured(what=what, why=why) for what, why in listed.items())
