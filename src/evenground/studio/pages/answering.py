"""How a page's sending is read and answered: one sentence for an error, the reading for what was saved."""

from collections.abc import Callable
from functools import wraps
from http import HTTPStatus
from typing import Any, TypeVar
from uuid import UUID, uuid4

from django.http import HttpRequest, HttpResponse, JsonResponse
from pydantic import BaseModel, ValidationError

from evenground.errors import EvengroundError
from evenground.records.answers import BusyError, NoRoomError
from evenground.records.log import ReadingConflictError, VisitNotFoundError
from evenground.studio.access import person_of
from evenground.studio.pages.saving import Saved, Sender

__all__ = ["answering", "press_id", "saved_answer", "sender_of", "sent_as"]

AGAIN = (BusyError, NoRoomError)
"""Not now, but later: the page keeps what was typed and tries again."""

M = TypeVar("M", bound=BaseModel)
View = Callable[..., HttpResponse]


def press_id(request: HttpRequest) -> UUID:
    """The id that the page made for this press of a form's button, so that it may be sent again."""
    try:
        return UUID(request.POST.get("id", ""))
    except ValueError:
        return uuid4()


def answering(view: View) -> View:
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


def sent_as(request: HttpRequest, model: type[M]) -> M:
    """What was sent, as a model of it."""
    return model.model_validate_json(request.body)


def sender_of(request: HttpRequest) -> Sender:
    """Who sends, from which device."""
    return Sender(person=person_of(request), device=str(request.session.get("device", ""))[:80])


def saved_answer(saved: Saved, **more: Any) -> JsonResponse:
    """Tell a page what became of what it sent."""
    plain = {"state": "saved", "seq": saved.seq, "reading": saved.reading, "unfinished": saved.unfinished}
    return JsonResponse(plain | more)
