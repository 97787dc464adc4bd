"""Orders: what is at the workshop, each club step by step, and what came back teaches of the tape."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from http import HTTPStatus
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from evenground.capture.order_file import size_back_mm
from evenground.capture.stock import with_tape
from evenground.errors import EvengroundError
from evenground.fit.grip_model import GripModelFit, TooFewFitsError, fit_grip_model
from evenground.records.blobs import open_blob
from evenground.records.models import Order
from evenground.records.orders import (
    NothingOrderedError,
    add_step,
    clubs_of,
    confirmed_fits,
    learned_now,
    make_order,
    order_of,
)
from evenground.records.visits import current_snapshot, studio_file
from evenground.report.workshop_words import tape_sentence
from evenground.studio.access import person_of
from evenground.studio.pages.order_parts import READINGS, club_part
from evenground.studio.signing import signed_card
from evenground.studio.stock_room import STOCK_NAME, stock_in_use, take_stock, use_grip_model
from evenground.studio.typed import NotACountError, read_typed
from evenground.units import LengthSystem

__all__ = ["order", "order_new", "order_step", "orders", "put_model_in_use", "put_tape_in_use"]


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
        **_model_facts(),
    }
    return render(request, "studio/orders.html", facts)


def _model_facts() -> dict[str, Any]:
    """What the studio's own model would be, beside the one in use."""
    fits = confirmed_fits()
    used = studio_file(current_snapshot()).grip_model
    facts: dict[str, Any] = {"kept_hands": len(fits), "model_used": used, "model": None, "model_said": ""}
    if not fits:
        return facts
    try:
        model = fit_grip_model(fits)
    except TooFewFitsError as exc:
        return facts | {"model_said": f"{exc.what} {exc.do}"}
    return facts | {"model": model, "model_said": model.notes[0], "model_rows": _model_rows(model)}


def _model_rows(model: GripModelFit) -> list[tuple[str, str]]:
    numbers = (
        ("under the upper hand of the survey's mean man, mm", model.at_reference_mm, 2),
        ("more for a millimetre of hand, mm", model.hand_slope, 3),
        ("more for a millimetre of finger, mm", model.finger_slope, 3),
        ("less under the lower hand, mm", model.taper_mm, 2),
    )
    return [(what, f"{e.value:.{n}f} ± {e.half_width():.{n}f}") for what, e, n in numbers]


@require_POST
def put_model_in_use(request: HttpRequest) -> HttpResponse:
    """Work diameters out by the studio's own model, or by the default again, from the next visit on."""
    own = None
    if request.POST.get("model") == "own":
        try:
            own = fit_grip_model(confirmed_fits()).model
        except TooFewFitsError as exc:
            messages.info(request, f"{exc.what} {exc.do}")
            return redirect("orders")
    use_grip_model(own, person_of(request))
    whose = "the default model" if own is None else "the studio's own model"
    messages.info(request, f"Diameters are worked out by {whose} from the next visit on.")
    return redirect("orders")


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
        "parts": [club_part(row, club.standing, learned, system, typed) for club in clubs],
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
        read = partial(read_typed, "grip_mm", system=system, label=label)
        given[f"{hand}_mm"] = [size_back_mm(t, read) for t in texts if t]
        layers = typed.get(f"{hand}_layers", "").strip()
        if layers:
            given[f"{hand}_layers"] = _count(f"layers, {label}", layers)
    mass = typed.get("mass_g", "").strip()
    if mass:
        given["mass_g"] = read_typed("mass_g", mass, system, label="mass")
    given["reason"] = typed.get("reason", "").strip()
    if typed.get("kept") == "yes":
        given["kept"] = True
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
