"""What goes wrong at the HTTP interface, as one sentence in JSON with the status that fits; never a trace."""

from collections.abc import Callable
from http import HTTPStatus
from typing import Any

from django.core.exceptions import RequestDataTooBig, SuspiciousOperation
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.http.multipartparser import MultiPartParserError
from django.http.request import UnreadablePostError
from ninja import NinjaAPI
from ninja.errors import AuthenticationError, HttpError
from ninja.errors import ValidationError as BodyError
from pydantic import ValidationError

from evenground.errors import EvengroundError
from evenground.records.answers import BusyError, NoRoomError
from evenground.records.log import ReadingConflictError, VisitNotFoundError
from evenground.studio.live import (
    FramesMissingError,
    FramesOtherError,
    LiveEndedError,
    LiveNotBegunError,
)
from evenground.studio.throttle import TooManyTriesError
from evenground.studio.tokens import TokenRefusedError

__all__ = ["answer_refusals"]

Answer = Callable[[HttpRequest, Any], HttpResponse]

_STATUS: tuple[tuple[type[EvengroundError] | tuple[type[EvengroundError], ...], int], ...] = (
    (TokenRefusedError, HTTPStatus.UNAUTHORIZED),
    ((VisitNotFoundError, LiveNotBegunError), HTTPStatus.NOT_FOUND),
    ((ReadingConflictError, FramesOtherError, FramesMissingError, LiveEndedError), HTTPStatus.CONFLICT),
    (TooManyTriesError, HTTPStatus.TOO_MANY_REQUESTS),
    ((BusyError, NoRoomError), HTTPStatus.SERVICE_UNAVAILABLE),
)


def _ours(_request: HttpRequest, error: EvengroundError) -> HttpResponse:
    fits = (code for kinds, code in _STATUS if isinstance(error, kinds))
    said = {"code": error.code, "where": error.where, "what": error.what, "do": error.do}
    return JsonResponse(said, status=next(fits, HTTPStatus.UNPROCESSABLE_ENTITY))


def _simple(status: int, code: str, what: str, do: str) -> Answer:
    def answer(_request: HttpRequest, _error: Any) -> HttpResponse:
        return JsonResponse({"code": code, "where": "request", "what": what, "do": do}, status=status)

    return answer


def _body(_request: HttpRequest, error: BodyError | ValidationError) -> HttpResponse:
    found = error.errors if isinstance(error, BodyError) else error.errors(include_url=False)
    first: Any = found[0] if found else {"loc": (), "msg": "it cannot be read"}
    where = ".".join(str(part) for part in first["loc"]) or "body"
    said = {
        "code": "BodyError",
        "where": where[:200],
        "what": f"{first['msg']}.",
        "do": "The page at /api/docs says what each address takes.",
    }
    return JsonResponse(said, status=HTTPStatus.UNPROCESSABLE_ENTITY)


_DOCS = "The page at /api/docs says what each address takes."
_ODD = _simple(HTTPStatus.BAD_REQUEST, "OddRequest", "This request cannot be read.", _DOCS)
_LARGE = _simple(
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
    "TooLarge",
    "This is more than one request may hold.",
    "Send frames in smaller pieces, and recordings one at a time.",
)
_CLOSED = _simple(
    HTTPStatus.UNAUTHORIZED,
    "TokenMissing",
    "The request carries no token.",
    "Send the header Authorization: Bearer, followed by a token made on the visit's page.",
)
_HANDLERS: tuple[tuple[type[Exception], Answer], ...] = (
    (EvengroundError, _ours),
    (BodyError, _body),
    (ValidationError, _body),
    (RequestDataTooBig, _LARGE),
    (AuthenticationError, _CLOSED),
    (HttpError, _ODD),
    (MultiPartParserError, _ODD),
    (SuspiciousOperation, _ODD),
    (UnreadablePostError, _ODD),
    (RecursionError, _ODD),
    (UnicodeError, _ODD),
)


def answer_refusals(api: NinjaAPI) -> None:
    """Let an interface answer everything that a sender can get wrong."""
    for kind, answer in _HANDLERS:
        api.add_exception_handler(kind, answer)
