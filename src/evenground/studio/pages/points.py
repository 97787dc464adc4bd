"""A photo's own page: its points drawn over it, to be dragged, typed or moved by keys; numbers at once."""

import io
from collections.abc import Mapping
from typing import Annotated
from uuid import UUID, uuid4, uuid5

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.views.decorators.http import require_GET, require_http_methods, require_POST
from PIL import Image
from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

from evenground.capture.landmarks import landmarks_of
from evenground.capture.visit_file import Pixel
from evenground.errors import StudioError
from evenground.measure.hand_points import HAND_POINTS
from evenground.measure.posture_view import SIDE_POINTS
from evenground.records.answers import answered
from evenground.records.audit import note
from evenground.records.blobs import open_blob
from evenground.records.log import readings_since
from evenground.records.merge import Merged, Slot, merged
from evenground.records.models import Visit
from evenground.report.posed_picture import over_photo
from evenground.studio.access import person_of
from evenground.studio.pages.answering import answering, sender_of, sent_as
from evenground.studio.pages.cells import Spot, cell
from evenground.studio.pages.frame import frame_of
from evenground.studio.pages.hand_photos import counts, hand_at, hand_numbers, hand_sheet, save_sizes
from evenground.studio.pages.point_sheet import Numbers, PhotoSheet, file_of, placed_in
from evenground.studio.pages.saving import Sender, SentTakeBack, save_with_files, saved_before, take_back
from evenground.studio.pages.scene import Scene, log_of, scene_of, system_of, visit_of, visit_row
from evenground.studio.pages.side_photos import posture_view, side_numbers, side_sheet
from evenground.studio.working import WORKBENCH

__all__ = ["move", "picture", "points"]

KINDS: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "side view": ("side point", SIDE_POINTS),
    "hand photo": ("hand point", HAND_POINTS),
}
"""Kinds of photos: the kind of the points that people place on them, and those points' names."""
BACK = "moved back"
WIDEST_PX = 1000


class NoSuchPointError(StudioError):
    """A point that a photo does not have."""

    do = "Load the page again."

    def __init__(self, point: str) -> None:
        super().__init__(point)
        self.where = "photo"
        self.what = f"This photo has no point called {point}."


class SentPoint(BaseModel):
    """Where a point was put; without a place it goes back to where it was found, or waits again."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    id: UUID
    at: AwareDatetime | None = None
    view: Annotated[str, Field(max_length=40)]
    point: Annotated[str, Field(max_length=40)]
    x_px: Pixel | None = None
    y_px: Pixel | None = None


@require_http_methods(["GET", "POST"])
def points(request: HttpRequest, visit_id: UUID, view: str) -> HttpResponse:
    """Show a photo with its points; sent as a plain form, keep the numbers that changed."""
    row = visit_row(visit_id)
    if request.method == "POST":
        _typed(request, row, view)
        return redirect("visit:points", visit_id=visit_id, view=view)
    scene = scene_of(row)
    sheet = _sheet(scene, view)
    note(person_of(request), "saw", what="photo", object_id=view, player_id=row.player_id)
    facts = {
        "row": row,
        "visit": scene.visit,
        "frame": frame_of(scene, sheet.check),
        "sheet": sheet,
        "slug": sheet.check.replace(" ", "-"),
        "length": _length(scene, view) if sheet.kind == "side view" else None,
    }
    if "numbers" in request.GET:
        return render(request, "studio/visit/points-numbers.html", facts | {"numbers": sheet.numbers})
    return render(request, "studio/visit/points.html", facts)


@require_POST
@answering
def move(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Keep one moved point; the answer holds where it counts now, and the new numbers."""
    row = visit_row(visit_id)
    sent = sent_as(request, SentPoint)
    _keep(row, sent, sender_of(request))
    # What came since is put to the log that is known already: reading it whole again would double the wait.
    fresh = [reading.entry() for reading in readings_since(visit_id, row.last_seq)]
    log = merged((*log_of(row).entries, *fresh))
    numbers = _numbers(row, log, _photo(log, sent.view))
    html = render_to_string("studio/visit/points-numbers.html", {"numbers": numbers})
    return JsonResponse({"state": "saved", "seq": log.entries[-1].seq, "html": html})


@require_GET
def picture(request: HttpRequest, visit_id: UUID, view: str) -> HttpResponse:
    """Give the figure over its photo as a picture, the face blurred unless it is asked for."""
    row = visit_row(visit_id)
    log = log_of(row)
    slot = _photo(log, view)
    found = posture_view(log, view)
    digest = file_of(log, slot)
    if found is None or not digest:
        raise Http404
    note(person_of(request), "saw", what="photo", object_id=view, player_id=row.player_id)
    with open_blob(digest) as stream, Image.open(stream) as photo:
        drawn = over_photo(photo, landmarks_of(found), show_face="face" in request.GET)
    drawn.thumbnail((WIDEST_PX, WIDEST_PX))
    out = io.BytesIO()
    drawn.save(out, "JPEG", quality=85)
    return HttpResponse(out.getvalue(), content_type="image/jpeg")


def _photo(log: Merged, view: str) -> Slot:
    """The photo of that name."""
    slots = (log.slot(kind, {"view": view}) for kind in KINDS)
    slot = next((s for s in slots if s is not None), None)
    if slot is None:
        raise Http404
    return slot


def _sheet(scene: Scene, view: str) -> PhotoSheet:
    slot = _photo(scene.log, view)
    if slot.kind.name == "side view":
        return side_sheet(scene.log, slot, scene.visit, scene.findings)
    return hand_sheet(scene.log, slot, scene.system)


def _numbers(row: Visit, log: Merged, slot: Slot) -> Numbers:
    """What the points say now."""
    if slot.kind.name == "hand photo":
        return hand_numbers(log, slot, system_of(row))
    view = posture_view(log, str(slot.key[0]))
    findings = WORKBENCH.known(row.pk).findings  # none are begun: a page that shows them does that
    return Numbers() if view is None else side_numbers(view, visit_of(row), findings)


def _length(scene: Scene, view: str) -> object:
    """The field of the known length."""
    spot = Spot(kind="side view", keys={"view": view}, field="length_mm")
    return cell(scene.log, scene.system, spot, "known length")


def _keep(row: Visit, sent: SentPoint, sender: Sender) -> None:
    """Put a moved point into the log, with what it makes of a hand's size; all or nothing."""
    log = log_of(row)
    slot = _photo(log, sent.view)
    kind, names = KINDS[slot.kind.name]
    if sent.point not in names:
        raise NoSuchPointError(sent.point)
    back = uuid5(sent.id, "0")  # as a reading that is taken back is called
    if saved_before(row, sent.id) or (sent.x_px is None and saved_before(row, back)):
        return
    placed = placed_in(log, kind, sent.view)
    with answered(), transaction.atomic():
        if sent.x_px is None or sent.y_px is None:
            before = log.slot(kind, {"view": sent.view, "point": sent.point})
            if before is None:
                return
            take_back(row, SentTakeBack(id=sent.id, readings=list(before.readings), why=BACK), sender)
            placed.pop(sent.point, None)
        else:
            at = {"view": sent.view, "point": sent.point, "x_px": sent.x_px, "y_px": sent.y_px}
            save_with_files(row, sent.id, (kind, at), {}, sender, at=sent.at)
            placed[sent.point] = (sent.x_px, sent.y_px)
        if slot.kind.name == "hand photo" and counts(log, slot):
            because = back if sent.x_px is None else sent.id
            save_sizes(row, because, hand_at(slot, placed), sender)


def _typed(request: HttpRequest, row: Visit, view: str) -> None:
    """Keep the points whose numbers were changed in the plain form; an emptied one goes back."""
    log = log_of(row)
    kind, names = KINDS[_photo(log, view).kind.name]
    shown = {**_found(log, view), **placed_in(log, kind, view)}
    for name in names:
        said = [request.POST.get(f"{axis}:{name}", "").strip().replace(",", ".") for axis in "xy"]
        was = [f"{v:.1f}" for v in shown[name]] if name in shown else ["", ""]
        if said == was or [request.POST.get(f"{axis}:{name}") for axis in "xy"] == [None, None]:
            continue
        try:
            x, y = (float(text) if text else None for text in said)
            sent = SentPoint(id=uuid4(), view=view, point=name, x_px=x, y_px=y)
        except ValueError:
            messages.error(request, f"{name.replace('_', ' ')}: type two numbers of pixels.")
            continue
        _keep(row, sent, sender_of(request))
        row.refresh_from_db(fields=["last_seq"])


def _found(log: Merged, view: str) -> Mapping[str, tuple[float, float]]:
    found: Mapping[str, tuple[float, float]] = _photo(log, view).values.get("found", {})
    return found
