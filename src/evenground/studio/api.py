"""The app's HTTP interface: a studio's own script appends to one visit, and reads it."""

from datetime import datetime
from http import HTTPStatus
from typing import Annotated, Any
from uuid import UUID

from django.http import HttpRequest
from django.utils import timezone
from ninja import Field, File, Form, NinjaAPI, Query, Schema, Status
from ninja.files import UploadedFile
from ninja.security import HttpBearer
from pydantic import ConfigDict

from evenground.errors import RecordsError
from evenground.records.assessing import findings_json
from evenground.records.entries import Entry
from evenground.records.log import ReadingConflictError, VisitNotFoundError, append, readings_since
from evenground.records.models import Reading
from evenground.records.reading_kinds import kind_named
from evenground.records.series import append_next
from evenground.studio.api_page import SheetDocs
from evenground.studio.api_refusals import answer_refusals
from evenground.studio.live import LiveFrames, LiveHead, begin, finish, take_frames
from evenground.studio.models import DeviceToken
from evenground.studio.pages.saving import Sender
from evenground.studio.pages.uploads import save_recording
from evenground.studio.signin import address_of
from evenground.studio.tokens import token_of
from evenground.visit import Family, Footwear, StanceTime

__all__ = ["NotForDevicesError", "api"]

BY_HAND = frozenset({"visit", "player", "placement", "skip", "card line"})
"""Kinds that no script appends: whose visit it is, decisions, and placements, which come with their file."""
EARLIEST_YEAR = 2000
Since = Annotated[int, Query(ge=0, le=2**31 - 1)]


class NotForDevicesError(RecordsError):
    """A reading of a kind that only a person enters, or that comes with a recording."""

    do = "Send measurements as readings, and placements as recordings; enter the rest in the app."

    def __init__(self, kind: str) -> None:
        super().__init__(kind)
        self.where = f"reading of kind {kind!r}"
        self.what = "A script cannot append this kind of reading."


class _Body(Schema):
    model_config = ConfigDict(extra="forbid")


class ReadingBody(_Body):
    """One measurement. The sender makes the id, so that it may send again whenever no answer came."""

    id: UUID
    kind: str = Field(max_length=40, examples=["hip-line trial"])
    payload: dict[str, Any] = Field(examples=[{"width_mm": 412.0, "hip_line_deg": 1.5, "family": "irons"}])
    version: int | None = Field(
        default=None, ge=1, le=1000, description="of the kind; the newest when left out"
    )
    at: datetime | None = Field(default=None, description="when it was measured; now when left out")


class RecordingForm(_Body):
    """What a recording is of."""

    id: UUID
    stance: StanceTime
    footwear: Footwear
    family: Family | None = None


class FinishBody(_Body):
    """How many frames were sent."""

    frames: int = Field(ge=1, le=1_000_000)


class Kept(Schema):
    """What became of a reading: its place in the visit's order, and what its entry still lacks."""

    id: UUID
    seq: int
    new: bool
    unfinished: str | None = None


class FramesKept(Schema):
    """How many frames of a live recording have come."""

    id: UUID
    frames: int


class ReadingOut(Schema):
    """One line of the visit's log."""

    id: UUID
    seq: int
    kind: str
    version: int
    payload: dict[str, Any]
    at: datetime
    by: str
    device: str
    supersedes: UUID | None
    void_reason: str | None


class VisitOut(Schema):
    """The visit as far as a script needs it: no name, no contact."""

    id: UUID
    day: str
    handed: str
    state: str
    seq: int
    readings: list[ReadingOut]


class Refusal(Schema):
    """Why not, in one sentence, and what to do."""

    code: str
    where: str
    what: str
    do: str


class _Bearer(HttpBearer):
    """``Authorization: Bearer eg_...``."""

    openapi_description = "A token that a teacher makes on the visit's page under Devices."

    def authenticate(self, request: HttpRequest, token: str) -> DeviceToken:
        return token_of(token, address_of(request))


_NO = {400: Refusal, 401: Refusal, 404: Refusal, 409: Refusal, 413: Refusal, 422: Refusal, 429: Refusal}

api = NinjaAPI(
    title="Evenground",
    version="1",
    description="Readings and recordings of one visit, sent by a studio's own script. A token works for one "
    "visit, appends only, and runs out. Everything may be sent again under the same id.",
    urls_namespace="api",
    auth=_Bearer(),
    docs=SheetDocs(),
    docs_url="/docs",
    openapi_url="/openapi.json",
)


@api.get("/visits/{uuid:visit_id}", response={200: VisitOut, **_NO}, url_name="visit")
def get_visit(
    request: HttpRequest, visit_id: UUID, since: Annotated[int, Query(ge=0, le=2**31 - 1)] = 0
) -> Any:
    """Give the visit and its readings after a place in its order."""
    visit = _token(request, visit_id).visit
    visit.refresh_from_db()
    rows = [r for r in readings_since(visit.pk, since) if r.kind != "player"]
    return {
        "id": visit.pk,
        "day": visit.day.isoformat(),
        "handed": visit.player.handed,
        "state": visit.state,
        "seq": visit.last_seq,
        "readings": [_out(row) for row in rows],
    }


@api.get("/visits/{uuid:visit_id}/findings", response={200: dict[str, Any], **_NO}, url_name="findings")
def get_findings(request: HttpRequest, visit_id: UUID) -> Any:
    """Give the findings as `findings.json` holds them."""
    return findings_json(_token(request, visit_id).visit_id)


@api.post("/visits/{uuid:visit_id}/readings", response={200: Kept, 201: Kept, **_NO}, url_name="readings")
def add_reading(request: HttpRequest, visit_id: UUID, body: ReadingBody) -> Any:
    """Append a reading; a trial without its number takes the next free one."""
    token = _token(request, visit_id)
    if body.kind in BY_HAND:
        raise NotForDevicesError(body.kind)
    kind = kind_named(body.kind)
    entry = Entry(
        id=body.id,
        kind=kind.name,
        version=body.version or kind.version,
        payload=body.payload,
        at=_at(body.at),
        by=token.person.name,
        device=token.name,
    )
    numbered = kind.number is not None and kind.number not in body.payload
    done = (append_next if numbered else append)(visit_id, entry, person=token.person)
    said = {"id": body.id, "seq": done.reading.seq, "new": done.is_new, "unfinished": done.unfinished}
    return Status(HTTPStatus.CREATED if done.is_new else HTTPStatus.OK, said)


@api.post("/visits/{uuid:visit_id}/recordings", response={200: Kept, 201: Kept, **_NO}, url_name="recordings")
def add_recording(
    request: HttpRequest,
    visit_id: UUID,
    form: Form[RecordingForm],
    recording: File[UploadedFile],
    layout: File[UploadedFile | None] = None,
) -> Any:
    """Append a whole recording: Parquet as docs/formats.md has it, or a text grid with its layout."""
    token = _token(request, visit_id)
    files: dict[str, Any] = {"recording": (recording.name or "recording", recording)}
    if layout is not None:
        files["layout"] = (layout.name or "layout.toml", layout)
    new = not Reading.objects.filter(pk=form.id).exists()
    _refuse_elsewhere(form.id, visit_id)
    saved = save_recording(token.visit, form.model_dump_json(exclude_none=True), files, _sender(token))
    said = {"id": form.id, "seq": saved.seq, "new": new, "unfinished": saved.unfinished}
    return Status(HTTPStatus.CREATED if new else HTTPStatus.OK, said)


@api.post(
    "/visits/{uuid:visit_id}/live/{uuid:recording_id}", response={200: FramesKept, **_NO}, url_name="live"
)
def begin_live(request: HttpRequest, visit_id: UUID, recording_id: UUID, head: LiveHead) -> Any:
    """Begin a recording whose frames follow."""
    row = begin(_token(request, visit_id).visit, recording_id, head)
    return {"id": row.pk, "frames": sum(row.parts.values_list("count", flat=True))}


@api.post(
    "/visits/{uuid:visit_id}/live/{uuid:recording_id}/frames",
    response={200: FramesKept, **_NO},
    url_name="live-frames",
)
def add_frames(request: HttpRequest, visit_id: UUID, recording_id: UUID, frames: LiveFrames) -> Any:
    """Append some frames of a recording that was begun."""
    return {"id": recording_id, "frames": take_frames(_token(request, visit_id).visit, recording_id, frames)}


@api.post(
    "/visits/{uuid:visit_id}/live/{uuid:recording_id}/finish",
    response={200: Kept, **_NO},
    url_name="live-finish",
)
def finish_live(request: HttpRequest, visit_id: UUID, recording_id: UUID, body: FinishBody) -> Any:
    """Say that every frame was sent: the recording becomes a placement of the visit."""
    token = _token(request, visit_id)
    new = not Reading.objects.filter(pk=recording_id).exists()
    _refuse_elsewhere(recording_id, visit_id)
    saved = finish(token.visit, recording_id, body.frames, _sender(token))
    return {"id": recording_id, "seq": saved.seq, "new": new, "unfinished": saved.unfinished}


def _token(request: HttpRequest, visit_id: UUID) -> DeviceToken:
    token: DeviceToken = request.auth  # type: ignore[attr-defined]  # set by ninja once `_Bearer` let it in
    if token.visit_id != visit_id:
        raise VisitNotFoundError(str(visit_id))
    return token


def _sender(token: DeviceToken) -> Sender:
    return Sender(person=token.person, device=token.name)


def _at(said: datetime | None) -> datetime:
    """When it was measured; a clock without a zone, far in the past or ahead of ours is not believed."""
    now = timezone.now()
    if said is None or said.tzinfo is None or not EARLIEST_YEAR <= said.year <= now.year:
        return now
    return min(said, now)


def _refuse_elsewhere(reading_id: UUID, visit_id: UUID) -> None:
    if Reading.objects.filter(pk=reading_id).exclude(visit_id=visit_id).exists():
        raise ReadingConflictError(str(reading_id))


def _out(row: Reading) -> dict[str, Any]:
    return {
        "id": row.pk,
        "seq": row.seq,
        "kind": row.kind,
        "version": row.version,
        "payload": row.payload,
        "at": row.at,
        "by": row.by,
        "device": row.device,
        "supersedes": row.supersedes_id,
        "void_reason": row.void_reason,
    }


answer_refusals(api)
