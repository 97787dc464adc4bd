"""Today: who is here and at which station, the opening check of the instruments, and who comes next."""

from uuid import UUID, uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from evenground.instruments import InstrumentCheck
from evenground.records.audit import note
from evenground.records.instruments import keep_checks
from evenground.records.models import Instrument, Player, Visit
from evenground.records.visits import start_visit
from evenground.studio.access import person_of
from evenground.studio.days import today_here
from evenground.studio.lists import day_begins, instruments_of, players_named, visits_on

__all__ = ["instrument_check", "today", "today_now", "visit_address", "visit_start"]


def visit_address(visit_id: UUID) -> str:
    """Where a visit is open."""
    return reverse("visit", args=[visit_id])


def _facts() -> dict[str, object]:
    lines = visits_on(today_here())
    return {
        "visits": [(line, visit_address(line.id)) for line in lines],
        "instruments": instruments_of(day_begins(timezone.now())),
        "day": today_here(),
    }


@require_GET
def today(request: HttpRequest) -> HttpResponse:
    """Show the day."""
    players = players_named("", most=6, not_on=today_here())
    facts = _facts() | {"players": players, "fresh_id": uuid4(), "any_player": bool(players)}
    return render(request, "studio/today.html", facts)


@require_GET
def today_now(request: HttpRequest) -> HttpResponse:
    """Show only who is at which station, for the page to look again."""
    return render(request, "studio/today-visits.html", _facts())


@require_POST
def visit_start(request: HttpRequest, player_id: UUID) -> HttpResponse:
    """Start a visit; the page makes its id, so that a second tap starts nothing more."""
    player = get_object_or_404(Player, pk=player_id)
    person = person_of(request)
    try:
        wanted = UUID(request.POST.get("id", ""))
    except ValueError:
        wanted = uuid4()
    taken = Visit.objects.filter(pk=wanted).exclude(player=player).exists()
    teacher = "" if person is None else person.name
    visit = start_visit(
        player, day=today_here(), teacher=teacher, person=person, visit_id=uuid4() if taken else wanted
    )
    return redirect(visit_address(visit.pk))


@require_POST
def instrument_check(request: HttpRequest, instrument_id: UUID) -> HttpResponse:
    """Keep how an instrument's opening check went."""
    row = get_object_or_404(Instrument, pk=instrument_id, retired_at__isnull=True)
    passed = request.POST.get("passed") == "yes"
    why = request.POST.get("note", "").strip()[:400]
    at = timezone.now().astimezone()
    keep_checks(row, [InstrumentCheck(step="by hand", at=at, passed=passed, why=why)], person_of(request))
    note(person_of(request), "checked", what="instrument", object_id=str(row.pk), detail={"passed": passed})
    said = "in order" if passed else "not in order: readings with it wait until it is"
    messages.info(request, f"{row.name} is {said}.")
    if request.POST.get("back") == "instrument":
        return redirect("instrument", instrument_id)
    return redirect((request.POST.get("back") == "instruments" and "instruments") or "today")
