"""Orders: what is at the workshop, each club step by step, and what came back teaches of the tape."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from http import HTTPStatus
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from evenground.capture.stock import with_tape
from evenground.errors import EvengroundError
from evenground.fit.tape import TapeLearned
from evenground.fit.workshop import OrderLine, Standing, Step, StepName, steps_from
from evenground.records.blobs import open_blob
from evenground.records.models import Order
from evenground.records.orders import (
    NothingOrderedError,
    add_step,
    clubs_of,
    learned_now,
    make_order,
    order_of,
)
from evenground.records.visits import current_snapshot, studio_file
from evenground.report.drawing import Drawing, Mark
from evenground.report.grip_drawing import round_outline
from evenground.report.workshop_words import again_sentence, tape_sentence
from evenground.studio.access import person_of
from evenground.studio.signing import signed_card
from evenground.studio.stock_room import STOCK_NAME, stock_in_use, take_stock
from evenground.studio.svg import Picture, picture
from evenground.studio.typed import NotACountError, read_typed, unit_of
from evenground.units import LengthSystem

__all__ = ["order", "order_new", "order_step", "orders", "put_tape_in_use"]

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


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderRow:
    """One order in the list."""

    order: Order
    clubs: tuple[tuple[str, str], ...]
    open: bool


@require_GET
def orders(request: HttpRequest) -> HttpResponse:
    """Show the workshop's orders, those that are open first, and the tape."""
    found = Order.objects.select_related("card__visit__player").prefetch_related("events__person")
    rows = [_row(order) for order in found.order_by("-created_at")[:200]]
    learned = learned_now()
    facts = {
        "open_orders": [r for r in rows if r.open],
        "closed_orders": [r for r in rows if not r.open],
        "tape": tape_sentence(learned) if learned is not None else "",
        "may_use": learned is not None and learned.fits,
    }
    return render(request, "studio/orders.html", facts)


def _row(order: Order) -> OrderRow:
    clubs = [club.standing for club in clubs_of(order)]
    return OrderRow(
        order=order,
        clubs=tuple((s.line.mark, s.state) for s in clubs),
        open=any(s.open for s in clubs),
    )


@require_POST
def order_new(request: HttpRequest, visit_id: UUID, number: int) -> HttpResponse:
    """Give a signed card's builds to the workshop."""
    card = signed_card(visit_id, number)
    try:
        made = make_order(card, person_of(request), order_id=_uuid(request.POST.get("id", "")))
    except NothingOrderedError as exc:
        messages.info(request, f"{exc.what} {exc.do}")
        return redirect("card-signed", visit_id, number)
    return redirect("order", made.pk)


def _uuid(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError as exc:
        raise Http404 from exc


@require_GET
def order(request: HttpRequest, order_id: UUID) -> HttpResponse:
    """Show one order, club by club."""
    return _page(request, order_id)


def _page(
    request: HttpRequest,
    order_id: UUID,
    *,
    problem: str = "",
    typed: Mapping[str, str] | None = None,
    status: int = HTTPStatus.OK,
) -> HttpResponse:
    row, learned, system = order_of(order_id), learned_now(), _system()
    typed = typed or {}
    clubs = clubs_of(row)
    facts = {
        "order": row,
        "player": row.card.visit.player,
        "parts": [_part(row, club.standing, learned, system, typed) for club in clubs],
        "seen": len(row.events.all()),
        "problem": problem,
        "problem_at": typed.get("club") if typed.get("club") in {c.mark for c in clubs} else None,
    }
    return render(request, "studio/order.html", facts, status=status)


def _system() -> LengthSystem:
    return studio_file(current_snapshot()).settings.units


@require_POST
def order_step(request: HttpRequest, order_id: UUID) -> HttpResponse:
    """Add one step of one club; what was typed stays on the page when it cannot be."""
    typed = {name: str(value)[:400] for name, value in request.POST.items()}
    seen = typed.get("seen", "")
    try:
        given = _given(typed, _system())
        add_step(order_id, given, person_of(request), seen=int(seen) if seen.isdigit() else -1)
    except EvengroundError as exc:
        said = f"{exc.what} {exc.do}".strip()
        return _page(request, order_id, problem=said, typed=typed, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    return redirect("order", order_id)


def _given(typed: Mapping[str, str], system: LengthSystem) -> dict[str, Any]:
    """What was typed as a step; empty fields are left out.

    Raises
    ------
    UnreadableSizeError, NotACountError
        When a field holds what cannot be read.
    """
    given: dict[str, Any] = {"club": typed.get("club", ""), "state": typed.get("state", "")}
    for hand in ("upper", "lower"):
        texts = [typed.get(f"{hand}_{i}", "").strip() for i in range(1, READINGS + 1)]
        label = f"{hand} hand"
        given[f"{hand}_mm"] = [read_typed("grip_mm", t, system, label=label) for t in texts if t]
        layers = typed.get(f"{hand}_layers", "").strip()
        if layers:
            given[f"{hand}_layers"] = _count(f"layers, {label}", layers)
    mass = typed.get("mass_g", "").strip()
    if mass:
        given["mass_g"] = read_typed("mass_g", mass, system, label="mass")
    given["reason"] = typed.get("reason", "").strip()
    return given


def _count(label: str, text: str) -> int:
    try:
        return int(text)
    except ValueError as exc:
        raise NotACountError(label, text) from exc


@require_POST
def put_tape_in_use(request: HttpRequest) -> HttpResponse:
    """Count layers with the tape as it was learned, from the next visit on."""
    learned, shelf = learned_now(), stock_in_use()
    if learned is None or shelf is None or not learned.fits:
        messages.info(request, "There is no new thickness to put in use.")
        return redirect("orders")
    with open_blob(shelf.blob_id) as stream:
        text = stream.read().decode("utf-8-sig")
    take_stock(with_tape(text, learned.tape).encode(), STOCK_NAME, person_of(request))
    messages.info(request, f"{tape_sentence(learned)} Layers are counted with it from the next visit on.")
    return redirect("orders")


def _part(
    row: Order,
    standing: Standing,
    learned: TapeLearned | None,
    system: LengthSystem,
    typed: Mapping[str, str],
) -> ClubPart:
    line, judged = standing.line, standing.judgement
    own = typed if typed.get("club") == line.mark else {}
    chance = "" if judged is None else f" Chance that it truly is within: {100.0 * judged.chance:.0f} %."
    return ClubPart(
        mark=line.mark,
        state=standing.state,
        open=standing.open,
        fit=_fit(standing),
        rows=tuple(_rows(standing)),
        judged="" if judged is None else f"{judged.text}{chance}",
        again=again_sentence(standing, learned),
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
        sizes = [
            Field(
                name=f"{h}_{i}",
                label=f"{h} hand, reading {i}",
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
        return (Field(name="reason", label="why", value=typed.get("reason", "")),)
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
