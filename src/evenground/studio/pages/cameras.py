"""Cameras and sheets: what is printed for photos, and the lenses that photos are measured with."""

from dataclasses import dataclass
from typing import BinaryIO, cast
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from evenground.errors import EvengroundError
from evenground.records.audit import note
from evenground.records.instruments import put_in_use
from evenground.records.models import Instrument
from evenground.records.visits import current_snapshot, studio_file
from evenground.report.print_sheets import SHEETS, WHAT_FOR, print_sheet_pdf, sheet_pages
from evenground.studio.access import person_of
from evenground.studio.cameras import calibrate_camera, cameras, choose_camera
from evenground.studio.forms import SheetForm

__all__ = ["cameras_page", "choose", "recalibrate", "sheet"]

PAPERS = {"a4": "A4", "us-letter": "US Letter"}


class CameraForm(SheetForm):
    """A camera that is not on the list yet."""

    name = forms.CharField(
        label="What you call it",
        max_length=120,
        help_text="Such as the phone's name, and which of its lenses.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """One printable sheet: its name for the address, its title, its pages on each paper, what it is for."""

    name: str
    title: str
    pages: tuple[tuple[str, str, int], ...]
    what: str


@require_http_methods(["GET", "POST"])
def cameras_page(request: HttpRequest) -> HttpResponse:
    """Show the sheets and the cameras; take in a new camera."""
    form = CameraForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        row = Instrument.objects.create(kind="camera", name=form.cleaned_data["name"])
        put_in_use()
        note(person_of(request), "made", what="instrument", object_id=str(row.pk))
        messages.info(request, f"{row.name} is on the list. Calibrate it next.")
        return redirect("cameras")
    return _page(request, form)


def _page(
    request: HttpRequest, form: CameraForm, *, problem: str = "", at: UUID | None = None
) -> HttpResponse:
    paper = studio_file(current_snapshot()).settings.paper
    facts = {
        "form": form,
        "sheets": _sheets(paper),
        "cameras": cameras(),
        "problem": problem,
        "problem_at": at,
    }
    status = 422 if problem or form.is_bound else 200
    return render(request, "studio/cameras.html", facts, status=status)


def _sheets(first: str) -> list[SheetRow]:
    """Every sheet, the studio's own paper first."""
    papers = sorted(PAPERS, key=lambda p: p != first)
    return [
        SheetRow(
            name=name,
            title=name.replace("-", " "),
            pages=tuple((p, PAPERS[p], sheet_pages(name, p)) for p in papers),
            what=WHAT_FOR[name],
        )
        for name in SHEETS
    ]


@require_POST
def recalibrate(request: HttpRequest, instrument_id: UUID) -> HttpResponse:
    """Work out a camera's lens from photos of the board."""
    row = get_object_or_404(Instrument, pk=instrument_id, kind="camera", retired_at__isnull=True)
    sent = [(str(f.name), cast("BinaryIO", f)) for f in request.FILES.getlist("photos")]
    try:
        found = calibrate_camera(row, sent, person_of(request))
    except EvengroundError as exc:
        return _page(request, CameraForm(), problem=f"{exc.what} {exc.do}", at=row.pk)
    messages.info(request, f"{row.name}: {found.views} photos used, {found.rms_px:.2f} px left over.")
    return redirect("cameras")


@require_POST
def choose(request: HttpRequest, instrument_id: UUID) -> HttpResponse:
    """Make a camera the one that pages offer first."""
    row = get_object_or_404(Instrument, pk=instrument_id, kind="camera", retired_at__isnull=True)
    choose_camera(row)
    note(person_of(request), "chose", what="instrument", object_id=str(row.pk))
    messages.info(request, f"Photos are measured with {row.name} unless a page says otherwise.")
    return redirect("cameras")


@require_GET
def sheet(request: HttpRequest, sheet: str) -> HttpResponse:
    """Give a printable sheet at true scale, as `evenground print` writes it."""
    paper = request.GET.get("paper", "a4")
    if sheet not in SHEETS or paper not in PAPERS:
        raise Http404
    response = HttpResponse(print_sheet_pdf(sheet, paper), content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{sheet}-{paper}.pdf"'
    return response
