"""A look at a file before it is added: the layout that fits it, its picture from above, and the reasons.

A layout that this studio has kept is tried first: the exports of one mat look alike. Only when none fits is
one proposed anew. What is kept is what placements were added with, so nothing has to be kept twice.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import PurePath
from typing import Annotated, Literal
from uuid import UUID

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.views.decorators.http import require_POST
from pydantic import BaseModel, ConfigDict, Field

from evenground.capture.guess import Guess, Reason, Stated, guess_layout, mean_of, turned
from evenground.capture.layout import Layout, layout_toml
from evenground.capture.standing import read_any_layout, read_standing
from evenground.capture.textgrid import oriented_geometry
from evenground.errors import EvengroundError
from evenground.floor import Handed
from evenground.measure.recording import FloatArray, MatRecording
from evenground.measure.sums import mean_map
from evenground.records.blobs import open_blob
from evenground.records.models import ReadingBlob
from evenground.report.mat_drawing import mat_drawing
from evenground.studio.pages.answering import answering
from evenground.studio.pages.scene import visit_row
from evenground.studio.pages.uploads import NoRecordingError
from evenground.studio.svg import Picture, picture

__all__ = ["kept_layouts", "look"]

KEPT = 8
"""Layouts of this studio that are tried on a file, the latest first."""
TRUST = {"read": "", "likely": "likely", "check": "check this"}
PLAIN = (".parquet", ".c3d", ".toml")
"""Files that say themselves how they are laid out."""


class SentLook(BaseModel):
    """How the picture is to be turned, and what somebody knows of the mat; `anew` asks for no kept layout."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    turn: Literal[0, 90, 180, 270] = 0
    mirror: bool = False
    anew: bool = False
    cut: bool = False
    pitch_mm: Annotated[float, Field(gt=0.5, le=60.0)] | None = None
    rate_hz: Annotated[float, Field(gt=0.0, le=10_000.0)] | None = None
    unit: Literal["kPa", "N/cm2", "psi", "N", "counts"] | None = None

    @property
    def stated(self) -> Stated:
        """What is known and need not be guessed."""
        pitch = None if self.pitch_mm is None else (self.pitch_mm, self.pitch_mm)
        return Stated(
            pitch_mm=pitch, rate_hz=self.rate_hz, unit=self.unit, turn_deg=self.turn, mirror=self.mirror
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What a look found: a mean map and its pitches, and for a text its layout and why."""

    mean: FloatArray | None
    pitches_mm: tuple[float, float]
    layout: Layout | None = None
    reasons: tuple[Reason, ...] = ()
    kept: bool = False


@require_POST
@answering
def look(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Answer with the layout and the picture of a file that was chosen, without storing anything."""
    row = visit_row(visit_id)
    sent = SentLook.model_validate_json(request.POST.get("sent", "{}"))
    file = request.FILES.get("recording")
    if not isinstance(file, UploadedFile):
        raise NoRecordingError
    name = PurePath(file.name or "recording").name
    seen = _seen(BytesIO(file.read()), name, sent)
    handed: Handed = "left" if row.player.handed == "left" else "right"
    shown = {
        "seen": seen,
        "rows": [(r.key.replace("_", " "), r.value, TRUST[r.trust], r.why) for r in seen.reasons],
        "unsure": [replace(r, key=r.key.replace("_", " ")) for r in seen.reasons if r.trust == "check"],
        "picture": None if seen.mean is None else _picture(seen.mean, seen.pitches_mm, handed),
    }
    layout = "" if seen.layout is None else layout_toml(seen.layout)
    html = render_to_string("studio/visit/mat-look.html", shown)
    return JsonResponse({"state": "seen", "html": html, "layout": layout, "kept": seen.kept})


def _seen(stream: BytesIO, name: str, sent: SentLook) -> Seen:
    if name.lower().endswith(PLAIN):
        return _plain(stream, name)
    if not sent.anew:
        for layout in kept_layouts():
            fitting = _fitting(stream, name, layout, sent)
            if fitting is not None:
                return fitting
    found = guess_layout(stream, file=name, stated=sent.stated, cut=sent.cut)
    return _with_picture(stream, name, found, sent)


def _plain(stream: BytesIO, name: str) -> Seen:
    standing = read_standing(stream, file=name)
    if not isinstance(standing, MatRecording):
        return Seen(mean=None, pitches_mm=(1.0, 1.0))
    pitches = (standing.pitch_x_mm, standing.pitch_y_mm)
    return Seen(mean=mean_map(standing.cells), pitches_mm=pitches)


def _with_picture(stream: BytesIO, name: str, found: Guess, sent: SentLook) -> Seen:
    mean, _ = mean_of(stream, found.layout, file=name, cut=sent.cut)
    pitches, _ = oriented_geometry(found.layout)
    return Seen(mean=mean, pitches_mm=pitches, layout=found.layout, reasons=found.reasons)


def _fitting(stream: BytesIO, name: str, layout: Layout, sent: SentLook) -> Seen | None:
    """The picture by a kept layout, turned as asked; None when the file is not of that shape."""
    moved = turned(layout, sent.turn, mirror=sent.mirror) if sent.turn or sent.mirror else layout
    stream.seek(0)
    try:
        mean, _ = mean_of(stream, moved, file=name, cut=sent.cut)
    except EvengroundError:
        return None
    finally:
        stream.seek(0)
    pitches, _ = oriented_geometry(moved)
    return Seen(mean=mean, pitches_mm=pitches, layout=moved, kept=True)


def kept_layouts() -> Iterator[Layout]:
    """Layouts of mats' texts that placements of this studio were added with, the latest first."""
    links = ReadingBlob.objects.filter(
        reading__kind="placement", name__endswith=".toml", blob__deleted_at__isnull=True
    ).order_by("-pk")
    tried: set[str] = set()
    for digest, name in links.values_list("blob_id", "name")[: 40 * KEPT]:
        if digest in tried or len(tried) >= KEPT:
            continue
        tried.add(digest)
        with open_blob(digest) as stored:
            raw = stored.read()
        try:
            layout = read_any_layout(raw, file=name)
        except EvengroundError:
            continue  # readings of scales have this ending too
        if isinstance(layout, Layout):
            yield layout


def _picture(mean: FloatArray, pitches_mm: tuple[float, float], handed: Handed) -> Picture:
    return picture(
        mat_drawing(mean, *pitches_mm, handed),
        says="The mat from above as it would be read: toes at the top, the left foot on the left.",
        name="mat-look",
        wide_px=560.0,
    )
