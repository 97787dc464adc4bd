"""The studio itself: settings, the shelf, orders."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from evenground.errors import CaptureError
from evenground.records.blobs import open_blob
from evenground.records.models import AuditEntry, Order, Study
from evenground.records.visits import current_snapshot, studio_file
from evenground.studio.access import person_of
from evenground.studio.cameras import cameras
from evenground.studio.forms import SheetForm
from evenground.studio.lists import day_begins, instruments_of
from evenground.studio.stock_room import STOCK_NAME, change_settings, stock_in_use, take_stock
from evenground.units import parse_length_mm

__all__ = [
    "settings_page",
    "stock",
    "stock_file",
    "studio",
]

UNITS = (
    ("metric", "metric: millimetres, kilograms"),
    ("inch quarters", "inches in quarters, pounds"),
    ("inch eighths", "inches in eighths, pounds"),
)
PAPER = (("a4", "A4"), ("us-letter", "US Letter"))


class SettingsForm(SheetForm):
    """How this studio decides and prints."""

    name = forms.CharField(label="Studio's name", max_length=80, help_text="Stands on every card.")
    units = forms.ChoiceField(
        label="Units", choices=UNITS, help_text="Fields take either system; this is what shows."
    )
    paper = forms.ChoiceField(label="Paper", choices=PAPER, widget=forms.RadioSelect)
    margin_deg = forms.FloatField(
        label="Square within",
        help_text="Degrees either side. Default 2, ours. It is never widened for noise.",
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
    )
    valid_weeks = forms.IntegerField(
        label="A card is valid for",
        help_text="Weeks, 1 to 52.",
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    instrument_days = forms.IntegerField(
        label="Check instruments every",
        help_text="Days. An older check is said beside every result. Default 7.",
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    putt_past_m = forms.FloatField(
        label="A putt that misses rolls past by",
        help_text="Metres. Default 0.43.",
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
    )
    order_families = forms.BooleanField(
        label="Expect putter ≤ irons ≤ woods", required=False, help_text="Widths may still be shared."
    )
    mat_thickness_mm = forms.CharField(
        label="Thickness of the mat",
        required=False,
        max_length=20,
        help_text="Over 3 mm under the feet and not under the ball is flagged. Such as 12 mm or 1/2 in.",
    )


class StockForm(SheetForm):
    """A stock list as a file."""

    file = forms.FileField(label="Stock list, a TOML file", widget=forms.FileInput(attrs={"accept": ".toml"}))


class StockTextForm(SheetForm):
    """The stock list as text, to change by hand."""

    text = forms.CharField(
        label="The list in use, to change by hand",
        max_length=1_000_000,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 16, "spellcheck": "false", "class": "typed"}),
    )


@require_GET
def studio(request: HttpRequest) -> HttpResponse:
    """Show what the studio is set to and has, each with the way there."""
    snapshot = current_snapshot()
    file = studio_file(snapshot)
    shelf = stock_in_use()
    facts = {
        "settings_now": file.settings,
        "own_routine": file.routine is not None,
        "own_cues": file.settings.cues is not None,
        "errors_now": [_error_words(k, v) for k, v in file.errors if v is not None],
        "instruments": instruments_of(day_begins(timezone.now())),
        "cameras": cameras(),
        "shelf": shelf,
        "grips": 0 if shelf is None else shelf.items.count(),
        "orders": Order.objects.count(),
        "studies": Study.objects.count(),
        "backed_up": AuditEntry.objects.filter(action="backed up").order_by("-id").first(),
        "units_words": dict(UNITS),
        "paper_words": dict(PAPER),
    }
    return render(request, "studio/studio.html", facts)


def _error_words(field: str, value: float) -> tuple[str, float, str]:
    """A field such as hip_line_deg in words, with its value and unit."""
    words, _, unit = field.rpartition("_")
    return words.replace("_", " "), value, unit


@require_http_methods(["GET", "POST"])
def settings_page(request: HttpRequest) -> HttpResponse:
    """Change how this studio decides and prints."""
    file = studio_file(current_snapshot())
    start = dict(file.settings) | {"mat_thickness_mm": _thickness(file.mat_thickness_mm)}
    form = SettingsForm(request.POST if request.method == "POST" else None, initial=start)
    if request.method == "POST" and form.is_valid():
        given = dict(form.cleaned_data)
        typed = given.pop("mat_thickness_mm")
        try:
            thick = (
                parse_length_mm(typed, field="mat_thickness_mm", low_mm=0.0, high_mm=99.0) if typed else None
            )
            change_settings(given, thick, person_of(request))
        except CaptureError as exc:
            form.add_error(_field_named(form, exc.where), f"{exc.what} {exc.do}")
        else:
            messages.info(request, "Saved. Visits that have begun keep the settings they began with.")
            return redirect("studio")
    status = 422 if form.is_bound else 200
    return render(request, "studio/settings.html", {"form": form}, status=status)


def _thickness(value_mm: float | None) -> str:
    return "" if value_mm is None else f"{value_mm:g} mm"


def _field_named(form: SheetForm, where: str) -> str | None:
    """The field that an error's place names, None when it names none."""
    return next((name for name in form.fields if name in where.replace(" ", "_")), None)


@require_http_methods(["GET", "POST"])
def stock(request: HttpRequest) -> HttpResponse:
    """Show the shelf; take in a list as a file or as changed text."""
    problem = None
    if request.method == "POST":
        sent = request.FILES.get("file")
        raw = sent.read() if sent is not None else request.POST.get("text", "").replace("\r\n", "\n").encode()
        name = str(sent.name)[:80] if sent is not None else STOCK_NAME
        try:
            kept = take_stock(raw, name, person_of(request))
        except CaptureError as exc:
            problem = str(exc)
        else:
            messages.info(request, f"{kept.items.count()} grips are on the shelf, from the next visit on.")
            return redirect("stock")
    return render(request, "studio/stock.html", _shelf(request, problem), status=422 if problem else 200)


def _shelf(request: HttpRequest, problem: str | None) -> dict[str, Any]:
    shelf = stock_in_use()
    text = ""
    if shelf is not None:
        with open_blob(shelf.blob_id) as stream:
            text = stream.read().decode("utf-8")
    return {
        "shelf": shelf,
        "items": [] if shelf is None else list(shelf.items.order_by("id")),
        "problem": problem,
        "file_form": StockForm(),
        "text_form": StockTextForm(initial={"text": request.POST.get("text") or text}),
    }


@require_GET
def stock_file(request: HttpRequest) -> HttpResponse:
    """The list in use, to download."""
    shelf = stock_in_use()
    if shelf is None:
        raise Http404
    with open_blob(shelf.blob_id) as stream:
        response = HttpResponse(stream.read(), content_type="application/toml")
    response["Content-Disposition"] = f'attachment; filename="{STOCK_NAME}"'
    return response
