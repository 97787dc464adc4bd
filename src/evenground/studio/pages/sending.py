"""The addresses that a visit's pages send to: a field, a trial, a table, a recording, a skip."""

from typing import Any
from uuid import UUID

from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.urls import reverse
from django.views.decorators.http import require_POST

from evenground.studio.pages.answering import answering, saved_answer, sender_of, sent_as
from evenground.studio.pages.bar_photos import USES, save_bar_photo
from evenground.studio.pages.hand_photos import save_hand_photo
from evenground.studio.pages.saving import (
    Saved,
    SentField,
    SentSkip,
    SentTakeBack,
    SentTrial,
    save_field,
    save_skip,
    save_trial,
    take_back,
)
from evenground.studio.pages.scene import log_of, system_of, visit_row
from evenground.studio.pages.side_photos import save_side_photo
from evenground.studio.pages.tables import SentTable, save_table
from evenground.studio.pages.uploads import save_recording
from evenground.studio.typed import show_stored
from evenground.units import LengthSystem

__all__ = [
    "bar_photo",
    "field",
    "hand_photo",
    "recording",
    "side_photo",
    "skip",
    "table",
    "takeback",
    "trial",
]


@require_POST
@answering
def field(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Save one field; the answer is what is stored, in the studio's unit."""
    sent = sent_as(request, SentField)
    row = visit_row(visit_id)
    system = system_of(row)
    saved = save_field(row, sent, log_of(row), system, sender_of(request))
    text = show_stored(sent.field, saved.value, system)
    return saved_answer(saved, text=text, overlap=_overlap(saved, sent, system))


def _overlap(saved: Saved, sent: SentField, system: LengthSystem) -> str:
    """That somebody else wrote here meanwhile, in a sentence; empty when nobody did."""
    if saved.overlap is None:
        return ""
    theirs = show_stored(sent.field, saved.overlap.payload.get(sent.field), system)
    who = saved.overlap.by or "Another screen"
    return f"{who} wrote {theirs} here meanwhile. Yours shows; theirs is in the history."


@require_POST
@answering
def trial(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Keep one whole trial."""
    row = visit_row(visit_id)
    return saved_answer(save_trial(row, sent_as(request, SentTrial), system_of(row), sender_of(request)))


@require_POST
@answering
def table(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Save a pasted table, all rows or none."""
    row = visit_row(visit_id)
    count = save_table(row, sent_as(request, SentTable), sender_of(request))
    return JsonResponse({"state": "saved", "seq": row.last_seq, "rows": count})


@require_POST
@answering
def skip(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Leave a check out with a reason, or ask it after all."""
    row = visit_row(visit_id)
    return saved_answer(save_skip(row, sent_as(request, SentSkip), log_of(row), sender_of(request)))


@require_POST
@answering
def takeback(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Take readings back with a reason."""
    return saved_answer(take_back(visit_row(visit_id), sent_as(request, SentTakeBack), sender_of(request)))


@require_POST
@answering
def recording(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Store an uploaded recording and the placement it is of."""
    row = visit_row(visit_id)
    return saved_answer(
        save_recording(row, request.POST.get("sent", ""), _files(request), sender_of(request))
    )


def _files(request: HttpRequest) -> dict[str, tuple[str, Any]]:
    """The files that came, each with the name that its sender gives it."""
    return {
        name: (file.name or name, file)
        for name, file in request.FILES.items()
        if isinstance(file, UploadedFile)
    }


@require_POST
@answering
def hand_photo(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Measure a hand in a photo and store both."""
    row = visit_row(visit_id)
    return saved_answer(
        save_hand_photo(row, request.POST.get("sent", ""), _files(request), sender_of(request))
    )


@require_POST
@answering
def side_photo(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Keep a photo from the side; the answer says where its points are placed."""
    row = visit_row(visit_id)
    sent = request.POST.get("sent", "")
    saved, view = save_side_photo(row, sent, _files(request), system_of(row), sender_of(request))
    return saved_answer(saved, go=reverse("visit:points", args=[visit_id, view]))


@require_POST
@answering
def bar_photo(request: HttpRequest, visit_id: UUID, use: str) -> HttpResponse:
    """Measure tags in a photo and keep it with the reading that it becomes."""
    if use not in USES:
        raise Http404
    row = visit_row(visit_id)
    return saved_answer(
        save_bar_photo(row, use, request.POST.get("sent", ""), _files(request), sender_of(request))
    )
