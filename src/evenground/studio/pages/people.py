"""People and roles, all sessions, and the audit: for the owner."""

from typing import Any
from uuid import UUID

from django import forms
from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from evenground.records.audit import note
from evenground.records.models import AuditEntry, Person, Role
from evenground.studio.access import person_of
from evenground.studio.csv_out import csv_response
from evenground.studio.forms import SheetForm
from evenground.studio.models import PairedDevice
from evenground.studio.pages.me import sessions_of
from evenground.studio.staff import change, password_link, take_in

__all__ = ["audit", "audit_csv", "people", "person_change", "person_link", "sessions"]

AUDIT_LINES = 100
ROLE_WORDS = (
    (Role.ASSISTANT.value, "assistant: measures"),
    (Role.TEACHER.value, "teacher: measures, decides, signs"),
    (Role.OWNER.value, "owner: all that, and people, settings, audit"),
)


class PersonForm(SheetForm):
    """Somebody who works here."""

    name = forms.CharField(
        label="Name", max_length=120, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    sign_in = forms.CharField(
        label="Name they sign in with",
        max_length=150,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none"}),
    )
    role = forms.ChoiceField(label="Role", choices=ROLE_WORDS, widget=forms.RadioSelect, initial="assistant")

    def clean_sign_in(self) -> str:
        """One name, one person."""
        name = str(self.cleaned_data["sign_in"]).strip().casefold()
        if Person.objects.filter(sign_in=name).exists():
            msg = "Somebody signs in with this name already. Choose another one."
            raise ValidationError(msg)
        return name


def _facts(form: PersonForm) -> dict[str, Any]:
    rows = Person.objects.order_by("-is_active", "name")
    return {"form": form, "people": list(rows), "roles": [(r.value, r.value) for r in Role]}


@require_http_methods(["GET", "POST"])
def people(request: HttpRequest) -> HttpResponse:
    """Show who works here; take somebody in, who then sets a password by a one-time link."""
    form = PersonForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        row = take_in(given["sign_in"], given["name"], Role(given["role"]), by=person_of(request))
        return _show_link(request, row)
    return render(request, "studio/people.html", _facts(form), status=422 if form.is_bound else 200)


def _show_link(request: HttpRequest, row: Person) -> HttpResponse:
    path = reverse("link", args=[password_link(row, by=person_of(request))])
    address = f"{settings.LAN_ADDRESS}{path}" if settings.LAN_ADDRESS else request.build_absolute_uri(path)
    return render(request, "studio/person-link.html", {"somebody": row, "address": address})


@require_POST
def person_link(request: HttpRequest, person_id: UUID) -> HttpResponse:
    """Make a one-time link with which somebody sets a new password."""
    return _show_link(request, get_object_or_404(Person, pk=person_id, is_active=True))


@require_POST
def person_change(request: HttpRequest, person_id: UUID) -> HttpResponse:
    """Give somebody another role, or switch them off or on; nobody is deleted: `by` keeps its meaning."""
    row = get_object_or_404(Person, pk=person_id)
    role = Role(request.POST["role"]) if request.POST.get("role") in Role.values else Role(row.role)
    active = request.POST.get("active", "yes" if row.is_active else "no") == "yes"
    change(row, role=role, active=active, by=person_of(request))
    messages.info(request, f"{row.name}: {role.value}{'' if active else ', switched off'}.")
    return redirect("people")


@require_GET
def sessions(request: HttpRequest) -> HttpResponse:
    """Show everybody's sessions and devices."""
    facts = {
        "sessions": sessions_of(),
        "this_session": request.session.session_key,
        "devices": list(PairedDevice.objects.filter(revoked_at__isnull=True).select_related("person")),
    }
    return render(request, "studio/sessions.html", facts)


@require_GET
def audit(request: HttpRequest) -> HttpResponse:
    """Show who saw and changed what, newest first."""
    rows = AuditEntry.objects.select_related("person").order_by("-id")
    before = request.GET.get("before", "")
    if before.isascii() and before.isdigit() and len(before) < 19:
        rows = rows.filter(id__lt=int(before))
    lines = list(rows[: AUDIT_LINES + 1])
    older = lines[AUDIT_LINES - 1].pk if len(lines) > AUDIT_LINES else None
    facts = {"lines": lines[:AUDIT_LINES], "older": older, "newest": not before}
    return render(request, "studio/audit.html", facts)


@require_GET
def audit_csv(request: HttpRequest) -> HttpResponse:
    """The whole audit as a table."""
    note(person_of(request), "exported", what="audit")
    rows = AuditEntry.objects.select_related("person").order_by("id")
    table = (
        (
            e.at.isoformat(),
            "" if e.person is None else e.person.name,
            e.action,
            e.what,
            e.object_id,
            "" if e.player_id is None else str(e.player_id),
        )
        for e in rows.iterator(chunk_size=2000)
    )
    return csv_response("audit.csv", ("when", "who", "did", "what", "which", "player"), table)
