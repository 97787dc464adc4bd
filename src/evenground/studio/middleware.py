"""What every request passes: headers, static files, the door, and errors told in one sentence."""

from collections.abc import Callable
from datetime import UTC, timedelta
from typing import Any
from urllib.parse import urlencode

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from whitenoise.middleware import WhiteNoiseMiddleware

from evenground.errors import EvengroundError
from evenground.studio.access import Rule, person_of, role_of, rule_for
from evenground.studio.pages.problems import page_of, sentence
from evenground.studio.pairing import device_of, from_this_machine
from evenground.studio.signin import seen_before

__all__ = ["Door", "LocalFiles", "PlainHeaders", "Sentences"]

Next = Callable[[HttpRequest], HttpResponseBase]
_TOUCH_EVERY = timedelta(seconds=30)


class LocalFiles(WhiteNoiseMiddleware):  # type: ignore[misc]  # whitenoise has no types
    """Static files in one piece: a stream would have to be read in a thread for each piece."""

    @staticmethod
    def serve(static_file: Any, request: HttpRequest) -> HttpResponse:
        """Give a static file."""
        answer = static_file.get_response(request.method, request.META)
        body = b"" if answer.file is None else answer.file.read()
        if answer.file is not None:
            answer.file.close()
        response = HttpResponse(body, status=int(answer.status))
        del response["content-type"]
        for key, value in answer.headers:
            response[key] = value
        return response


class PlainHeaders:
    """Headers that Django does not set by itself: no sensors, and nothing of a page is kept on disk."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Add the headers to what comes back."""
        response = self.get_response(request)
        response.headers.setdefault("Permissions-Policy", "camera=(self), microphone=(), geolocation=()")
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        response.headers.setdefault("Cache-Control", "no-store")
        return response


class Door:
    """Lets a request in by the table of `access`: paired, signed in, awake, and with a role that may."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Let the view be asked; `process_view` decides once the address is known."""
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Any, args: Any, kwargs: Any
    ) -> HttpResponseBase | None:
        """Stop a request that may not go on."""
        rule = rule_for(request.resolver_match) if request.resolver_match is not None else None
        if rule is None:
            raise PermissionDenied
        if not (rule.unpaired or from_this_machine(request) or self._paired(request)):
            return self._elsewhere(request, "pair")
        if rule.open_door or rule.asks_itself:
            return None
        return self._signed_in(request, rule)

    def _paired(self, request: HttpRequest) -> bool:
        """Whether the device may be here, and the session is one of its own."""
        device = device_of(request)
        session = request.session.get("paired")
        return device is not None and session in {None, str(device.pk)}

    def _signed_in(self, request: HttpRequest, rule: Rule) -> HttpResponseBase | None:
        if person_of(request) is None:
            return self._elsewhere(request, "sign-in")
        self._touch(request, rule)
        if request.session.get("locked") and not rule.locked_too:
            return self._elsewhere(request, "unlock")
        if role_of(request) not in rule.roles:
            raise PermissionDenied
        return None

    def _touch(self, request: HttpRequest, rule: Rule) -> None:
        """Lock a session that nobody touched for long; otherwise note that somebody is there."""
        now, seen = timezone.now(), seen_before(request)
        if seen is not None and now - seen > timedelta(minutes=settings.IDLE_LOCK_MINUTES):
            request.session["locked"] = True
        elif not rule.passive and (seen is None or now - seen > _TOUCH_EVERY):
            request.session["seen_at"] = now.astimezone(UTC).isoformat()

    def _elsewhere(self, request: HttpRequest, name: str) -> HttpResponseBase:
        """Send a page to the door, and tell a script that there is one."""
        back = request.get_full_path() if request.method == "GET" else reverse("today")
        address = f"{reverse(name)}?{urlencode({'next': back})}"
        if _from_a_script(request):
            address = f"{reverse(name)}?{urlencode({'next': page_of(request) or reverse('today')})}"
            return HttpResponse(status=401, headers={"HX-Redirect": address})
        return redirect(address)


class Sentences:
    """Shows what a person can put right as one sentence, never a trace."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Go on; `process_exception` speaks when something went wrong."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponseBase | None:
        """Answer an error of ours with its sentence."""
        if not isinstance(exception, EvengroundError):
            return None
        return sentence(request, exception)


def _from_a_script(request: HttpRequest) -> bool:
    return "HX-Request" in request.headers or "application/json" in request.headers.get("Accept", "")
