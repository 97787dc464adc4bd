"""The tables, by topic; everything is stored as text, whole numbers, floats, JSON and UTC times."""

from evenground.records.models.cards import CardVersion, FindingsRow, SignedCardIsFixedError
from evenground.records.models.people import AuditEntry, OnlyAppendedError, Person, Role
from evenground.records.models.players import Consent, ConsentKind, Erasure, Player
from evenground.records.models.studio import (
    Instrument,
    InstrumentCheck,
    Order,
    OrderEvent,
    StockItem,
    StockList,
    Study,
)
from evenground.records.models.visits import Blob, Reading, ReadingBlob, StudioSnapshot, Visit, VisitState

__all__ = [
    "AuditEntry",
    "Blob",
    "CardVersion",
    "Consent",
    "ConsentKind",
    "Erasure",
    "FindingsRow",
    "Instrument",
    "InstrumentCheck",
    "OnlyAppendedError",
    "Order",
    "OrderEvent",
    "Person",
    "Player",
    "Reading",
    "ReadingBlob",
    "Role",
    "SignedCardIsFixedError",
    "StockItem",
    "StockList",
    "StudioSnapshot",
    "Study",
    "Visit",
    "VisitState",
]
