"""Players: finding one, their visits and what changed, how to reach them, what they agreed to."""

from datetime import date
from typing import Any
from uuid import UUID, uuid4

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from evenground.records.audit import note
from evenground.records.consent import has_consent
from evenground.records.models import Consent, ConsentKind, Player, Visit
from evenground.studio.access import person_of
from evenground.studio.consent_texts import TEXTS, current_text
from evenground.studio.csv_out import csv_response
from evenground.studio.days import today_here
from evenground.studio.forms import SheetForm
from evenground.studio.lists import changed_lines, players_named, visits_of
from evenground.studio.pages.change import change_part
from evenground.studio.pages.today import visit_address

__all__ = [
    "consent_new",
    "consent_withdraw",
    "player",
    "player_edit",
    "player_new",
    "players",
    "players_csv",
    "players_found",
]

HANDED = (("right", "right-handed"), ("left", "left-handed"))
REFERENCE = (("", "not said"), ("women", "women"), ("men", "men"))


class PlayerForm(SheetForm):
    """Who the player is and how to reach them."""

    name = forms.CharField(
        label="Name", max_length=120, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    handed = forms.ChoiceField(label="As a golfer", choices=HANDED, widget=forms.RadioSelect, initial="right")
    birth_year = forms.IntegerField(
        label="Birth year",
        required=False,
        help_text="Only the year is kept. It tells who is a minor, and which sizes are plausible.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    reference = forms.ChoiceField(
        label="Compare sizes with",
        choices=REFERENCE,
        required=False,
        help_text="Which half of the reference survey measured sizes are held against.",
    )
    email = forms.EmailField(label="Mail", required=False)
    phone = forms.CharField(label="Phone", max_length=40, required=False)
    guardian_name = forms.CharField(
        label="Guardian", max_length=120, required=False, help_text="For a minor: whoever may agree for them."
    )
    guardian_email = forms.EmailField(label="Guardian's mail", required=False)
    note = forms.CharField(
        label="Note", required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 3})
    )

    def clean_birth_year(self) -> int | None:
        """A year in which a living player was born."""
        year: int | None = self.cleaned_data["birth_year"]
        now = today_here().year
        if year is not None and not now - 110 <= year <= now - 3:
            msg = f"Write a year between {now - 110} and {now - 3}, with four digits."
            raise ValidationError(msg)
        return year


class ConsentForm(SheetForm):
    """Who agreed to which text."""

    kind = forms.ChoiceField(label="To", choices=[(t.kind.value, t.title) for t in TEXTS])
    given_by = forms.CharField(label="Given by", max_length=120)
    by_guardian = forms.BooleanField(label="as the guardian of a minor", required=False)
    given_on = forms.DateField(label="On", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))

    def clean_given_on(self) -> date:
        """No consent from the future."""
        day: date = self.cleaned_data["given_on"]
        if day > today_here():
            msg = "This day has not come yet."
            raise ValidationError(msg)
        return day


@require_GET
def players(request: HttpRequest) -> HttpResponse:
    """Show the players who were here last, and a field to find the others."""
    find = request.GET.get("find", "")
    facts = {"players": players_named(find, most=40), "find": find, "fresh_id": uuid4()}
    return render(request, "studio/players.html", facts)


@require_GET
def players_found(request: HttpRequest) -> HttpResponse:
    """Show only the players found, for the field to fill in as one types."""
    find = request.GET.get("find", "")
    facts = {"players": players_named(find), "find": find, "fresh_id": uuid4()}
    return render(request, "studio/players-found.html", facts)


@require_http_methods(["GET", "POST"])
def player_new(request: HttpRequest) -> HttpResponse:
    """Make a player."""
    start = {"name": request.GET.get("name", ""), "handed": "right"}
    form = PlayerForm(request.POST if request.method == "POST" else None, initial=start)
    if request.method == "POST" and form.is_valid():
        row = Player.objects.create(**form.cleaned_data)
        note(person_of(request), "made", what="player", object_id=str(row.pk), player_id=row.pk)
        return redirect("player", row.pk)
    return render(request, "studio/player-edit.html", {"form": form, "player": None})


@require_http_methods(["GET", "POST"])
def player_edit(request: HttpRequest, player_id: UUID) -> HttpResponse:
    """Change what is kept of a player; visits that were measured keep what they were measured with."""
    row = get_object_or_404(Player, pk=player_id)
    before = {name: getattr(row, name) for name in PlayerForm.base_fields}
    form = PlayerForm(request.POST if request.method == "POST" else None, initial=before)
    if request.method == "POST" and form.is_valid():
        for name, value in form.cleaned_data.items():
            setattr(row, name, value)
        row.save()
        note(
            person_of(request),
            "changed",
            what="player",
            object_id=str(row.pk),
            player_id=row.pk,
            detail={"fields": sorted(form.changed_data)},
        )
        messages.info(request, "Saved.")
        return redirect("player", row.pk)
    return render(request, "studio/player-edit.html", {"form": form, "player": row})


@require_GET
def player(request: HttpRequest, player_id: UUID) -> HttpResponse:
    """Show a player."""
    row = get_object_or_404(Player, pk=player_id)
    note(person_of(request), "saw", what="player", object_id=str(row.pk), player_id=row.pk)
    return render(request, "studio/player.html", _facts(row, _consent_form(row)))


def _consent_form(row: Player) -> ConsentForm:
    minor = row.is_minor(today_here())
    start = {
        "kind": ConsentKind.PHOTOS.value,
        "given_by": row.guardian_name if minor else row.name,
        "by_guardian": bool(minor),
        "given_on": today_here(),
    }
    return ConsentForm(initial=start)


def _facts(row: Player, form: ConsentForm) -> dict[str, Any]:
    day = today_here()
    visits = visits_of(row)
    return {
        "player": row,
        "minor": row.is_minor(day),
        "photos": row.is_minor(day) is not None and has_consent(row, ConsentKind.PHOTOS, day),
        "visits": [(line, visit_address(line.id)) for line in visits],
        "open_visit": next((visit_address(v.id) for v in visits if v.state == "open" and v.day == day), None),
        "changed": changed_lines(row),
        "change": change_part(row),
        "consents": list(row.consents.order_by("-given_on", "-id")),
        "texts": TEXTS,
        "form": form,
        "fresh_id": uuid4(),
    }


@require_POST
def consent_new(request: HttpRequest, player_id: UUID) -> HttpResponse:
    """Keep that somebody agreed to a text."""
    row = get_object_or_404(Player, pk=player_id)
    form = ConsentForm(request.POST)
    if form.is_valid():
        given = form.cleaned_data
        if row.is_minor(given["given_on"]) and not given["by_guardian"]:
            form.add_error("given_by", "The player is a minor: the guardian agrees, and is named here.")
        else:
            kind = ConsentKind(given["kind"])
            kept = Consent.objects.create(
                player=row,
                kind=kind,
                given_on=given["given_on"],
                text_version=current_text(kind).version,
                given_by=given["given_by"],
                by_guardian=given["by_guardian"],
                recorded_by=person_of(request),
            )
            note(person_of(request), "kept consent", what="consent", object_id=str(kept.pk), player_id=row.pk)
            messages.info(request, f"Consent to {kind} kept.")
            return redirect("player", row.pk)
    return render(request, "studio/player.html", _facts(row, form), status=422)


@require_POST
def consent_withdraw(request: HttpRequest, player_id: UUID, consent_id: int) -> HttpResponse:
    """Keep that a consent was taken back; it stays in the list."""
    kept = get_object_or_404(Consent, pk=consent_id, player_id=player_id, withdrawn_on__isnull=True)
    kept.withdrawn_on = today_here()
    kept.save(update_fields=["withdrawn_on"])
    note(person_of(request), "withdrew consent", what="consent", object_id=str(kept.pk), player_id=player_id)
    messages.info(request, f"Consent to {kept.kind} taken back from today.")
    return redirect("player", player_id)


@require_GET
def players_csv(request: HttpRequest) -> HttpResponse:
    """All players as a table, for the owner."""
    note(person_of(request), "exported", what="players")
    visits: dict[UUID, int] = {}
    for player_id in Visit.objects.order_by().values_list("player_id", flat=True):
        visits[player_id] = visits.get(player_id, 0) + 1
    rows = [
        (
            p.name,
            p.handed,
            p.birth_year,
            p.email,
            p.phone,
            p.guardian_name,
            p.guardian_email,
            visits.get(p.pk, 0),
        )
        for p in Player.objects.all()
    ]
    header = ("name", "handed", "birth year", "mail", "phone", "guardian", "guardian's mail", "visits")
    return csv_response("players.csv", header, rows)
