"""A visit's pages: the frame, the open check in it, and the news that keep every screen the same."""

from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.views.decorators.http import require_GET

from evenground.fit.hour import minutes_gone
from evenground.records.log import history as readings_history
from evenground.records.reading_kinds import kind_named
from evenground.studio.pages.checks import PAGES, check_of, slug_of
from evenground.studio.pages.frame import frame_of, skip_part
from evenground.studio.pages.scene import Scene, scene_of, visit_row
from evenground.studio.typed import show_stored
from evenground.visit import CHECKS, Check

__all__ = ["check", "history", "news", "visit"]

NOTHING_NEW = 204
KEPT = 24
_drawn: OrderedDict[tuple[Any, ...], str] = OrderedDict()
_lock = Lock()


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """One value that a field had, as its history shows it."""

    text: str
    by: str
    at: Any
    became: str
    why: str


@require_GET
def visit(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Go to the check that is next."""
    scene = scene_of(visit_row(visit_id))
    wanted = frame_of(scene, None).next or CHECKS[0]
    return redirect("visit:check", visit_id=visit_id, slug=slug_of(wanted))


@require_GET
def check(request: HttpRequest, visit_id: UUID, slug: str) -> HttpResponse:
    """One check of the visit with all that stands around it."""
    scene = scene_of(visit_row(visit_id))
    return render(request, "studio/visit.html", _context(scene, _check(slug)))


@require_GET
def news(request: HttpRequest, visit_id: UUID, slug: str) -> HttpResponse:
    """What changed since a screen last asked: nothing, or the parts of the page drawn anew.

    The screen says how far it has seen the log (`since`), which findings it shows (`found`), and the minute
    of its clock; asking costs one row when nothing happened.
    """
    here, scene = _check(slug), scene_of(visit_row(visit_id), patience_s=0.0)
    stamp = _stamp(scene)
    if all(request.GET.get(name, "") == str(value) for name, value in stamp.items()):
        return HttpResponse(status=NOTHING_NEW)
    return HttpResponse(_news(scene, here, stamp))


@require_GET
def history(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Every value that one field had, the latest first."""
    kind, field = request.GET.get("kind", ""), request.GET.get("field", "")
    keys = {name: request.GET[name] for name in kind_named(kind).keys if name in request.GET}
    typed = {
        name: int(text) if text.isdigit() and _counts(kind, name) else text for name, text in keys.items()
    }
    scene = scene_of(visit_row(visit_id))
    lines = tuple(
        Earlier(
            text=show_stored(field, line.value, scene.system) or "nothing",
            by=line.entry.by,
            at=line.entry.at,
            became=line.became,
            why=line.why or "",
        )
        for line in readings_history(visit_id, kind, field, typed)
    )
    return render(request, "studio/visit/history.html", {"lines": lines})


def _counts(kind: str, name: str) -> bool:
    """Whether a key of a kind is a number."""
    return kind_named(kind).number == name


def _news(scene: Scene, here: Check, stamp: dict[str, Any]) -> str:
    """The news of a check, drawn once for all screens that ask at the same stage of the visit."""
    key = (scene.id, here, tuple(stamp.values()), scene.row.snapshot_id)
    with _lock:
        if key in _drawn:
            return _drawn[key]
    drawn = render_to_string("studio/visit/news.html", _context(scene, here))
    with _lock:
        _drawn[key] = drawn
        while len(_drawn) > KEPT:
            _drawn.popitem(last=False)
    return drawn


def _stamp(scene: Scene) -> dict[str, Any]:
    """What a screen that shows this scene has seen."""
    failed = "x" if scene.standing.failed else ""
    minute = minutes_gone(scene.begun, scene.now, last=scene.last)
    return {"since": scene.seq, "found": f"{scene.standing.seq}{failed}", "minute": minute}


def _check(slug: str) -> Check:
    found = check_of(slug)
    if found is None:
        raise Http404
    return found


def _context(scene: Scene, here: Check) -> dict[str, Any]:
    """All that the templates of a visit print."""
    frame = frame_of(scene, here)
    after = CHECKS[(CHECKS.index(here) + 1) % len(CHECKS)]
    return {
        "scene": scene,
        "visit": scene.visit,
        "row": scene.row,
        "check": PAGES[here].view(scene),
        "slug": slug_of(here),
        "frame": frame,
        "skip": skip_part(scene, here),
        "stamp": _stamp(scene),
        "news_at": reverse("visit:news", kwargs={"visit_id": scene.id, "slug": slug_of(here)}),
        "after": {"name": after, "slug": slug_of(after)},
    }
