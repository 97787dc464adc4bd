"""Two pages beside the checks: the held load, beside ground, and practice between visits, beside aim."""

from collections.abc import Iterator
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from evenground.assess.extras import PracticeFinding, years_of
from evenground.estimate import Estimate
from evenground.fit.held_load import HeldLoadFit, load_limit, predicted_shift_mm
from evenground.fit.held_load_constants import FIRST_KG, LOAD_AHEAD_SD_MM
from evenground.needs import load_not_offered
from evenground.report.extras_drawing import held_load_drawing, practice_drawing
from evenground.report.extras_words import (
    LOAD_CAUTIONS,
    held_load_words,
    limit_words,
    practice_words,
    score_words,
)
from evenground.report.handouts import handout_pdf, practice_handout
from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.frame import frame_of
from evenground.studio.pages.scene import Scene, scene_of, visit_row
from evenground.studio.pages.view import CheckView, Doing, KeepField, KeepForm, Paste
from evenground.studio.svg import Picture, picture
from evenground.visit import HeldLoadPair

__all__ = ["held_load", "practice", "practice_sheet"]

EACH = 3
GATE_MM, GATE_M = 80.0, 1.5
PRACTICE_CAUTIONS = (
    "Posts and gates are for practice only: nothing may lie on the ground to help an aim in play.",
)


@require_GET
def held_load(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """The held load: cautions and limit, the prediction, pairs, and whether they agree."""
    scene = scene_of(visit_row(visit_id))
    gated = load_not_offered(scene.visit)
    sentences = [f"{gated.capitalize()}: no mass is held."] if gated else list(_load_words(scene))
    shown = CheckView(
        check="ground",
        title="Held load",
        under="a known mass at the chest, in pairs of placements without and with it",
        doing=_load_doing(scene, gated),
        cautions=LOAD_CAUTIONS,
        trials=_lines(scene, "held load", LOAD_COLUMNS, "Pairs so far"),
        pictures=tuple(_load_pictures(scene)),
        keep=None if gated else _load_keep(scene),
        paste=None
        if gated
        else Paste(columns="load_kg,load_ahead_mm,without_mm,with_mm", example="2,310,92,97"),
    )
    return _page(request, scene, shown, sentences, table="held load")


@require_GET
def practice(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Practice between visits: lines of the sheet, and what the aims let one expect."""
    scene = scene_of(visit_row(visit_id))
    shown = CheckView(
        check="aim",
        title="Aim practice",
        under="balls rolled through a gate between visits, as the player's sheet has them",
        doing=Doing(
            what="Copy the sheet, a line each day.",
            why="Ten balls or more a gate are held against the aims; fewer are only told.",
        ),
        cautions=PRACTICE_CAUTIONS,
        trials=_lines(scene, "aim practice", PRACTICE_COLUMNS, "Practised so far"),
        pictures=tuple(_practice_pictures(scene)),
        keep=_practice_keep(scene),
        paste=Paste(columns="day,distance_m,gate_mm,rolled,passed", example="2026-05-16,1.5,80,10,7"),
    )
    return _page(request, scene, shown, list(_practice_words(scene)), table="practice")


@require_GET
def practice_sheet(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """An empty practice sheet, with the gate that was used last."""
    scene = scene_of(visit_row(visit_id))
    last = scene.visit.practice[-1] if scene.visit.practice else None
    gate_mm, far_m = (GATE_MM, GATE_M) if last is None else (last.gate_mm, last.distance_m)
    settings = scene.studio.settings
    sheet = practice_handout(gate_mm, far_m, system=settings.units, paper=settings.paper)
    response = HttpResponse(handout_pdf(sheet), content_type="application/pdf")
    response["Content-Disposition"] = 'inline; filename="practice.pdf"'
    return response


def _page(
    request: HttpRequest, scene: Scene, shown: CheckView, sentences: list[str], *, table: str
) -> HttpResponse:
    context: dict[str, Any] = {
        "row": scene.row,
        "visit": scene.visit,
        "frame": frame_of(scene, shown.check),
        "check": shown,
        "skip": {"not_asked": ""},
        "sentences": sentences,
        "table": table,
        "here": request.path,
        "back": shown.check,
        "sheet": table == "practice",
        "settling": not scene.fresh,
    }
    return render(request, "studio/visit/aside.html", context)


def _kept(scene: Scene, of: type) -> list[Any]:
    findings = () if scene.findings is None else scene.findings.findings
    return [f.value for f in findings if isinstance(f.value, of)]


# Held load ------------------------------------------------------------------------------------------------

LOAD_COLUMNS = (
    ("load_kg", "mass", "size"),
    ("load_ahead_mm", "its middle ahead of the heels", "size"),
    ("without_mm", "weight without it", "size"),
    ("with_mm", "weight with it", "size"),
)


def _body_kg(scene: Scene) -> float | None:
    return None if scene.visit.body is None else scene.visit.body.mass_kg


def _load_doing(scene: Scene, gated: str | None) -> Doing:
    if gated is not None:
        return Doing(what="A held load is not asked.", why=f"{gated.capitalize()}.", enough=True)
    if _body_kg(scene) is None:
        return Doing(what="Weigh the player first.", why="The prediction needs the mass of the body.")
    taken = len(scene.visit.held_load)
    if taken >= EACH and any(f.word != "cannot tell" for f in _kept(scene, HeldLoadFit)):
        return Doing(what="Enough.", why="The pairs tell.", enough=True)
    return Doing(
        what=f"Pair {taken + 1}: ten seconds without the mass, ten with it.",
        why="Without moving the feet; the mass close to the chest, its middle measured from the heels.",
        rest=taken > 0,
    )


def _load_words(scene: Scene) -> Iterator[str]:
    """The limit, the prediction, what was found, and what could not be."""
    body_kg = _body_kg(scene)
    yield limit_words(load_limit(body_kg, years_of(scene.visit)))
    fits = _kept(scene, HeldLoadFit)
    last = scene.visit.held_load[-1] if scene.visit.held_load else None
    if body_kg is not None and not fits:
        yield _prediction(body_kg, last)
    for fit in fits:
        yield held_load_words(fit)
        yield from (f"{note.capitalize()}." for note in fit.notes)
    findings = () if scene.findings is None else scene.findings.findings
    yield from (f.reason or "" for f in findings if f.kind.startswith("held load") and f.value is None)


def _prediction(body_kg: float, last: HeldLoadPair | None) -> str:
    """Before anything is held: by the first mass, held where chests mostly are."""
    load_kg = FIRST_KG.value if last is None else last.load_kg
    ahead_mm = 300.0 if last is None else last.load_ahead_mm
    weight = Estimate(value=100.0, se=30.0, n=1, unit="mm")
    ahead = Estimate(value=ahead_mm, se=LOAD_AHEAD_SD_MM.value, n=1, unit="mm")
    told = predicted_shift_mm(body_kg, weight, load_kg, ahead)
    return (
        f"{load_kg:g} kg, {ahead_mm:.0f} mm ahead of the heels, should move the balance {told.value:.0f} mm "
        f"(± {told.half_width():.0f}) ahead if the body does not give way."
    )


def _load_pictures(scene: Scene) -> Iterator[Picture]:
    for number, fit in enumerate(_kept(scene, HeldLoadFit)):
        yield picture(
            held_load_drawing(fit),
            says=held_load_words(fit),
            name=f"held-load-{number}",
            wide_px=560.0,
            title=f"{fit.load_kg:g} kg",
        )


def _load_keep(scene: Scene) -> KeepForm:
    last = scene.visit.held_load[-1] if scene.visit.held_load else None
    load = f"{FIRST_KG.value:g} kg" if last is None else f"{last.load_kg:g} kg"
    ahead = "" if last is None else f"{last.load_ahead_mm:g} mm"
    return KeepForm(
        kind="held load",
        button="Keep this pair",
        in_one=True,
        fields=(
            KeepField(name="load_kg", label="mass", value=load),
            KeepField(name="load_ahead_mm", label="its middle ahead of the heels", value=ahead),
            KeepField(name="without_mm", label="weight without it, ahead of the heels", once=True),
            KeepField(name="with_mm", label="weight with it", once=True),
        ),
    )


# Practice -------------------------------------------------------------------------------------------------

PRACTICE_COLUMNS = (
    ("day", "day", "words"),
    ("distance_m", "ball to gate", "size"),
    ("gate_mm", "gate", "size"),
    ("rolled", "rolled", "count"),
    ("passed", "passed", "count"),
)


def _practice_words(scene: Scene) -> Iterator[str]:
    for found in _kept(scene, PracticeFinding):
        yield score_words(found.score)
        yield from (f"{note.capitalize()}." for note in found.score.notes)
        if found.compared is None:
            yield "No aims were taken at this visit to hold it against."
        else:
            yield f"By this visit's aims, {found.condition}. {practice_words(found.compared)}"


def _practice_pictures(scene: Scene) -> Iterator[Picture]:
    found = _kept(scene, PracticeFinding)
    if found:
        yield picture(
            practice_drawing([f.compared or f.score for f in found]),
            says=" ".join(_practice_words(scene)),
            name="practice",
            wide_px=560.0,
            margin_px=(60.0, 0.0),
            title="Expected and counted",
        )


def _practice_keep(scene: Scene) -> KeepForm:
    last = scene.visit.practice[-1] if scene.visit.practice else None
    return KeepForm(
        kind="aim practice",
        button="Keep this line",
        in_one=True,
        fields=(
            KeepField(name="day", label="day, such as 2026-05-16", once=True),
            KeepField(
                name="distance_m",
                label="ball to gate",
                value=f"{GATE_M:g} m" if last is None else f"{last.distance_m:g} m",
            ),
            KeepField(
                name="gate_mm",
                label="clear width of the gate",
                value=f"{GATE_MM:g} mm" if last is None else f"{last.gate_mm:g} mm",
            ),
            KeepField(name="rolled", label="balls rolled", once=True),
            KeepField(name="passed", label="passed", once=True),
        ),
    )


def _lines(scene: Scene, kind: str, columns: tuple[tuple[str, str, Any], ...], title: str) -> Grid | None:
    slots = scene.log.of(kind)
    if not slots:
        return None
    number = slots[0].kind.keys[0]
    return Grid(
        name=kind.replace(" ", "-"),
        title=title,
        columns=tuple(Column(label=words) for _, words, _ in columns),
        lines=tuple(
            Line(
                label=str(slot.key[0]),
                cells=tuple(
                    cell(
                        scene.log,
                        scene.system,
                        Spot(kind=kind, keys={number: slot.key[0]}, field=field),
                        f"{slot.key[0]}, {words}",
                        control=control,
                    )
                    for field, words, control in columns
                ),
                take_back=" ".join(map(str, slot.readings)),
            )
            for slot in slots
        ),
    )
