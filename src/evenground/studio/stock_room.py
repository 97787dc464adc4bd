"""The stock list taken in: checked whole, stored as a file, and in use from the next visit on."""

from dataclasses import asdict

from django.db import transaction

from evenground.capture.fields import read_toml
from evenground.capture.stock import StockList as StockFile
from evenground.capture.studio_file import GripModelTable
from evenground.records.answers import answered
from evenground.records.audit import note
from evenground.records.blobs import put_blob
from evenground.records.models import Person, StockItem, StockList, StudioSnapshot
from evenground.records.visits import current_snapshot, studio_file, use_snapshot
from evenground.visit import StudioGripModel

__all__ = ["STOCK_NAME", "change_settings", "stock_in_use", "take_stock", "use_grip_model"]

STOCK_NAME = "stock.toml"


def stock_in_use() -> StockList | None:
    """The newest stock list, None before there is one."""
    return StockList.objects.order_by("-at", "-id").first()


def take_stock(raw: bytes, name: str, person: Person | None) -> StockList:
    """Keep a stock list and use it from the next visit on.

    Raises
    ------
    CaptureError
        When the file is not a stock list; what was in use stays in use.
    """
    typed = read_toml(raw, StockFile, file=name)
    blob = put_blob(raw, "application/toml")
    with answered(), transaction.atomic():
        kept = StockList.objects.create(blob=blob, person=person)
        items = [StockItem(stock=kept, mark=g.mark, body=g.model_dump(mode="json")) for g in typed.grips]
        StockItem.objects.bulk_create(items)
        file = studio_file(current_snapshot()).model_copy(update={"stock": STOCK_NAME})
        use_snapshot(file, stock=blob)
        note(person, "changed", what="stock", object_id=str(kept.pk), detail={"grips": len(items)})
    return kept


def use_grip_model(model: StudioGripModel | None, person: Person | None) -> StudioSnapshot:
    """Work wanted diameters out by this model from the next visit on; by the default without one."""
    now = current_snapshot()
    table = None if model is None else GripModelTable(**asdict(model))
    file = studio_file(now).model_copy(update={"grip_model": table})
    with answered(), transaction.atomic():
        kept = use_snapshot(file, stock=None if now is None else now.stock)
        note(person, "changed", what="grip model", object_id=kept.digest[:12])
    return kept


def change_settings(
    changed: dict[str, object], mat_thickness_mm: float | None, person: Person | None
) -> StudioSnapshot:
    """Use other settings from the next visit on; visits keep the ones they started with.

    Raises
    ------
    CaptureError
        When a value does not fit; nothing is changed.
    """
    from evenground.capture.fields import checked
    from evenground.capture.studio_file import StudioFile

    now = current_snapshot()
    body = studio_file(now).model_dump(mode="json")
    body["settings"] = body["settings"] | changed
    body["mat_thickness_mm"] = mat_thickness_mm
    file = checked(StudioFile, body, file="settings")
    with answered(), transaction.atomic():
        kept = use_snapshot(file, stock=None if now is None else now.stock)
        note(person, "changed", what="settings", object_id=kept.digest[:12])
    return kept
