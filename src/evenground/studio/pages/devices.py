"""A visit's devices: tokens for the studio's own scripts, made, listed and revoked."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from evenground.records.models import Person
from evenground.studio.access import person_of
from evenground.studio.models import DeviceToken
from evenground.studio.pages.scene import visit_row
from evenground.studio.tokens import HOURS, make_token, revoke_token

__all__ = ["token_end", "tokens"]


@require_http_methods(["GET", "POST"])
def tokens(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Show the tokens of a visit; a new one shows its secret this once."""
    row, secret = visit_row(visit_id), ""
    person = person_of(request)
    if request.method == "POST" and isinstance(person, Person):
        name = " ".join(request.POST.get("name", "").split())[:80]
        secret = make_token(person, row, name)
    context = {
        "row": row,
        "secret": secret,
        "hours": HOURS,
        "address": request.build_absolute_uri("/api/"),
        "now": timezone.now(),
        "tokens": DeviceToken.objects.filter(visit=row).select_related("person"),
    }
    return render(request, "studio/visit-devices.html", context)


@require_POST
def token_end(request: HttpRequest, visit_id: UUID, token_id: UUID) -> HttpResponse:
    """Stop a token from working."""
    revoke_token(person_of(request), token_id)
    return redirect("tokens", visit_id)
