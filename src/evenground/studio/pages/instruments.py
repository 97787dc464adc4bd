"""Instruments: each with its opening check, its picture, and what a failed one puts in doubt."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any, BinaryIO, cast
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from evenground.errors import EvengroundError
from evenground.instruments import STEPS, Instrument, InstrumentCheck, Step, latest
from evenground.measure.instrument_judge import remarks_of, trust
from evenground.records.audit import note
from evenground.records.instruments import doubted, instrument_of, put_in_use
from evenground.records.models import Instrument as InstrumentRow
from evenground.records.visits import current_snapshot, studio_file
from evenground.report.instrument_drawing import MatOutline, mat_check_drawing
from evenground.report.instrument_words import figure_lines
from evenground.studio.access import person_of
from evenground.studio.days import today_here
from evenground.studio.forms import SheetForm
from evenground.studio.lists import day_begins, instruments_of
from evenground.studio.opening import STEPS_OF, SentFile, StepSent, take_step
from evenground.studio.svg import Picture, picture

__all__ = ["instrument", "instrument_retire", "instruments"]

KINDS = ("mat", "scales", "bar", "protractor", "camera", "printer", "tape measure", "caliper", "other")

HOW: dict[Step, tuple[str, str]] = {
    "empty mat": (
        "Nobody on it, 15 s.",
        "Dead, stuck, noisy and drifting cells are found, and filled from then on.",
    ),
    "dead weight": (
        "20 kg or more, wholly on the mat, untouched, 30 s.",
        "Whatever sway it shows is the mat's own.",
    ),
    "known weight": (
        "Once a month: one weight in nine places, three by three, a few seconds each, all files at once.",
        "How the gain changes over the mat is taken out of every load share from then on.",
    ),
    "flipped bar": (
        "Read one fixed line, flip the bar end for end, read it again.",
        "Half of the difference is the bar's own error.",
    ),
    "printed length": ("Lay a steel ruler on the printed 100 mm.", "What the printer makes of a length."),
}
"""How a step is done, and what it is for."""


EVERY: dict[Step, timedelta] = {"known weight": timedelta(days=31)}
"""How long a step holds beyond its day; nine places are not for every morning."""


class InstrumentForm(SheetForm):
    """Something that measures."""

    kind = forms.ChoiceField(label="Kind", choices=[(k, k) for k in KINDS])
    name = forms.CharField(label="What you call it", max_length=120)


@dataclass(frozen=True, slots=True, kw_only=True)
class StepView:
    """One step on the page: how it is done, what its newest check found, and what to send."""

    step: Step
    how: str
    why: str
    check: InstrumentCheck | None
    today: bool
    due: bool
    lines: tuple[tuple[str, str], ...]
    remarks: tuple[str, ...]
    key: str


@require_http_methods(["GET", "POST"])
def instruments(request: HttpRequest) -> HttpResponse:
    """Show the instruments and their checks; take in a new one."""
    form = InstrumentForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        row = InstrumentRow.objects.create(**form.cleaned_data)
        put_in_use()
        note(person_of(request), "made", what="instrument", object_id=str(row.pk))
        messages.info(request, f"{row.name} is on the list.")
        return redirect("instruments")
    facts = {"form": form, "instruments": instruments_of(day_begins(timezone.now()))}
    return render(request, "studio/instruments.html", facts, status=422 if form.is_bound else 200)


@require_POST
def instrument_retire(request: HttpRequest, instrument_id: UUID) -> HttpResponse:
    """Take an instrument out of use; its checks stay."""
    row = get_object_or_404(InstrumentRow, pk=instrument_id, retired_at__isnull=True)
    row.retired_at = timezone.now()
    row.save(update_fields=["retired_at"])
    put_in_use()
    note(person_of(request), "took out of use", what="instrument", object_id=str(row.pk))
    messages.info(request, f"{row.name} is out of use; its checks stay.")
    return redirect("instruments")


@require_http_methods(["GET", "POST"])
def instrument(request: HttpRequest, instrument_id: UUID) -> HttpResponse:
    """Show one instrument's check, step by step; take in a step."""
    row = get_object_or_404(InstrumentRow, pk=instrument_id, retired_at__isnull=True)
    problem, at = None, ""
    if request.method == "POST":
        at = request.POST.get("step", "")
        step = next((s for s in STEPS_OF.get(row.kind, ()) if s == at), None)
        if step is None:
            return redirect("instrument", instrument_id)
        try:
            passed = take_step(row, step, _sent(request), person_of(request))
        except EvengroundError as exc:
            problem = str(exc)
        else:
            said = "in order" if passed else "not in order"
            messages.info(request, f"{row.name}, {step}: {said}.")
            return redirect("instrument", instrument_id)
    facts = _facts(row) | {"problem": problem, "problem_at": at}
    return render(request, "studio/instrument.html", facts, status=422 if problem else 200)


def _sent(request: HttpRequest) -> StepSent:
    files = [SentFile(str(f.name), cast("BinaryIO", f)) for f in request.FILES.getlist("recordings")]
    layout = request.FILES.get("layout")
    typed = {name: request.POST.get(name, "")[:400] for name in ("mass", "normal", "flipped", "measured")}
    return StepSent(
        recordings=files,
        layout=None if layout is None else SentFile(str(layout.name), cast("BinaryIO", layout)),
        **typed,
    )


def _facts(row: InstrumentRow) -> dict[str, Any]:
    known = instrument_of(row)
    limit = studio_file(current_snapshot()).settings.instrument_days
    newest = latest(known)
    begins = day_begins(timezone.now())
    return {
        "row": row,
        "doubts": trust(known, day=today_here(), limit_days=limit),
        "limit_days": limit,
        "steps": [_step(step, newest.get(step), begins) for step in STEPS_OF.get(row.kind, ())],
        "by_hand": newest.get("by hand"),
        "picture": _picture(row, known),
        "doubted": doubted(row),
        "history": sorted(known.checks, key=lambda c: c.at, reverse=True)[:30],
        "text_exports": row.details.get("layout") is not None,
    }


def _step(step: Step, check: InstrumentCheck | None, begins: Any) -> StepView:
    figures = None if check is None else check.figures
    how, why = HOW[step]
    return StepView(
        step=step,
        how=how,
        why=why,
        check=check,
        today=check is not None and check.at >= begins,
        due=check is None or check.at < begins - EVERY.get(step, timedelta()),
        lines=() if figures is None else tuple(figure_lines(figures)),
        remarks=() if figures is None else remarks_of(figures),
        key=str(STEPS.index(step)),
    )


def _picture(row: InstrumentRow, known: Instrument) -> Picture | None:
    """The mat from above with what its checks found; None before its size is known."""
    sizes = {k: row.details.get(k) for k in ("rows", "columns", "pitch_x_mm", "pitch_y_mm")}
    if any(v is None for v in sizes.values()):
        return None
    figures = [c.figures for c in latest(known).values() if c.figures is not None]
    drawing = mat_check_drawing(MatOutline(**{k: v for k, v in sizes.items() if v is not None}), figures)
    bad = sum(len(getattr(f, "bad", ())) for f in figures)
    places = sum(len(getattr(f, "gain", ())) for f in figures)
    says = f"The mat from above: {bad} faulty cells, known weights in {places} places."
    return picture(drawing, says=says, name="mat-check", wide_px=440.0, margin_px=(12.0, 6.0))
