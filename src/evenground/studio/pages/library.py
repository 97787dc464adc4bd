"""The studio's own routine and cues, changed as text and put in use; and cues swapped on a card."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid4

from django import forms
from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from evenground.capture.fields import read_toml
from evenground.capture.library_file import (
    CuesFile,
    CuesTable,
    RoutineFile,
    RoutineTable,
    cues_from,
    cues_toml,
    routine_from,
    routine_toml,
    usual_cues_text,
    usual_routine_text,
)
from evenground.capture.studio_file import StudioFile
from evenground.errors import CaptureError, EvengroundError
from evenground.records.answers import answered
from evenground.records.audit import note
from evenground.records.entries import Entry
from evenground.records.log import append
from evenground.records.models import Person
from evenground.records.reading_kinds import kind_named
from evenground.records.visits import current_snapshot, studio_file, use_snapshot
from evenground.report.cues import (
    CUE_COUNT,
    drawn_cues,
    drawn_home_check,
    fitting_cues,
    fitting_home_checks,
    told,
)
from evenground.studio.access import person_of
from evenground.studio.forms import SheetForm
from evenground.studio.pages.answering import press_id
from evenground.studio.pages.scene import visit_row
from evenground.studio.signing import Proposal, proposal

__all__ = ["card_cues", "cues", "routine"]


class LibraryForm(SheetForm):
    """A routine or cues as text, or as a file."""

    text = forms.CharField(
        label="The one in use, to change by hand",
        max_length=200_000,
        strip=False,
        required=False,
        widget=forms.Textarea(attrs={"rows": 24, "spellcheck": "false", "class": "typed"}),
    )
    file = forms.FileField(
        label="Or a TOML file",
        required=False,
        widget=forms.FileInput(attrs={"accept": ".toml"}),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """One thing that a studio may have its own of: where it stands, how it is read, and its text."""

    title: str
    says: str
    file: str
    ours: Callable[[], str]
    now: Callable[[StudioFile], str | None]
    put: Callable[[StudioFile, bytes | None], StudioFile]


def _routine_now(file: StudioFile) -> str | None:
    return None if file.routine is None else routine_toml(routine_from(file.routine))


def _routine_put(file: StudioFile, raw: bytes | None) -> StudioFile:
    table = None
    if raw is not None:
        read = read_toml(raw, RoutineFile, file="routine.toml")
        table = RoutineTable(**{k: v for k, v in dict(read).items() if k != "format"})
    return file.model_copy(update={"routine": table})


def _cues_now(file: StudioFile) -> str | None:
    return None if file.settings.cues is None else cues_toml(cues_from(file.settings.cues))


def _cues_put(file: StudioFile, raw: bytes | None) -> StudioFile:
    table = None
    if raw is not None:
        read = read_toml(raw, CuesFile, file="cues.toml")
        table = CuesTable(**{k: v for k, v in dict(read).items() if k != "format"})
    settings = file.settings.model_copy(update={"cues": table})
    return file.model_copy(update={"settings": settings})


ROUTINE = Shelf(
    title="Hip routine",
    says=(
        "General movements, common practice. A change is used from the next visit on; the screening gates "
        "any routine, and every move says what to stop at."
    ),
    file="routine.toml",
    ours=usual_routine_text,
    now=_routine_now,
    put=_routine_put,
)
CUES = Shelf(
    title="Cues and home checks",
    says=(
        "The card draws the first three cues that serve what was found, and the first home check. A change "
        "is used from the next visit on; on a card they may be swapped one by one."
    ),
    file="cues.toml",
    ours=usual_cues_text,
    now=_cues_now,
    put=_cues_put,
)


@require_http_methods(["GET", "POST"])
def routine(request: HttpRequest) -> HttpResponse:
    """Show the routine in use as text; take in another one, or ours again."""
    return _shelf(request, ROUTINE, "studio-routine")


@require_http_methods(["GET", "POST"])
def cues(request: HttpRequest) -> HttpResponse:
    """Show the cues in use as text; take in others, or ours again."""
    return _shelf(request, CUES, "studio-cues")


def _shelf(request: HttpRequest, shelf: Shelf, here: str) -> HttpResponse:
    problem, file = "", studio_file(current_snapshot())
    if request.method == "POST":
        raw = None if "ours" in request.POST else _sent(request)
        try:
            _use(shelf.put(file, raw), shelf.title, person_of(request))
        except CaptureError as exc:
            problem = str(exc)
        else:
            messages.info(request, "In use from the next visit on.")
            return redirect(here)
    own = shelf.now(file)
    text = (request.POST.get("text") if problem else None) or own or shelf.ours()
    context = {
        "shelf": shelf,
        "own": own is not None,
        "problem": problem,
        "form": LibraryForm(initial={"text": text}),
    }
    return render(request, "studio/library.html", context, status=422 if problem else 200)


def _sent(request: HttpRequest) -> bytes:
    sent = request.FILES.get("file")
    return sent.read() if sent is not None else request.POST.get("text", "").replace("\r\n", "\n").encode()


def _use(file: StudioFile, what: str, person: Person | None) -> None:
    now = current_snapshot()
    with answered(), transaction.atomic():
        kept = use_snapshot(file, stock=None if now is None else now.stock)
        note(person, "changed", what=what.lower()[:40], object_id=kept.digest[:12])


# On a card ------------------------------------------------------------------------------------------------


@require_http_methods(["GET", "POST"])
def card_cues(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Swap the card's cues and home check for others of the library."""
    row = visit_row(visit_id)
    shown = proposal(visit_id)
    problem = ""
    if request.method == "POST":
        chosen = request.POST.getlist("cue")
        if len(chosen) > CUE_COUNT:
            problem = f"{len(chosen)} cues are ticked. A card holds three: nobody feels more at once."
        else:
            problem = _swap(request, visit_id, chosen)
        if not problem:
            return redirect("card", visit_id)
    context = {"row": row, "visit": shown.inputs.visit, "problem": problem, **_choices(request, shown)}
    return render(request, "studio/card/cues.html", context, status=422 if problem else 200)


def _swap(request: HttpRequest, visit_id: UUID, chosen: list[str]) -> str:
    kind, person = kind_named("cue choice"), person_of(request)
    try:
        payload = kind.checked({"cues": chosen, "home_check": request.POST.get("home") or None})
        entry = Entry(
            id=press_id(request),
            kind=kind.name,
            version=kind.version,
            payload=payload,
            at=timezone.now(),
            by="" if person is None else person.name,
            device=str(request.session.get("device", ""))[:80],
        )
        append(visit_id, entry, person=person)
    except EvengroundError as exc:
        return f"{exc.what} {exc.do}".strip()
    return ""


def _choices(request: HttpRequest, shown: Proposal) -> dict[str, Any]:
    visit, findings = shown.inputs.visit, shown.findings
    library = shown.inputs.studio.settings.cues
    ticked = (
        request.POST.getlist("cue")
        if request.method == "POST"
        else [c.key for c in drawn_cues(visit, findings, library)]
    )
    home = drawn_home_check(visit, findings, library)
    chosen = request.POST.get("home") if request.method == "POST" else None if home is None else home.key
    return {
        "cues": [(c, c.key in ticked) for c in fitting_cues(visit, findings, library)],
        "checks": [
            (h.key, h.serves, told(h, findings), h.key == chosen)
            for h in fitting_home_checks(visit, findings, library)
        ],
        "fresh_id": uuid4(),
    }
