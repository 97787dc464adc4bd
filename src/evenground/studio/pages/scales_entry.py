"""Bathroom scales typed on the ground page: kept as a file of readings, like a recording."""

import json
from io import BytesIO
from typing import Annotated, Any, Literal
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST
from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

from evenground.capture.scales_file import scales_toml
from evenground.errors import CaptureError
from evenground.measure.scales import Scale, ScaleReadings
from evenground.studio.pages.answering import answering, saved_answer, sender_of, sent_as
from evenground.studio.pages.scene import system_of, visit_row
from evenground.studio.pages.uploads import save_recording
from evenground.studio.typed import unit_of
from evenground.units import LengthSystem, parse_length_mm, parse_mass_kg
from evenground.visit import Family, Footwear, StanceTime

__all__ = ["HalfScalesError", "scales"]

Text = Annotated[str, Field(max_length=40)]


class HalfScalesError(CaptureError):
    """A scale is missing."""

    do = "Type what each of the two scales shows, or each of the four."

    def __init__(self, missing: str) -> None:
        super().__init__(missing)
        self.where, self.what = "scales", f"The scale under the {missing} is missing."


class SentScales(BaseModel):
    """What the scales showed, where they stood, and which standing it was."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    id: UUID
    at: AwareDatetime | None = None
    left: Text
    right: Text
    left_forefoot: Text = ""
    right_forefoot: Text = ""
    apart: Text = ""
    ahead: Text = ""
    stance: StanceTime
    footwear: Footwear
    family: Family | Literal[""] = ""


@require_POST
@answering
def scales(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Keep one standing on scales as a placement."""
    row = visit_row(visit_id)
    sent = sent_as(request, SentScales)
    text = scales_toml(_readings(sent, system_of(row)))
    fields: dict[str, Any] = {"id": str(sent.id), "stance": sent.stance, "footwear": sent.footwear}
    if sent.family:
        fields["family"] = sent.family
    files = {"recording": ("scales.toml", BytesIO(text.encode()))}
    return saved_answer(save_recording(row, json.dumps(fields), files, sender_of(request)))


def _readings(sent: SentScales, system: LengthSystem) -> ScaleReadings:
    typed = {
        ("left", "rear"): sent.left,
        ("right", "rear"): sent.right,
        ("left", "forefoot"): sent.left_forefoot,
        ("right", "forefoot"): sent.right_forefoot,
    }
    in_parts = bool(sent.left_forefoot.strip() or sent.right_forefoot.strip())
    apart, ahead = (
        _length(text, name, system) for name, text in (("apart", sent.apart), ("ahead", sent.ahead))
    )
    found = []
    for (foot, part), text in typed.items():
        if part == "forefoot" and not in_parts:
            continue
        if not text.strip():
            named = {"rear": "heel" if in_parts else "foot", "forefoot": "forefoot"}[part]
            raise HalfScalesError(f"{foot} {named}")
        found.append(_scale(foot, part, text, (apart, ahead), in_parts=in_parts, system=system))
    return ScaleReadings(scales=tuple(found))


def _scale(
    foot: str,
    part: str,
    text: str,
    places: tuple[float | None, float | None],
    *,
    in_parts: bool,
    system: LengthSystem,
) -> Scale:
    apart, ahead = places
    away = -0.5 if foot == "left" else 0.5
    forward = None if ahead is None else ahead if part == "forefoot" else 0.0
    kg = parse_mass_kg(text, field=f"{foot} {part}", default_unit=unit_of("x_kg", system), high_kg=300.0)
    return Scale(
        foot="left" if foot == "left" else "right",
        part="forefoot" if part == "forefoot" else "heel" if in_parts else "whole",
        kg=(kg,),
        x_mm=None if apart is None else away * apart,
        y_mm=forward if in_parts else None,
    )


def _length(text: str, name: str, system: LengthSystem) -> float | None:
    if not text.strip():
        return None
    return parse_length_mm(
        text, field=name, default_unit=unit_of("x_mm", system), low_mm=20.0, high_mm=1500.0
    )
