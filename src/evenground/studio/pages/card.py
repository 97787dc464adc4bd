"""The card: every proposed line with its evidence beside it, accepted or set by the teacher, then signed."""

from dataclasses import replace
from http import HTTPStatus
from typing import Any
from uuid import UUID, uuid4, uuid5

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from evenground.errors import EvengroundError
from evenground.records.audit import note
from evenground.records.blobs import open_blob
from evenground.records.models import CardVersion
from evenground.report.paper import paper_again
from evenground.studio.access import TEACHERS, person_of, role_of
from evenground.studio.deciding import (
    ChoiceMissingError,
    LineGoneError,
    decide,
    line_named,
    proposal_of,
    width_range_from,
)
from evenground.studio.pages.answering import press_id
from evenground.studio.pages.card_parts import (
    HEEL_CENTRES,
    LinePart,
    anchor_of,
    line_parts,
    sign_part,
    signed_versions,
)
from evenground.studio.pages.frame import frame_of
from evenground.studio.pages.scene import scene_of, visit_row
from evenground.studio.signing import (
    PAPERS,
    NotSignedError,
    Proposal,
    papers_of,
    proposal,
    sign,
    signed_card,
    signed_paper,
)
from evenground.units import parse_length_mm

__all__ = ["accept_rest", "card", "decide_line", "draft_paper", "sign_now", "signed", "signed_file"]

PAPER_NAMES = (("setup-card", "Setup card"), ("width-strip", "Width strip"), ("build-sheet", "Build sheet"))
LONGEST = {"text": 160, "reason": 400}


@require_GET
def card(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Show the card as it stands, line by line."""
    row = visit_row(visit_id)
    note(person_of(request), "saw", what="card", object_id=str(visit_id), player_id=row.player_id)
    return _page(request, visit_id)


@require_POST
def decide_line(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Accept a line, set it with a reason, or take the decision back."""
    shown, key = proposal(visit_id), request.POST.get("line", "")
    try:
        line = line_named(shown.findings, key)
        if request.POST.get("seen", "") != proposal_of(line):
            raise LineGoneError(line.title)
        decide(
            visit_id,
            line,
            _values(request, shown, key),
            new_id=press_id(request),
            at=timezone.now(),
            person=person_of(request),
            device=str(request.session.get("device", ""))[:80],
        )
    except EvengroundError as exc:
        return _answer(request, visit_id, key, error=f"{exc.what} {exc.do}".strip())
    return _answer(request, visit_id, key)


@require_POST
def accept_rest(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Accept every line that waits, as it was on the page."""
    shown, person, root = proposal(visit_id), person_of(request), press_id(request)
    if request.POST.get("stamp", "") != shown.stamp:
        gone = LineGoneError("card")
        return _page(request, visit_id, said=f"{gone.what} {gone.do}", status=HTTPStatus.CONFLICT)
    for decided in shown.waiting:
        decide(
            visit_id,
            decided.line,
            {"choice": "accepted"},
            new_id=uuid5(root, decided.line.key),
            at=timezone.now(),
            person=person,
        )
    return redirect("card", visit_id)


@require_POST
def sign_now(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Sign the card that was on the page."""
    person = person_of(request)
    number = request.POST.get("number", "")
    if person is None or not (number.isascii() and number.isdigit() and len(number) < 6):
        raise Http404
    try:
        done = sign(visit_id, person, stamp=request.POST.get("stamp", ""), number=int(number))
    except EvengroundError as exc:
        return _page(request, visit_id, said=f"{exc.what} {exc.do}", status=HTTPStatus.CONFLICT)
    return redirect("card-signed", visit_id, done.number)


@require_GET
def draft_paper(request: HttpRequest, visit_id: UUID, name: str) -> HttpResponse:
    """Give one of the papers as the card stands now; it says that it is a draft."""
    if name not in PAPERS:
        raise Http404
    row = visit_row(visit_id)
    said = request.GET.get("check_bar", "").strip()
    bar = parse_length_mm(said, field="check bar", default_unit="mm") if said else None
    papers = papers_of(proposal(visit_id), check_bar_mm=bar)
    note(person_of(request), "printed", what="draft", object_id=str(visit_id), player_id=row.player_id)
    return _pdf(f"{name}-draft.pdf", paper_again(name, papers.plain(name)))


@require_GET
def signed(request: HttpRequest, visit_id: UUID, number: int) -> HttpResponse:
    """Show a signed card from what it keeps."""
    kept, row = _kept(visit_id, number), visit_row(visit_id)
    note(person_of(request), "saw", what="card", object_id=str(kept.pk), player_id=row.player_id)
    context = {
        "row": row,
        "kept": kept,
        "lines": kept.lines,
        "papers": PAPER_NAMES,
        "others": [c for c in signed_versions(visit_id) if c.number != number],
        "may_order": bool(kept.findings.get("order")),
        "new_order": uuid4(),
        "placed": list(kept.orders.order_by("created_at")),
    }
    return render(request, "studio/card/signed.html", context)


@require_GET
def signed_file(request: HttpRequest, visit_id: UUID, number: int, name: str) -> HttpResponse:
    """Give a paper of a signed card: the setup card is the very file that was signed."""
    if name not in PAPERS:
        raise Http404
    kept, row = _kept(visit_id, number), visit_row(visit_id)
    note(person_of(request), "printed", what="card", object_id=str(kept.pk), player_id=row.player_id)
    if name == "setup-card" and kept.pdf_id is not None:
        with open_blob(kept.pdf_id) as stream:
            return _pdf(f"{name}-{number}.pdf", stream.read())
    return _pdf(f"{name}-{number}.pdf", signed_paper(kept, name))


def _kept(visit_id: UUID, number: int) -> CardVersion:
    try:
        return signed_card(visit_id, number)
    except NotSignedError as exc:
        raise Http404 from exc


def _values(request: HttpRequest, shown: Proposal, key: str) -> dict[str, Any]:
    """What was pressed and typed, as the reading stores it."""
    choice = request.POST.get("choice", "")
    if choice != "chosen":
        return {"choice": "accepted" if choice == "accepted" else "open"}
    said = {name: " ".join(request.POST.get(name, "").split())[:most] for name, most in LONGEST.items()}
    missing = next(
        (word for name, word in (("text", "choice"), ("reason", "reason")) if not said[name]), None
    )
    if missing is not None:
        raise ChoiceMissingError(missing)
    if not key.endswith(".width"):
        return {"choice": "chosen", **said}
    low, high, text = width_range_from(said["text"], shown.inputs.studio.settings.units)
    line = line_named(shown.findings, key)
    between = "heel centres" if line.evidence.startswith(HEEL_CENTRES) else "inside edges"
    return {
        "choice": "chosen",
        "text": text,
        "reason": said["reason"],
        "low_mm": low,
        "high_mm": high,
        "between": between,
    }


def _page(request: HttpRequest, visit_id: UUID, *, said: str = "", status: int = 200) -> HttpResponse:
    shown, scene = proposal(visit_id), scene_of(visit_row(visit_id))
    context = {
        "row": scene.row,
        "visit": scene.visit,
        "frame": frame_of(scene, None),
        "lines": line_parts(shown, scene.log),
        "said": said,
        **_signing(request, visit_id, shown),
    }
    return render(request, "studio/card/card.html", context, status=status)


def _signing(request: HttpRequest, visit_id: UUID, shown: Proposal) -> dict[str, Any]:
    return {
        "sign": sign_part(visit_id, shown),
        "may_decide": role_of(request) in TEACHERS,
        "papers": PAPER_NAMES,
        "inches": shown.inputs.studio.settings.units != "metric",
    }


def _answer(request: HttpRequest, visit_id: UUID, key: str, *, error: str = "") -> HttpResponse:
    """The line drawn anew and the signing beside it; without a script the whole page."""
    if not getattr(request, "htmx", False):
        if not error:
            return redirect(f"{reverse('card', args=[visit_id])}#{anchor_of(key)}")
        return _page(request, visit_id, said=error, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    shown, scene = proposal(visit_id), scene_of(visit_row(visit_id))
    parts = line_parts(shown, scene.log, only=key)
    if not parts:  # the line is gone: the whole page tells
        return HttpResponse(headers={"HX-Redirect": reverse("card", args=[visit_id])})
    part = _with_error(parts[0], request, error) if error else parts[0]
    context = {"row": scene.row, "part": part, "oob": True, **_signing(request, visit_id, shown)}
    return render(request, "studio/card/answer.html", context)


def _with_error(part: LinePart, request: HttpRequest, error: str) -> LinePart:
    """The line with its sentence, and what was typed still there."""
    return replace(
        part,
        error=error,
        text=request.POST.get("text", "")[:400],
        reason=request.POST.get("reason", "")[:400],
    )


def _pdf(name: str, content: bytes) -> HttpResponse:
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response
