"""Measurement studies: take one in, see what came of it, decide with it; and how the cards' claims fared."""

from collections.abc import Iterator
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from evenground.assess.studying import StudyResult
from evenground.errors import EvengroundError
from evenground.fit.forecast import ForecastScore, score_forecasts
from evenground.measure.spread import Spread
from evenground.records.models import Study
from evenground.report.study_drawing import study_drawing
from evenground.studies import STUDIED
from evenground.studio.access import person_of
from evenground.studio.forms import SheetForm
from evenground.studio.study_room import studio_forecasts, study_in_use, take_study, use_study, worked_out
from evenground.studio.svg import Picture, picture

__all__ = ["studies", "study", "study_use"]

KINDS = [(kind, f"{kind}, {what.unit}") for kind, what in STUDIED.items()]
CHART_PX = 560.0
SAMPLE = "person,observer,repeat,value"


class StudyForm(SheetForm):
    """A study as pasted lines, or as a file."""

    kind = forms.ChoiceField(label="What was measured", choices=KINDS)
    text = forms.CharField(
        label="The readings, pasted",
        required=False,
        max_length=200_000,
        strip=False,
        help_text=f"First line: {SAMPLE}. A column “method” compares two ways of measuring.",
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false", "class": "typed"}),
    )
    file = forms.FileField(
        label="or a CSV file", required=False, widget=forms.FileInput(attrs={"accept": ".csv,.txt"})
    )


@require_http_methods(["GET", "POST"])
def studies(request: HttpRequest) -> HttpResponse:
    """Show the studies and how claims fared; take in a new study."""
    bound = (request.POST, request.FILES) if request.method == "POST" else (None, None)
    form = StudyForm(*bound)
    problem = None
    if request.method == "POST" and form.is_valid():
        sent = form.cleaned_data["file"]
        raw = sent.read() if sent else form.cleaned_data["text"].replace("\r\n", "\n").encode()
        name = str(sent.name)[:80] if sent else "the pasted lines"
        try:
            row = take_study(form.cleaned_data["kind"], raw, name, person_of(request))
        except EvengroundError as exc:
            problem = str(exc)
        else:
            return redirect("study", row.pk)
    facts = {
        "studies": [(row, study_in_use(row)) for row in Study.objects.select_related("person")[:60]],
        "form": form,
        "problem": problem,
        "score": _score(),
    }
    return render(request, "studio/studies.html", facts, status=422 if form.is_bound else 200)


def _score() -> ForecastScore | None:
    found = studio_forecasts()
    return score_forecasts(found) if found else None


@require_GET
def study(request: HttpRequest, study_id: UUID) -> HttpResponse:
    """Show what came of one study."""
    row = get_object_or_404(Study, pk=study_id)
    worked = worked_out(row)
    why_not = None
    try:
        worked.errors()
    except EvengroundError as exc:
        why_not = str(exc)
    facts = {
        "study": row,
        "worked": worked,
        "rows": list(_rows(worked)),
        "icc": [i for s in worked.studies.values() if s.observers for i in s.observers.icc],
        "suspects": [s for one in worked.studies.values() for s in one.suspects],
        "notes": list(_notes(worked)),
        "picture": _picture(worked),
        "why_not": why_not,
        "in_use": study_in_use(row),
    }
    return render(request, "studio/study.html", facts)


@require_POST
def study_use(request: HttpRequest, study_id: UUID) -> HttpResponse:
    """Decide with a study from the next visit on."""
    row = get_object_or_404(Study, pk=study_id)
    try:
        use_study(row, person_of(request))
    except EvengroundError as exc:
        messages.info(request, str(exc))
    else:
        messages.info(request, f"In use: visits from now on take this error of {row.kind}.")
    return redirect("study", row.pk)


def _rows(worked: StudyResult) -> Iterator[tuple[str, str, str]]:
    """Figures with their ranges, in the words of the command line."""
    for name, found in worked.studies.items():
        of = f", {name}" if name else ""
        unit = found.unit
        yield f"error of one reading (SEM){of}", f"{found.sem.value:.2f} {unit}", _range(found.sem)
        if found.observers is not None and found.observers.observers > 1:
            other = found.observers.any_sd
            yield f"by any observer{of}", f"{other.value:.2f} {unit}", _range(other)
        yield f"smallest real change, same observer{of}", f"{found.real_change:.2f} {unit}", ""
        if found.real_change_any is not None:
            yield f"smallest real change, any observer{of}", f"{found.real_change_any:.2f} {unit}", ""
    if worked.agreement is not None:
        found_apart = worked.agreement
        one, other_name = worked.methods
        bias = found_apart.bias
        unit = found_apart.unit
        yield f"{one} less {other_name}", f"{bias.value:+.2f} {unit}", f"± {bias.half_width():.2f}"
        limits = f"{found_apart.lower:+.2f} to {found_apart.upper:+.2f} {unit}"
        yield "nineteen differences in twenty", limits, ""


def _range(found: Spread) -> str:
    return f"{found.interval.low:.2f} to {found.interval.high:.2f}"


def _notes(worked: StudyResult) -> Iterator[str]:
    for found in worked.studies.values():
        yield from found.notes
        if found.reason:
            yield found.reason
    if worked.agreement is not None:
        yield from worked.agreement.notes
    yield from worked.why_not.values()


def _picture(worked: StudyResult) -> Picture:
    words = "; ".join(f"{what} {figure} {span}".rstrip() for what, figure, span in _rows(worked))
    return picture(study_drawing(worked), says=words, name="study", wide_px=CHART_PX)
