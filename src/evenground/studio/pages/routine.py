"""The hip routine inside a visit: a timed page, a list to print, and what was done of it."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from evenground.capture.library_file import usual_routine
from evenground.errors import EvengroundError
from evenground.library import Move, Routine, RoutineVersion
from evenground.needs import routine_form, routine_not_offered
from evenground.report.handouts import handout_pdf, routine_handout, routine_time
from evenground.studio.pages.answering import press_id, sender_of
from evenground.studio.pages.cells import Line
from evenground.studio.pages.frame import frame_of
from evenground.studio.pages.saving import SentTrial, save_trial
from evenground.studio.pages.scene import Scene, scene_of, system_of, visit_row

__all__ = ["routine", "routine_pdf", "runs_of"]

FIELDS = ("outcome", "version", "seconds", "clock", "routine")
VERSIONS: tuple[tuple[RoutineVersion, str], ...] = (
    ("usual", "as it is"),
    ("easier", "easier"),
    ("seated", "sitting"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownMove:
    """One move as the page shows it."""

    move: Move
    time: str
    sides: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RunLine:
    """One run in words, and what takes it back."""

    says: str
    line: Line


@require_http_methods(["GET", "POST"])
def routine(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Show the routine, timed; sent as a plain form, keep what was done."""
    said = ""
    if request.method == "POST":
        said = _kept(request, visit_id)
        if not said:
            messages.info(request, "Kept.")
            return redirect("visit:routine", visit_id=visit_id)
    scene = scene_of(visit_row(visit_id))
    return render(request, "studio/visit/routine.html", _context(scene, said), status=422 if said else 200)


@require_GET
def routine_pdf(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """The routine on paper, in the form that suits this player."""
    scene = scene_of(visit_row(visit_id))
    if routine_not_offered(scene.visit) is not None:
        raise Http404
    wanted = request.GET.get("form", "")
    version = next((v for v, _ in VERSIONS if v == wanted), None) or routine_form(scene.visit)
    sheet = routine_handout(routine_of(scene), version, scene.studio.settings.paper)
    response = HttpResponse(handout_pdf(sheet), content_type="application/pdf")
    response["Content-Disposition"] = 'inline; filename="routine.pdf"'
    return response


def routine_of(scene: Scene) -> Routine:
    """The routine of the studio that the visit began with, or ours."""
    return scene.studio.routine or usual_routine()


def runs_of(scene: Scene) -> tuple[RunLine, ...]:
    """What was done of the routine so far."""
    found = []
    by_run = {run.run: run for run in scene.visit.routine}
    for slot in scene.log.of("routine"):
        run = by_run.get(slot.key[0])
        if run is None:
            continue
        form = dict(VERSIONS)[run.version]
        when = f" at {run.clock}" if run.clock else ""
        long = "" if run.seconds is None else f", {run.seconds / 60.0:.1f} minutes"
        readings = " ".join(map(str, slot.readings))
        says = f"{run.outcome.capitalize()}{when}, {form}{long}"
        found.append(RunLine(says=says, line=Line(label=says, cells=(), take_back=readings)))
    return tuple(found)


def _kept(request: HttpRequest, visit_id: UUID) -> str:
    """Keep what a plain form says; the sentence of what is wrong with it, empty when it is kept."""
    row = visit_row(visit_id)
    given = {name: request.POST.get(name, "") for name in FIELDS}
    try:
        sent = SentTrial(id=press_id(request), kind="routine", values=given)
        save_trial(row, sent, system_of(row), sender_of(request))
    except EvengroundError as exc:
        return f"{exc.what} {exc.do}".strip()
    return ""


def _context(scene: Scene, said: str) -> dict[str, Any]:
    found, gated = routine_of(scene), routine_not_offered(scene.visit)
    minutes, seconds = divmod(found.seconds, 60)
    return {
        "row": scene.row,
        "visit": scene.visit,
        "frame": frame_of(scene, "hip line"),
        "said": said,
        "gated": gated,
        "routine": found,
        "long": f"{minutes} min {seconds:02d} s",
        "form": None if gated else routine_form(scene.visit),
        "forms": VERSIONS,
        "moves": [
            ShownMove(move=m, time=routine_time(m), sides=2 if m.each_side else 1) for m in found.moves
        ],
        "runs": runs_of(scene),
        "fresh_id": uuid4(),
        "clock": timezone.localtime(scene.now).strftime("%H:%M"),
    }
