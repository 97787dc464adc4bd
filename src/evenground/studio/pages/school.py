"""A school: roster, badges scanned at each station, who goes where next, cards to approve and to print."""

from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

from django.contrib import messages
from django.db.models import Max
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from evenground.capture.studio_file import studio_from
from evenground.records.audit import note
from evenground.records.blobs import open_blob
from evenground.records.models import CardVersion, Reading
from evenground.records.visits import current_snapshot, studio_file
from evenground.studio.access import TEACHERS, person_of, role_of
from evenground.studio.csv_out import csv_response
from evenground.studio.days import today_here
from evenground.studio.models import School, SchoolEvent, SchoolMember
from evenground.studio.pages.answering import press_id
from evenground.studio.pages.checks import slug_of
from evenground.studio.queueing import STATIONS, Happened, Place, board, place_of
from evenground.studio.roster import RosterError, code_from, fill_school, read_roster
from evenground.visit import CHECKS

__all__ = ["badges", "cards", "event", "leaves", "roster_csv", "scan", "school", "school_new", "schools"]

STATION = {station.slug: station for station in STATIONS}
MOST_ROSTER = 100_000
EVENTS = frozenset({"came", "done", "left"})


@require_GET
def schools(request: HttpRequest) -> HttpResponse:
    """Show the schools."""
    return _schools(request)


@require_POST
def school_new(request: HttpRequest) -> HttpResponse:
    """Make a school from a roster; the same form sent again makes nothing more."""
    text = _roster_text(request)
    try:
        lines = read_roster(text, today_here())
    except RosterError as exc:
        return _schools(request, text=text, said=f"{exc.where.capitalize()}: {exc.what} {exc.do}")
    name = " ".join(request.POST.get("name", "").split())[:80] or "School"
    made, _ = School.objects.get_or_create(pk=press_id(request), defaults={"name": name, "day": today_here()})
    fill_school(made, lines, person=person_of(request), fill_id=made.pk)
    note(person_of(request), "made", what="school", object_id=str(made.pk))
    return redirect("school", made.pk)


@require_GET
def school(request: HttpRequest, school_id: UUID) -> HttpResponse:
    """Show the stations with who is there and who comes next, the players, and their cards."""
    row = get_object_or_404(School, pk=school_id)
    return render(request, "studio/school/school.html", _facts(row))


@require_http_methods(["GET", "POST"])
def scan(request: HttpRequest, school_id: UUID, station: str) -> HttpResponse:
    """Take a badge at a station and open that player's check, so that readings land where they belong."""
    row = get_object_or_404(School, pk=school_id)
    place = STATION.get(station)
    if place is None:
        raise Http404
    said = ""
    if request.method == "POST":
        code = code_from(request.POST.get("code", ""))
        member = None if code is None else row.members.filter(code=code).first()
        if member is not None:
            _happen(request, member, "at", place.slug)
            return redirect("visit:check", visit_id=member.visit_id, slug=slug_of(place.checks[0]))
        said = (
            "This is no badge's code: a sign of it is wrong. Scan it again, or type the five signs on it."
            if code is None
            else "This badge is of another school. Take the badge that was printed today."
        )
    facts = _facts(row)
    line = next(line for line in facts["board"].lines if line.station == place)
    context = facts | {"line": line, "said": said}
    return render(request, "studio/school/scan.html", context, status=422 if said else 200)


@require_POST
def event(request: HttpRequest, school_id: UUID) -> HttpResponse:
    """Keep that a player came, is done at a station, or left."""
    member = _member(request, school_id)
    what = request.POST.get("what", "")
    if what not in EVENTS:
        raise Http404
    _happen(request, member, what, "")
    return redirect("school", school_id)


@require_POST
def leaves(request: HttpRequest, school_id: UUID) -> HttpResponse:
    """Keep when a player has to leave; an empty time takes it back."""
    member = _member(request, school_id)
    text = request.POST.get("leaves", "").strip()
    try:
        clock = datetime.strptime(text, "%H:%M").time() if text else None
    except ValueError:
        messages.info(request, "Write the time like 14:30.")
        return redirect("school", school_id)
    here = timezone.now().astimezone()
    member.leaves_at = (
        None if clock is None else here.replace(hour=clock.hour, minute=clock.minute, second=0, microsecond=0)
    )
    member.save(update_fields=["leaves_at"])
    return redirect("school", school_id)


@require_GET
def badges(request: HttpRequest, school_id: UUID) -> HttpResponse:
    """Give the badges to print."""
    import segno

    from evenground.report.school_sheets import BadgeSheet, BadgeView, badges_pdf

    row = get_object_or_404(School, pk=school_id)
    views = []
    for member in _members(row):
        matrix = [list(line) for line in segno.make_qr(member.code, error="m").matrix]
        dark = tuple((x, y) for y, line in enumerate(matrix) for x, on in enumerate(line) if on)
        player = member.visit.player
        views.append(
            BadgeView(
                name=player.name,
                person=f"{player.handed}-handed",
                code=member.code,
                side=len(matrix),
                modules=dark,
            )
        )
    sheet = BadgeSheet(paper=_paper(), title=f"Badges, {row.name}", badges=tuple(views))
    return _pdf("badges.pdf", badges_pdf(sheet))


@require_GET
def cards(request: HttpRequest, school_id: UUID) -> HttpResponse:
    """Give the newest signed card of every player as one file to print."""
    from evenground.report.school_sheets import bound_pdf

    row = get_object_or_404(School, pk=school_id)
    papers = []
    for member in _members(row):
        signed = CardVersion.objects.filter(visit_id=member.visit_id, signed_at__isnull=False)
        newest = signed.order_by("-number").first()
        if newest is not None and newest.pdf_id is not None:
            note(person_of(request), "printed", what="card", object_id=str(newest.pk))
            with open_blob(newest.pdf_id) as stream:
                papers.append(stream.read())
    if not papers:
        messages.info(request, "No card of this school is signed yet.")
        return redirect("school", school_id)
    return _pdf("cards.pdf", bound_pdf(papers, _paper()))


@require_GET
def roster_csv(request: HttpRequest, school_id: UUID) -> HttpResponse:
    """Give the roster as a table, no cell of it a formula."""
    row = get_object_or_404(School, pk=school_id)
    note(person_of(request), "exported", what="school", object_id=str(row.pk))
    rows = [
        (m.visit.player.name, m.visit.player.handed, m.visit.player.birth_year, m.code) for m in _members(row)
    ]
    return csv_response("roster.csv", ("name", "handed", "birth year", "badge"), rows)


def _schools(request: HttpRequest, *, text: str = "", said: str = "") -> HttpResponse:
    context = {
        "schools": School.objects.all()[:30],
        "said": said,
        "text": text,
        "name": request.POST.get("name", ""),
        "fresh_id": uuid4(),
        "may_make": role_of(request) in TEACHERS,
    }
    return render(request, "studio/school/schools.html", context, status=422 if said else 200)


def _facts(row: School) -> dict[str, Any]:
    members = _members(row)
    places = {m.pk: _place(m) for m in members}
    visits = [m.visit_id for m in members]
    begun: dict[UUID, set[str]] = {}
    seen = Reading.objects.filter(visit_id__in=visits, check_name__in=CHECKS).order_by()
    for visit_id, check in seen.values_list("visit_id", "check_name").distinct():
        begun.setdefault(visit_id, set()).add(check)
    signed = CardVersion.objects.filter(visit_id__in=visits, signed_at__isnull=False).order_by()
    newest = dict(signed.values_list("visit_id").annotate(newest=Max("number")))
    people = [
        {
            "member": m,
            "place": places[m.pk],
            "at": STATION[places[m.pk].at].name if places[m.pk].at in STATION else "",
            "begun": len(begun.get(m.visit_id, ())),
            "signed": newest.get(m.visit_id),
        }
        for m in members
    ]
    return {
        "school": row,
        "board": board(list(places.values())),
        "people": people,
        "to_approve": [p for p in people if p["begun"] and not p["signed"]],
        "signed": sum(p["signed"] is not None for p in people),
        "bottleneck": STATION.get(board(list(places.values())).bottleneck or ""),
    }


def _members(row: School) -> list[SchoolMember]:
    found = row.members.select_related("visit__player").prefetch_related("events")
    return sorted(found, key=lambda m: (m.visit.player.name, m.code))


def _place(member: SchoolMember) -> Place:
    told = [Happened(what=e.what, station=e.station, at=e.at) for e in member.events.all()]
    return place_of(member.pk, member.visit.player.name, told, leaves_at=member.leaves_at)


def _member(request: HttpRequest, school_id: UUID) -> SchoolMember:
    try:
        wanted = UUID(request.POST.get("member", ""))
    except ValueError as exc:
        raise Http404 from exc
    return get_object_or_404(SchoolMember, pk=wanted, school_id=school_id)


def _happen(request: HttpRequest, member: SchoolMember, what: str, station: str) -> None:
    SchoolEvent.objects.create(member=member, what=what, station=station, person=person_of(request))


def _roster_text(request: HttpRequest) -> str:
    file = request.FILES.get("file")
    if file is None or not file.size:
        return request.POST.get("roster", "")[:MOST_ROSTER]
    raw = file.read(MOST_ROSTER)
    try:
        return str(raw.decode("utf-8-sig"))
    except UnicodeDecodeError:
        return str(raw.decode("latin-1"))


def _paper() -> str:
    return studio_from(studio_file(current_snapshot())).settings.paper


def _pdf(name: str, content: bytes) -> HttpResponse:
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response
