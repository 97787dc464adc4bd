"""One club of an order in plain shapes: what it is, how it came back, what was done, and what may follow."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from evenground.fit.tape import TapeLearned
from evenground.fit.workshop import OrderLine, Standing, Step, StepName, steps_from
from evenground.records.models import Order
from evenground.report.drawing import Drawing, Mark
from evenground.report.grip_drawing import round_outline
from evenground.report.workshop_words import again_sentence, judged_sentence, tape_sentence
from evenground.studio.svg import Picture, picture
from evenground.studio.typed import unit_of
from evenground.units import LengthSystem

__all__ = ["READINGS", "ClubPart", "club_part"]

READINGS = 3
DO: dict[StepName, str] = {
    "received": "It is at the workshop",
    "built": "It is built",
    "measured": "Keep these sizes",
    "accepted": "Accept it",
    "back": "Send it back",
    "cancelled": "Cancel it",
}
"""What the button of each step says."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field of a step's form."""

    name: str
    label: str
    unit: str = ""
    value: str = ""
    tick: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One step that may follow, with what it asks for."""

    state: StepName
    button: str
    fields: tuple[Field, ...]
    first: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """One step that was made: which, by whom, when, and what it holds in words."""

    state: str
    who: str
    when: Any
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubPart:
    """One club of an order, as the page shows it."""

    mark: str
    state: str
    open: bool
    fit: str
    rows: tuple[tuple[str, str, str], ...]
    judged: str
    again: str
    note: str
    past: tuple[Past, ...]
    ways: tuple[Way, ...]
    picture: Picture | None


def club_part(
    row: Order,
    standing: Standing,
    learned: TapeLearned | None,
    system: LengthSystem,
    typed: Mapping[str, str],
) -> ClubPart:
    """One club as the page shows it; `typed` is what was typed when it could not be kept."""
    line, judged = standing.line, standing.judgement
    own = typed if typed.get("club") == line.mark else {}
    again = again_sentence(standing, learned)
    return ClubPart(
        mark=line.mark,
        state=standing.state,
        open=standing.open,
        fit=_fit(standing),
        rows=tuple(_rows(standing)),
        judged="" if judged is None else judged_sentence(judged),
        again=f"{tape_sentence(learned)} {again}" if again else "",
        note=line.note,
        past=tuple(_past(step) for step in standing.steps),
        ways=_ways(standing, system, own),
        picture=_picture(row, standing),
    )


def _fit(standing: Standing) -> str:
    line = standing.line
    if standing.layers is None:
        return f"{line.grip}, as it was measured"
    return f"{line.grip}, {standing.layers.upper} / {standing.layers.lower} layers of tape"


def _rows(standing: Standing) -> list[tuple[str, str, str]]:
    """Ordered, came back, and the difference, under each hand that holds the club."""
    line, judged = standing.line, standing.judgement
    rows = []
    for hand in ("upper", "lower"):
        ordered = getattr(line.ordered_mm, hand)
        if ordered is None:
            continue
        off = None if judged is None else getattr(judged, f"{hand}_off_mm")
        wide = f"{ordered:.1f} ± {max(line.tolerance_mm, 0.05):.1f} mm"
        back = "" if off is None else f"{ordered + off.value:.1f} ± {off.half_width():.1f} mm"
        rows.append((f"{hand} hand", wide, back))
    return rows


def _past(step: Step) -> Past:
    said = []
    if step.layers is not None:
        said.append(f"{step.layers.upper} / {step.layers.lower} layers")
    for hand in ("upper", "lower"):
        sizes = getattr(step, f"{hand}_mm")
        if sizes:
            said.append(f"{hand} {', '.join(f'{mm:.1f}' for mm in sizes)} mm")
    if step.mass_g is not None:
        said.append(f"{step.mass_g:.0f} g")
    said += [step.reason] if step.reason else []
    said += ["the player keeps it"] if step.kept else []
    return Past(state=step.state, who=step.who, when=datetime.fromisoformat(step.when), text="; ".join(said))


def _ways(standing: Standing, system: LengthSystem, typed: Mapping[str, str]) -> tuple[Way, ...]:
    """The steps that may follow; the first is what is mostly done next."""
    following = list(steps_from(standing.state))
    judged = standing.judgement
    if standing.state == "measured" and judged is not None and not judged.within:
        following.remove("back")
        following.insert(0, "back")
    return tuple(
        Way(
            state=state,
            button="Measure it again" if state == standing.state else DO[state],
            fields=_fields(state, standing, system, typed if typed.get("state") == state else {}),
            first=i == 0,
        )
        for i, state in enumerate(following)
    )


def _fields(
    state: StepName, standing: Standing, system: LengthSystem, typed: Mapping[str, str]
) -> tuple[Field, ...]:
    hands = [h for h in ("upper", "lower") if getattr(standing.line.ordered_mm, h) is not None]
    if state == "built" and standing.layers is not None:
        return tuple(
            Field(
                name=f"{h}_layers",
                label=f"layers under the {h} hand",
                value=typed.get(f"{h}_layers", str(getattr(standing.layers, h))),
            )
            for h in ("upper", "lower")
        )
    if state == "measured":
        unit = unit_of("grip_mm", system)
        across = "" if standing.layers is not None else ", width x depth where it is not round"
        sizes = [
            Field(
                name=f"{h}_{i}",
                label=f"{h} hand, reading {i}{across}",
                unit=unit,
                value=typed.get(f"{h}_{i}", ""),
            )
            for h in hands
            for i in range(1, READINGS + 1)
        ]
        mass = Field(
            name="mass_g",
            label="mass of the club",
            unit=unit_of("mass_g", system),
            value=typed.get("mass_g", ""),
        )
        return (*sizes, mass)
    if state in ("accepted", "back", "cancelled"):
        why = Field(name="reason", label="why", value=typed.get("reason", ""))
        kept = Field(name="kept", label="the player has played it and keeps it", tick=True)
        return (why, kept) if state == "accepted" else (why,)
    return ()


def _picture(row: Order, standing: Standing) -> Picture | None:
    """The sections of the build sheet, with what came back over them; None on a sheet without them."""
    line: OrderLine = standing.line
    sheet = row.card.findings.get("build-sheet", {})
    clubs = [c for c in sheet.get("clubs", []) if c.get("mark") == line.mark]
    plain = clubs[0].get("drawing") if clubs else None
    if plain is None:
        return None
    drawing = _drawing(plain)
    judged = standing.judgement
    centres = {m.text: m.points_mm[0] for m in drawing.marks if m.kind == "label" and m.anchor == "centre"}
    offs = {} if judged is None else {"upper": judged.upper_off_mm, "lower": judged.lower_off_mm}
    came = [
        round_outline(centres[hand], getattr(line.ordered_mm, hand) + off.value, style="accent")
        for hand, off in offs.items()
        if off is not None and hand in centres
    ]
    told = ", came back in the accent colour" if came else ""
    return picture(
        Drawing(
            left_mm=drawing.left_mm,
            right_mm=drawing.right_mm,
            bottom_mm=drawing.bottom_mm,
            top_mm=drawing.top_mm,
            marks=(*drawing.marks, *came),
        ),
        says=f"{line.mark}, cross-sections under each hand: ordered in ink{told}.",
        name=f"order-{''.join(c for c in line.mark if c.isalnum())}",
        margin_px=(20.0, 44.0),
    )


def _drawing(plain: Mapping[str, Any]) -> Drawing:
    """A drawing from its plain form."""
    marks = [
        Mark(**(dict(m) | {"points_mm": tuple((p[0], p[1]) for p in m["points_mm"])})) for m in plain["marks"]
    ]
    return Drawing(
        left_mm=plain["left_mm"],
        right_mm=plain["right_mm"],
        bottom_mm=plain["bottom_mm"],
        top_mm=plain["top_mm"],
        marks=tuple(marks),
    )
