"""The person signed in: password, where they are signed in, and devices to let in."""

from typing import Any
from uuid import UUID

from django import forms
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from evenground.errors import StudioError
from evenground.records.audit import note
from evenground.records.models import Person, Role
from evenground.studio.access import person_of, role_of
from evenground.studio.models import DeskSession, PairedDevice
from evenground.studio.pages.door import PasswordForm
from evenground.studio.pairing import CODE_SECONDS, make_code, show_code
from evenground.studio.qr import qr_svg
from evenground.studio.signin import check_password

__all__ = ["device_end", "me", "me_password", "pair_start", "session_end", "sessions_of"]


class ChangePasswordForm(PasswordForm):
    """The old password and the new one."""

    old = forms.CharField(
        label="Password until now",
        max_length=1000,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    field_order = ("old", "password")


def sessions_of(person: Person | None = None) -> list[DeskSession]:
    """Sessions that are still good, newest first; of everybody when no person is given."""
    rows = DeskSession.objects.filter(person__isnull=False, expire_date__gt=timezone.now())
    rows = rows if person is None else rows.filter(person=person)
    return list(rows.select_related("person", "paired").order_by("-seen_at"))


def _signed_in(request: HttpRequest) -> Person:
    person = person_of(request)
    if person is None:
        raise PermissionDenied
    return person


def _facts(request: HttpRequest, form: ChangePasswordForm) -> dict[str, Any]:
    person = _signed_in(request)
    return {
        "form": form,
        "sessions": sessions_of(person),
        "this_session": request.session.session_key,
        "devices": list(PairedDevice.objects.filter(person=person, revoked_at__isnull=True)),
        "lan": settings.LAN,
    }


@require_GET
def me(request: HttpRequest) -> HttpResponse:
    """Show the person's own page."""
    return render(request, "studio/me.html", _facts(request, ChangePasswordForm()))


@require_POST
def me_password(request: HttpRequest) -> HttpResponse:
    """Change the password; every other session of this person ends with it."""
    person, form = _signed_in(request), ChangePasswordForm(request.POST)
    if form.is_valid():
        try:
            check_password(request, person.sign_in, form.cleaned_data["old"])
        except StudioError as exc:
            form.add_error("old", f"{exc.what} {exc.do}")
        else:
            person.set_password(form.cleaned_data["password"])
            person.save(update_fields=["password"])
            update_session_auth_hash(request, person)
            DeskSession.objects.filter(person=person).exclude(pk=request.session.session_key).delete()
            note(person, "set a password", what="person", object_id=str(person.pk))
            messages.info(request, "The new password is in use; other sessions were ended.")
            return redirect("me")
    return render(request, "studio/me.html", _facts(request, form), status=422)


@require_POST
def session_end(request: HttpRequest, mark: str) -> HttpResponse:
    """End a session of one's own; the owner ends anybody's."""
    everybody = role_of(request) == Role.OWNER
    rows = sessions_of(None if everybody else _signed_in(request))
    row = next((r for r in rows if r.mark == mark), None)
    if row is not None:
        row.delete()
        note(
            person_of(request), "ended", what="session", object_id=mark, detail={"person": str(row.person_id)}
        )
        messages.info(request, "That session is ended.")
    return redirect("sessions" if request.POST.get("back") == "sessions" and everybody else "me")


@require_POST
def pair_start(request: HttpRequest) -> HttpResponse:
    """Show a code that lets one device in."""
    most = Role.ASSISTANT if request.POST.get("most") != "own" else (role_of(request) or Role.ASSISTANT)
    if not settings.LAN:
        return render(request, "studio/pair-code.html", {"lan": False})
    code = make_code(_signed_in(request), most)
    note(person_of(request), "made a pairing code", what="device")
    address = request.build_absolute_uri(f"{reverse('pair')}?code={code}")
    if settings.LAN_ADDRESS:
        address = f"{settings.LAN_ADDRESS}{reverse('pair')}?code={code}"
    facts = {
        "code": show_code(code),
        "seconds": CODE_SECONDS,
        "address": address.partition("?")[0],
        "qr": qr_svg(address),
        "lan": True,
        "fingerprint": settings.LAN_FINGERPRINT,
    }
    return render(request, "studio/pair-code.html", facts)


@require_POST
def device_end(request: HttpRequest, device_id: UUID) -> HttpResponse:
    """Shut a device out; its sessions end at once."""
    rows = PairedDevice.objects.filter(revoked_at__isnull=True)
    if role_of(request) != Role.OWNER:
        rows = rows.filter(person=_signed_in(request))
    device = get_object_or_404(rows, pk=device_id)
    device.revoked_at = timezone.now()
    device.save(update_fields=["revoked_at"])
    DeskSession.objects.filter(paired=device).delete()
    note(person_of(request), "shut out", what="device", object_id=str(device.pk))
    messages.info(request, f"{device.name} is shut out.")
    return redirect("me")
