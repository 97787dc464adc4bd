"""The studio's own things: instruments, stock, the workshop's orders, measurement studies."""

import uuid
from typing import ClassVar

from django.db import models
from django.utils import timezone

from evenground.records.models.cards import CardVersion
from evenground.records.models.people import Person
from evenground.records.models.visits import Blob

__all__ = ["Instrument", "InstrumentCheck", "Order", "OrderEvent", "StockItem", "StockList", "Study"]


ORDER_STATES = ("ordered", "received", "built", "measured", "accepted", "back", "cancelled")
"""The steps of `fit.workshop`, written out: a migration must not change with it."""


class Instrument(models.Model):
    """Something that measures: a mat, a bar, a camera, scales."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=40)
    name = models.CharField(max_length=120)
    details = models.JSONField(default=dict)
    created_at = models.DateTimeField(default=timezone.now)
    retired_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.name


class InstrumentCheck(models.Model):
    """One check of an instrument: a failed one puts every card since the last good one in doubt."""

    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, related_name="checks")
    at = models.DateTimeField(default=timezone.now)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    passed = models.BooleanField()
    figures = models.JSONField(default=dict)
    note = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["at", "id"]

    def __str__(self) -> str:
        return f"{self.instrument_id} {'passed' if self.passed else 'failed'}"


class StockList(models.Model):
    """One state of the shelf, as the stock file that the fit reads; the newest is the one in use."""

    blob = models.ForeignKey(Blob, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering: ClassVar[list[str]] = ["-at", "-id"]

    def __str__(self) -> str:
        return f"stock of {self.at:%Y-%m-%d}"


class StockItem(models.Model):
    """One grip on the shelf, as the stock file describes it."""

    stock = models.ForeignKey(StockList, on_delete=models.CASCADE, related_name="items")
    mark = models.CharField(max_length=60)
    body = models.JSONField()

    class Meta:
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["stock", "mark"], name="stock_mark_once_a_list")
        ]

    def __str__(self) -> str:
        return self.mark


class Order(models.Model):
    """A build sheet given to the workshop; what happened to it stands in its events."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    card = models.ForeignKey(CardVersion, on_delete=models.CASCADE, related_name="orders")
    lines = models.JSONField(default=list)
    created_at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return f"order {str(self.id)[:8]}"


class OrderEvent(models.Model):
    """One step of one club of an order, with what was measured when it came back; never changed."""

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="events")
    state = models.CharField(max_length=10, choices=[(s, s) for s in ORDER_STATES])
    at = models.DateTimeField(default=timezone.now)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    body = models.JSONField(default=dict)

    class Meta:
        ordering: ClassVar[list[str]] = ["at", "id"]

    def __str__(self) -> str:
        return self.state


class Study(models.Model):
    """A measurement study: its repeats as entered, and what came of it. The newest of a kind is in use."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=40)
    at = models.DateTimeField(default=timezone.now)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    repeats = models.JSONField(default=list)
    result = models.JSONField(default=dict)

    class Meta:
        ordering: ClassVar[list[str]] = ["-at"]

    def __str__(self) -> str:
        return f"{self.kind} {self.at:%Y-%m-%d}"
