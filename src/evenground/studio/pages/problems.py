"""Pages for what went wrong: one sentence, and the way back."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from evenground.errors import EvengroundError, StudioError
from evenground.records.log import ReadingNotFoundError, VisitNotFoundError
from evenground.studio.throttle import TooManyTriesError

__all__ = ["broken", "cross_site", "no_entry", "not_found", "odd_request", "page_of", "sentence", "status_of"]

NOT_FOUND = (VisitNotFoundError, ReadingNotFoundError)


def page_of(request: HttpRequest) -> str:
    """The page from which a script asked, as a path of this app; empty when it does not say."""
    htmx = getattr(request, "htmx", None)
    path = getattr(htmx, "current_url_abs_path", None) if htmx else None
    return path if isinstance(path, str) and path.startswith("/") else ""


def status_of(error: EvengroundError) -> int:
    """The HTTP status of an error."""
    if isinstance(error, NOT_FOUND):
        return 404
    if isinstance(error, TooManyTriesError):
        return 429
    return 403 if isinstance(error, StudioError) else 422


def sentence(request: HttpRequest, error: EvengroundError) -> HttpResponse:
    """Show an error of ours: its own sentence to a person, the same as JSON to a script."""
    if "application/json" in request.headers.get("Accept", ""):
        import json

        body = {"code": error.code, "where": error.where, "what": error.what, "do": error.do}
        return HttpResponse(json.dumps(body), status=status_of(error), content_type="application/json")
    return _page(request, error.what, error.do, status_of(error))


def _page(request: HttpRequest, what: str, do: str, status: int) -> HttpResponse:
    return render(request, "studio/problem.html", {"what": what, "do": do}, status=status)


def odd_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Answer a request that no page of ours sends, such as one with a foreign host name."""
    return HttpResponse(
        "Open Evenground at the address that it printed when it started.",
        status=400,
        content_type="text/plain; charset=utf-8",
    )


def cross_site(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Answer a form that did not come from a page of ours, or from one that is too old."""
    return _page(
        request,
        "This form was open for too long, or came from elsewhere.",
        "Load the page again and send it.",
        403,
    )


def no_entry(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Answer somebody who may not open a page."""
    return _page(request, "Your role does not open this page.", "Ask the owner of this studio.", 403)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Answer an address that leads nowhere."""
    return _page(
        request, "There is nothing at this address.", "It was mistyped, or what stood here is gone.", 404
    )


def broken(request: HttpRequest) -> HttpResponse:
    """Answer when the app itself failed; nothing about it leaves the machine."""
    return _page(
        request,
        "The app failed on this page.",
        "What was saved before is safe; go back to Today and try again.",
        500,
    )
