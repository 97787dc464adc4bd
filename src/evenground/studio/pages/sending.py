"""The addresses that a visit's pages send to: a field, a trial, a table, a recording, a skip."""

from collections.abc import Callable
from functools import wraps
from http import HTTPStatus
from typing import Any, TypeVar
from uuid import UUID

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.http import require_POST
from pydantic import BaseModel, ValidationError

from evenground.errors import EvengroundError
from evenground.records.answers import BusyError, NoRoomError
from evenground.records.log import ReadingConflictError, VisitNotFoundError
from evenground.studio.access import person_of
from evenground.studio.pages.saving import (
    Saved,
    Sender,
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
from evenground.studio.pages.tables import SentTable, save_table
from evenground.studio.pages.uploads import save_recording
from evenground.studio.typed import show_stored
from evenground.units import LengthSystem

__all__ = ["field", "recording", "skip", "table", "takeback", "trial"]

AGAIN = (BusyError, NoRoomError)
"""Not now, but later: the page keeps what was typed and tries again."""

M = TypeVar("M", bound=BaseModel)
View = Callable[..., HttpResponse]


def _answering(view: View) -> View:
    """Answer errors of ours as one sentence in JSON, with a status that tells the page what to do."""

    @wraps(view)
    def answered(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        try:
            return view(request, *args, **kwargs)
        except EvengroundError as exc:
            return _refused(exc)
        except ValidationError:
            return JsonResponse(
                {"state": "refused", "sentence": "The page sent something odd. Load it again."},
                status=HTTPStatus.BAD_REQUEST,
            )

    return answered


def _refused(error: EvengroundError) -> JsonResponse:
    status = HTTPStatus.UNPROCESSABLE_ENTITY
    if isinstance(error, AGAIN):
        status = HTTPStatus.SERVICE_UNAVAILABLE
    elif isinstance(error, VisitNotFoundError):
        status = HTTPStatus.NOT_FOUND
    elif isinstance(error, ReadingConflictError):
        status = HTTPStatus.CONFLICT
    return JsonResponse({"state": "refused", "sentence": f"{error.what} {error.do}".strip()}, status=status)


def _sent(request: HttpRequest, model: type[M]) -> M:
    return model.model_validate_json(request.body)


def _sender(request: HttpRequest) -> Sender:
    return Sender(person=person_of(request), device=str(request.session.get("device", ""))[:80])


def _saved(saved: Saved, **more: Any) -> JsonResponse:
    plain = {"state": "saved", "seq": saved.seq, "reading": saved.reading, "unfinished": saved.unfinished}
    return JsonResponse(plain | more)


@require_POST
@_answering
def field(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Save one field; the answer is what is stored, in the studio's unit."""
    sent = _sent(request, SentField)
    row = visit_row(visit_id)
    system = system_of(row)
    saved = save_field(row, sent, log_of(row), system, _sender(request))
    text = show_stored(sent.field, saved.value, system)
    return _saved(saved, text=text, overlap=_overlap(saved, sent, system))


def _overlap(saved: Saved, sent: SentField, system: LengthSystem) -> str:
    """That somebody else wrote here meanwhile, in a sentence; empty when nobody did."""
    if saved.overlap is None:
        return ""
    theirs = show_stored(sent.field, saved.overlap.payload.get(sent.field), system)
    who = saved.overlap.by or "Another screen"
    return f"{who} wrote {theirs} here meanwhile. Yours shows; theirs is in the history."


@require_POST
@_answering
def trial(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Keep one whole trial."""
    row = visit_row(visit_id)
    return _saved(save_trial(row, _sent(request, SentTrial), system_of(row), _sender(request)))


@require_POST
@_answering
def table(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Save a pasted table, all rows or none."""
    row = visit_row(visit_id)
    count = save_table(row, _sent(request, SentTable), _sender(request))
    return JsonResponse({"state": "saved", "seq": row.last_seq, "rows": count})


@require_POST
@_answering
def skip(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Leave a check out with a reason, or ask it after all."""
    row = visit_row(visit_id)
    return _saved(save_skip(row, _sent(request, SentSkip), log_of(row), _sender(request)))


@require_POST
@_answering
def takeback(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Take readings back with a reason."""
    return _saved(take_back(visit_row(visit_id), _sent(request, SentTakeBack), _sender(request)))


@require_POST
@_answering
def recording(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Store an uploaded recording and the placement it is of."""
    row = visit_row(visit_id)
    files = {
        name: (file.name or name, file)
        for name, file in request.FILES.items()
        if isinstance(file, UploadedFile)
    }
    return _saved(save_recording(row, request.POST.get("sent", ""), files, _sender(request)))
