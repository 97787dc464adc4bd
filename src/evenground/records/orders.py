"""Orders at the workshop: made from a signed card, followed step by step, and what they teach of the tape.

An order and its steps are only ever added; the database itself refuses to change one.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Literal
from uuid import UUID

from django.db import transaction

from evenground.capture.fields import checked, read_toml
from evenground.capture.order_file import OrderLineTable, StepTable, step_table
from evenground.capture.stock import StockList as StockFile
from evenground.capture.visit_file import VisitFile, visit_from
from evenground.errors import RecordsError
from evenground.fit.grip_model import ConfirmedFit
from evenground.fit.tape import AsBuilt, TapeLearned, learn_tape
from evenground.fit.workshop import Standing, as_built, measured_mm, stand
from evenground.floor import Side, lead_side, trail_side
from evenground.records.answers import answered
from evenground.records.audit import note
from evenground.records.blobs import open_blob
from evenground.records.models import CardVersion, Order, OrderEvent, Person, StockList
from evenground.stock import Tape
from evenground.visit import Visit

__all__ = [
    "NothingOrderedError",
    "OrderClub",
    "OrderMovedOnError",
    "OrderNotFoundError",
    "add_step",
    "clubs_of",
    "confirmed_fits",
    "learned_now",
    "make_order",
    "order_of",
    "tape_in_use",
]


class OrderNotFoundError(RecordsError):
    """There is no such order."""

    do = "Open it from the list of orders."

    def __init__(self, order: str) -> None:
        super().__init__(order)
        self.where = f"order {order[:8]}"
        self.what = "There is no such order."


class NothingOrderedError(RecordsError):
    """A signed card whose build sheet orders nothing, or one from before cards kept their orders."""

    do = "If a grip should change, sign the card anew; its build sheet says what stays."

    def __init__(self, card: str) -> None:
        super().__init__(card)
        self.where = card
        self.what = "This card orders no build."


class OrderMovedOnError(RecordsError):
    """A step was to be added to an order that has others since the page was drawn."""

    do = "Look at the order as it stands now."

    def __init__(self, order: str) -> None:
        super().__init__(order)
        self.where = f"order {order[:8]}"
        self.what = "Somebody else added a step in the meantime."


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderClub:
    """One club of an order, where it stands."""

    mark: str
    standing: Standing


def make_order(card: CardVersion, person: Person | None, *, order_id: UUID) -> Order:
    """Give a signed card's builds to the workshop; the same press sent twice orders once.

    Raises
    ------
    NothingOrderedError
        When the card orders nothing, or is not signed.
    """
    lines = card.findings.get("order", []) if card.signed_at is not None else []
    if not lines:
        raise NothingOrderedError(str(card))
    with answered(), transaction.atomic():
        order, made = Order.objects.get_or_create(pk=order_id, defaults={"card": card, "lines": lines})
        if made:
            OrderEvent.objects.create(order=order, state="ordered", person=person, at=order.created_at)
            player = card.visit.player_id
            note(person, "ordered", what="build", object_id=str(order.pk), player_id=player)
    return order


def order_of(order_id: UUID) -> Order:
    """An order with its card and steps.

    Raises
    ------
    OrderNotFoundError
        When there is none.
    """
    rows = Order.objects.select_related("card__visit__player").prefetch_related("events__person")
    order = rows.filter(pk=order_id).first()
    if order is None:
        raise OrderNotFoundError(str(order_id))
    return order


def clubs_of(order: Order) -> tuple[OrderClub, ...]:
    """Where each club of an order stands."""
    events = list(order.events.all())
    return tuple(_club(table, events) for table in _lines(order))


def _lines(order: Order) -> list[OrderLineTable]:
    return [checked(OrderLineTable, line, file=str(order)) for line in order.lines]


def _club(table: OrderLineTable, events: list[OrderEvent]) -> OrderClub:
    own = [e for e in events if e.body.get("club", table.mark) == table.mark]
    steps = [_table(e, table.mark).to_step() for e in own]
    return OrderClub(mark=table.mark, standing=stand(table.to_line(), steps))


def _table(event: OrderEvent, mark: str) -> StepTable:
    who = "the studio" if event.person is None else event.person.name
    plain = {
        **event.body,
        "club": mark,
        "state": event.state,
        "who": who[:120],
        "when": _second(event.at),
    }
    return step_table(plain, file=str(event.order_id))


def add_step(order_id: UUID, given: Mapping[str, Any], person: Person | None, *, seen: int) -> OrderEvent:
    """Add a step of one club.

    Parameters
    ----------
    order_id
        Which order.
    given
        `club` and `state`, and what the step holds, as a `StepTable`.
    person
        Who adds it.
    seen
        How many steps the order had when the page was drawn: a step sent twice, or one made on an old page,
        is refused.

    Raises
    ------
    OrderNotFoundError, OrderMovedOnError
        When there is no such order; when it has other steps by now.
    StepOutOfTurnError, StepUnreadableError, UnreadableFieldError
        When the step cannot follow, or holds what cannot be.
    """
    with answered(), transaction.atomic():
        Order.objects.select_for_update().filter(pk=order_id).first()
        order = order_of(order_id)
        if order.events.count() != seen:
            raise OrderMovedOnError(str(order_id))
        body = {k: v for k, v in given.items() if k != "state" and v not in (None, "", [], ())}
        marks = [table.mark for table in _lines(order)]
        event = OrderEvent(order=order, state=str(given.get("state", "")), person=person, body=body)
        if body.get("club") not in marks:
            raise OrderNotFoundError(f"{order_id} for {body.get('club', 'no club')}")
        _table(event, str(body["club"]))  # the values, before the order of the steps
        event.save()
        clubs_of(order_of(order_id))  # an error here takes the step back
        player = order.card.visit.player_id
        note(person, event.state, what="build", object_id=str(order.pk), player_id=player)
    return event


def tape_in_use() -> tuple[Tape, StockList] | None:
    """The tape on the shelf, and the first of the newest lists that say the same of it."""
    found: tuple[Tape, StockList] | None = None
    for shelf in StockList.objects.order_by("-at", "-id"):
        with open_blob(shelf.blob_id) as stream:
            tape = read_toml(stream.read(), StockFile, file="stock").to_stock().tape
        if found is not None and tape != found[0]:
            return found
        found = (tape, shelf)
    return found


def learned_now() -> TapeLearned | None:
    """What all grips measured since this tape was put in use say of it; None before there is one."""
    shelf = tape_in_use()
    if shelf is None:
        return None
    tape, since = shelf
    readings: list[AsBuilt] = []
    orders = Order.objects.filter(events__state="measured", events__at__gte=since.at).distinct()
    for order in orders.prefetch_related("events__person"):
        for club in clubs_of(order):
            measured = [s.when for s in club.standing.steps if s.state == "measured"]
            if measured and min(measured) >= _second(since.at):  # what came earlier is in this tape already
                readings += as_built(club.standing, f"{order.pk}/{club.mark}")
    return learn_tape(tape, readings) if readings else None


def confirmed_fits() -> tuple[ConfirmedFit, ...]:
    """Hands and the diameters under them of all grips that players kept, from their signed cards."""
    found: list[ConfirmedFit] = []
    orders = Order.objects.filter(events__state="accepted").distinct().select_related("card__visit")
    for order in orders.prefetch_related("events__person"):
        visit = _visit_of(order.card)
        for club in clubs_of(order):
            accepted = [s for s in club.standing.steps if s.state == "accepted"]
            if accepted and accepted[-1].kept:
                found += _kept_sizes(visit, club, str(order.card.visit.player_id))
    return tuple(found)


def _visit_of(card: CardVersion) -> Visit:
    text = str(card.findings["visit.toml"])
    return visit_from(read_toml(text.encode(), VisitFile, file="visit.toml"))


def _kept_sizes(visit: Visit, club: OrderClub, player: str) -> list[ConfirmedFit]:
    """Each hand that was measured, with the size under it where it held this club."""
    own = next((c for c in visit.own_clubs if c.mark == club.mark), None)
    sizes = measured_mm(club.standing)
    if own is None or sizes is None:
        return []
    lead, trail = lead_side(visit.player.handed), trail_side(visit.player.handed)
    upper_leads = own.grip_style not in ("cross-handed", "trail hand only")
    sides = (lead, trail) if upper_leads else (trail, lead)
    places: tuple[tuple[Literal["upper", "lower"], Side, float | None], ...] = (
        ("upper", sides[0], sizes.upper),
        ("lower", sides[1], sizes.lower),
    )
    hands = {hand.side: hand for hand in visit.hands}
    return [
        ConfirmedFit(
            player=player,
            hand=place,
            length_mm=hands[side].length_mm,
            finger_mm=hands[side].finger_mm,
            diameter_mm=size,
        )
        for place, side, size in places
        if size is not None and side in hands and not hands[side].sore
    ]


def _second(at: datetime) -> str:
    return at.astimezone(UTC).isoformat(timespec="seconds")
