"""The live mat on a visit's page: one streaming answer of pictures, and the words to record, keep, let go.

A stream is a row of messages::

    kind    1 byte   "S" how things are, "P" a picture
    sizes   4 + 4    bytes of JSON, bytes of cells; little-endian
    JSON    ...      `state_of` or `picture_of`
    cells   ...      rows x columns bytes, row after row from the heels: 0 to 255 of `full`

It ends by itself after half a minute and the page asks again, so that whoever may not look any more is
stopped at the door within that time.
"""

import asyncio
import base64
import json
import struct
import time
from collections.abc import AsyncIterator
from typing import Annotated, Any
from uuid import UUID, uuid5

import numpy as np
from django.http import HttpRequest, HttpResponse, JsonResponse, StreamingHttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST
from pydantic import BaseModel, ConfigDict, Field

from evenground.assess.ground import foot_states
from evenground.assess.live import LivePicture, Player
from evenground.assess.live_desk import LiveView
from evenground.estimate import Estimate
from evenground.measure.ground import Ground
from evenground.measure.live import Moment
from evenground.measure.recording import FloatArray
from evenground.records.models import Reading
from evenground.report.words import estimate_text
from evenground.studio.ending import ENDING
from evenground.studio.mats import MatHub, MatState
from evenground.studio.own_mat import the_hub, waiting_for
from evenground.studio.pages.answering import answering, saved_answer, sender_of, sent_as
from evenground.studio.pages.scene import Scene, scene_of, visit_row
from evenground.studio.pages.uploads import save_recording
from evenground.studio.waiting import About, NotWaitingError, Waiting, kept_id
from evenground.units import LengthSystem
from evenground.visit import Family, Footwear, StanceTime

__all__ = ["choose", "discard", "keep", "record", "stop", "stream"]

STREAM_S = 30.0
_LOOK_S = 0.01
_STATE_S = 1.0
_PIECE = struct.Struct("<cII")
_FULL_KPA = 40.0
"""Full ink is never less pressure than this, so that an empty mat's noise is not drawn as feet (ours)."""


class _Sent(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    id: UUID


class SentRecord(_Sent):
    """What is to be recorded; without seconds until it is stopped."""

    stance: StanceTime
    footwear: Footwear
    family: Family | None = None
    seconds: Annotated[float, Field(ge=0.5, le=600.0)] | None = None


class SentKeep(_Sent):
    """What is to be kept, and as what when that differs from what was said at its beginning."""

    stance: StanceTime
    footwear: Footwear
    family: Family | None = None


class SentName(BaseModel):
    """The stream that is meant."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    name: Annotated[str, Field(min_length=1, max_length=200)]


@require_GET
def stream(request: HttpRequest, visit_id: UUID) -> StreamingHttpResponse:
    """Pictures of the mat as they come."""
    row = visit_row(visit_id)
    waiting_for(row.pk)
    answer = StreamingHttpResponse(
        _messages(scene_of(row, patience_s=0.0)), content_type="application/octet-stream"
    )
    answer["Content-Encoding"] = "identity"  # a picture that waits to be packed comes late
    answer["X-Accel-Buffering"] = "no"
    return answer


@require_POST
@answering
def record(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Begin to record."""
    sent = sent_as(request, SentRecord)
    scene = scene_of(visit_row(visit_id), patience_s=0.0)
    sender, who = sender_of(request), _player(scene)
    about = About(
        id=sent.id,
        visit=visit_id,
        by="" if sender.person is None else sender.person.name,
        begun_at=timezone.now(),
        stance=sent.stance,
        footwear=sent.footwear,
        family=sent.family,
        seconds=sent.seconds,
        handed=who.handed,
        mass_kg=who.mass_kg,
        feet=dict(who.feet),
    )
    the_hub().record(about)
    return JsonResponse({"state": "recording"})


@require_POST
@answering
def stop(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """End the recording now."""
    the_hub().stop(sent_as(request, _Sent).id)
    return JsonResponse({"state": "stopped"})


@require_POST
@answering
def keep(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Keep a recording that waits: its file and its placement; asked again it changes nothing."""
    sent = sent_as(request, SentKeep)
    row, hub = visit_row(visit_id), the_hub()
    ids = (sent.id, uuid5(sent.id, str(visit_id)))
    before = Reading.objects.filter(pk__in=ids, visit=row).first()
    if before is not None:
        hub.waiting.let_go(sent.id)
        return JsonResponse({"state": "saved", "seq": before.seq, "reading": str(before.pk)})
    waiting = _own(hub, sent.id, visit_id)
    fields = {"id": str(kept_id(waiting, visit_id)), "stance": sent.stance, "footwear": sent.footwear}
    fields |= {"family": sent.family} if sent.family is not None else {}
    saved = save_recording(row, json.dumps(fields), hub.waiting.files_of(waiting), sender_of(request))
    hub.waiting.let_go(sent.id)
    return saved_answer(saved)


@require_POST
@answering
def discard(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Let a recording go for good; a file from the folder stays where it is."""
    sent, hub = sent_as(request, _Sent), the_hub()
    if any(w.id == sent.id for w in hub.waiting.for_visit(visit_id)):
        hub.waiting.let_go(sent.id)
    return JsonResponse({"state": "discarded"})


@require_POST
@answering
def choose(request: HttpRequest, visit_id: UUID) -> HttpResponse:
    """Take the stream that is meant."""
    the_hub().choose(sent_as(request, SentName).name)
    return JsonResponse({"state": "chosen"})


def _player(scene: Scene) -> Player:
    body = scene.visit.body
    return Player(
        handed=scene.visit.player.handed,
        mass_kg=None if body is None else body.mass_kg,
        feet=foot_states(body),
    )


def _own(hub: MatHub, recording: UUID, visit: UUID) -> Waiting:
    """One that waits for this visit; another visit's is none of its business."""
    found = hub.waiting.get(recording)
    if found.visit not in (visit, None):
        raise NotWaitingError(str(recording))
    return found


# The stream -----------------------------------------------------------------------------------------------


async def _messages(scene: Scene) -> AsyncIterator[bytes]:
    """Pictures and states for half a minute."""
    hub = the_hub()
    hub.player(_player(scene))
    end = time.monotonic() + STREAM_S
    told, told_s, seen, full = "", -_STATE_S, -1, 0.0
    while time.monotonic() < end and not ENDING.is_set():
        hub.look()
        view = hub.view
        if time.monotonic() - told_s >= _STATE_S or _turned(hub, told):
            text = json.dumps(state_of(hub, scene.id, scene.system))
            if text != told or time.monotonic() - told_s >= 5.0 * _STATE_S:
                yield _message(b"S", text, b"")
            told, told_s = text, time.monotonic()
        picture = None if view is None else view.picture
        if view is not None and picture is not None and picture.number != seen:
            seen = picture.number
            full = _full(picture.cells, full, hub.state)
            yield _message(b"P", json.dumps(picture_of(view, picture, full)), _bytes(picture.cells, full))
        await asyncio.sleep(_LOOK_S)


def _turned(hub: MatHub, told: str) -> bool:
    """Whether a recording has begun or ended since the page was told."""
    running = hub.state.recording
    return (running is not None) != ('"recording": {' in told)


def _message(kind: bytes, text: str, cells: bytes) -> bytes:
    said = text.encode()
    return _PIECE.pack(kind, len(said), len(cells)) + said + cells


def _full(cells: FloatArray, before: float, state: MatState) -> float:
    """The pressure of full ink: the highest seen, slowly forgotten."""
    least = _FULL_KPA if state.head is not None and state.head.unit == "kPa" else 1.0
    return max(float(cells.max()), 0.999 * before, least)


def _bytes(cells: FloatArray, full: float) -> bytes:
    return bytes(np.minimum(cells * (255.0 / full), 255.0).astype(np.uint8))


def picture_of(view: LiveView, picture: LivePicture, full: float) -> dict[str, Any]:
    """A picture's JSON: when, what full ink is, where the load is."""
    return {
        "n": picture.number,
        "t": round(picture.time_s, 3),
        "full": round(full, 2),
        "recorded": view.recorded,
        "moment": None if picture.moment is None else _moment(picture.moment),
    }


def _moment(moment: Moment) -> dict[str, Any]:
    def at(point: tuple[float, float]) -> list[float]:
        return [round(point[0], 1), round(point[1], 1)]

    return {
        "left": round(moment.load_left_percent, 1),
        "right": round(moment.load_right_percent, 1),
        "force": None if moment.force_n is None else round(moment.force_n),
        "cop": at(moment.cop_mm),
        "cop_left": at(moment.cop_left_mm),
        "cop_right": at(moment.cop_right_mm),
    }


def state_of(hub: MatHub, visit: UUID, system: LengthSystem) -> dict[str, Any]:
    """How the mat is and what waits, in words that the page only has to put in their places."""
    state, view = hub.state, hub.view
    head, running = state.head, state.recording
    return {
        "says": state.says or _quiet(view),
        "note": _note(state, view),
        "mat": None
        if head is None
        else {
            "name": head.name,
            "rows": head.rows,
            "columns": head.columns,
            "pitch": [head.pitch_x_mm, head.pitch_y_mm],
            "rate": head.rate_hz,
        },
        "reach": _reach(state),
        "streams": list(state.streams),
        "lately": _lately(view, system),
        "recording": None
        if running is None
        else {
            "id": str(running.id),
            "mine": running.visit == visit,
            "seconds": running.seconds,
            "rate": 1.0 if head is None else head.rate_hz,
        },
        "waiting": [_waiting_line(w, system) for w in hub.waiting.for_visit(visit)],
    }


def _quiet(view: LiveView | None) -> str:
    if view is None or view.picture is None:
        return "Waiting for the first picture."
    return "The mat has gone quiet." if view.quiet else ""


def _note(state: MatState, view: LiveView | None) -> str:
    said = [state.note]
    if view is not None and view.refused is not None:
        said.append(f"{view.refused.what} {view.refused.do}")
    if view is not None and view.left_out:
        said.append(f"{view.left_out} frames held no pressure and were left out.")
    return " ".join(part for part in said if part)


def _reach(state: MatState) -> str:
    where = (
        "Open to the network: mats of other machines are found, and anybody on the network can send one."
        if state.network
        else "This machine only: mats of other machines are not looked for."
    )
    return f"{where} Watching {state.watching} too." if state.watching else where


def _lately(view: LiveView | None, system: LengthSystem) -> dict[str, Any] | None:
    """What the last seconds say, for the lines beside the map."""
    if view is None or view.picture is None or view.quiet:
        return None
    say = view.say
    if say.ground is None:
        return {"seconds": 0, "figures": [], "grade": "", "notes": [say.trouble] if say.trouble else []}
    return {"seconds": round(say.seconds), **_graded(say.ground, system)}


def _graded(ground: Ground, system: LengthSystem) -> dict[str, Any]:
    return {
        "figures": [[what, text] for what, text in _figures(ground, system) if text],
        "grade": "usable" if ground.grade.usable else "repeat",
        "notes": [flag.text for flag in ground.grade.flags],
    }


def _figures(ground: Ground, system: LengthSystem) -> tuple[tuple[str, str], ...]:
    def text(estimate: Estimate | None, decimals: int = 1) -> str:
        return "" if estimate is None else estimate_text(estimate, system, decimals=decimals)

    feet = ground.feet
    return (
        ("load on the left foot", text(feet.left.load_percent)),
        ("CoP to the right", text(ground.cop_mm.x)),
        ("CoP ahead of the heels", text(ground.cop_mm.y)),
        ("width, heel centres", text(ground.stance_width_mm.heel_centres, 0)),
        ("toe-out, left", text(feet.left.toe_out_deg)),
        ("toe-out, right", text(feet.right.toe_out_deg)),
        ("force", text(ground.total_force_n, 0)),
    )


def _waiting_line(waiting: Waiting, system: LengthSystem) -> dict[str, Any]:
    about, mean = waiting.about, waiting.mean
    if waiting.ground is None:
        graded: dict[str, Any] = {"figures": [], "grade": "repeat", "notes": [waiting.trouble]}
    else:
        graded = _graded(waiting.ground, system)
    return {
        "id": str(waiting.id),
        "at": waiting.at.isoformat(),
        "seconds": round(waiting.seconds, 1),
        "name": "" if about is not None else waiting.path.name,
        "cut_off": waiting.cut_off,
        "stance": None if about is None else about.stance,
        "footwear": None if about is None else about.footwear,
        "family": None if about is None else about.family,
        **graded,
        "map": {
            "rows": mean.shape[0],
            "columns": mean.shape[1],
            "pitch": list(waiting.pitch_mm),
            "cells": base64.b64encode(_bytes(mean, max(float(mean.max()), 1e-6))).decode("ascii"),
        },
    }
