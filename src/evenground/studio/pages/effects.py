"""What moves this player, from all trials of one visit, as a page of that visit."""

from dataclasses import dataclass
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from evenground.assess.effects import effects_of
from evenground.fit.effects import Effects
from evenground.records.audit import note
from evenground.report.effects_drawing import effects_drawing
from evenground.report.effects_words import change_words, effect_title, effect_verdict, never_varied_words
from evenground.studio.access import person_of
from evenground.studio.pages.frame import frame_of
from evenground.studio.pages.scene import scene_of, visit_row
from evenground.studio.svg import Picture, picture

__all__ = ["effects"]

CHART_PX = 560.0


@dataclass(frozen=True, slots=True, kw_only=True)
class EffectsPart:
    """One response: its table and its picture."""

    found: Effects
    rows: tuple[tuple[str, str, str], ...]
    never: str
    picture: Picture | None


@require_GET
def effects(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Show what moves the hip line, the turn and the aim of this player."""
    scene = scene_of(visit_row(visit_id))
    note(person_of(request), "saw", what="effects", object_id=str(visit_id), player_id=scene.row.player_id)
    worked = effects_of(scene.visit, scene.studio)
    facts = {
        "row": scene.row,
        "visit": scene.visit,
        "frame": frame_of(scene, None),
        "parts": [_part(number, found) for number, found in enumerate(worked.found.values())],
        "not_told": worked.not_told,
    }
    return render(request, "studio/effects.html", facts)


def _part(number: int, found: Effects) -> EffectsPart:
    rows = tuple(
        (effect_title(e), "" if e.change is None else change_words(e.change), effect_verdict(e))
        for e in found.effects
    )
    says = "; ".join(f"{title}: {moved} {word}" for title, moved, word in rows)
    drawn = None
    if rows:
        drawn = picture(effects_drawing(found), says=says, name=f"effects-{number}", wide_px=CHART_PX)
    return EffectsPart(found=found, rows=rows, never=never_varied_words(found), picture=drawn)
