"""Recordings that come in frame by frame: journalled as they come, made a file once they are whole."""

import hashlib
import io
import json
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any, Literal
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone
from pydantic import BaseModel, ConfigDict, Field

from evenground.errors import RecordsError
from evenground.records.answers import answered
from evenground.records.entries import canonical
from evenground.records.models import Visit
from evenground.studio.models import LivePart, LiveRecording
from evenground.studio.pages.saving import Saved, Sender
from evenground.studio.pages.uploads import save_recording
from evenground.visit import Family, Footwear, StanceTime

__all__ = [
    "MOST_CELLS",
    "FramesMissingError",
    "FramesOtherError",
    "LiveEndedError",
    "LiveFrames",
    "LiveHead",
    "LiveNotBegunError",
    "LiveTooLongError",
    "begin",
    "finish",
    "take_frames",
]

MOST_CELLS = 60_000_000
"""Ten minutes of a 1000-cell mat at 100 Hz: more is no placement (ours)."""

Finite = Annotated[float, Field(allow_inf_nan=False)]


class LiveNotBegunError(RecordsError):
    """Frames for a recording that was not begun."""

    do = "Begin it first: say rows, columns, pitch, unit and rate."

    def __init__(self, recording: str) -> None:
        super().__init__(recording)
        self.where = f"recording {recording}"
        self.what = "This recording was not begun in this visit."


class LiveEndedError(RecordsError):
    """Frames for a recording that is whole already."""

    do = "Begin another recording under an id of its own."

    def __init__(self, recording: str) -> None:
        super().__init__(recording)
        self.where = f"recording {recording}"
        self.what = "This recording is finished."


class FramesOtherError(RecordsError):
    """The same id or place with another content."""

    do = "Send a piece again only as it was, or give the new recording an id of its own."

    def __init__(self, recording: str, what: str) -> None:
        super().__init__(recording, what)
        self.where = f"recording {recording}"
        self.what = f"{what} came before with another content."


class FramesMissingError(RecordsError):
    """A recording was to be finished with a hole in it."""

    do = "Send the missing frames, then finish it again."

    def __init__(self, recording: str, first: int, wanted: int) -> None:
        super().__init__(recording, first, wanted)
        self.where = f"recording {recording}"
        self.what = f"Of {wanted} frames those from frame {first} on have not come."


class LiveTooLongError(RecordsError):
    """More frames than a placement has, or frames of another size than was said."""

    do = "A placement needs about ten seconds; send each frame as rows times columns values."

    def __init__(self, recording: str, what: str) -> None:
        super().__init__(recording, what)
        self.where = f"recording {recording}"
        self.what = what


class LiveHead(BaseModel):
    """What a recording is of: the mat's geometry, and the placement."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    rows: int = Field(ge=1, le=2000)
    columns: int = Field(ge=1, le=2000)
    pitch_x_mm: Finite = Field(gt=0, le=200)
    pitch_y_mm: Finite = Field(gt=0, le=200)
    unit: Literal["kPa", "counts"]
    rate_hz: Finite = Field(gt=0, le=10_000)
    turned_deg: Finite = Field(default=0.0, ge=-45, le=45)
    stance: StanceTime
    footwear: Footwear
    family: Family | None = None


class LiveFrames(BaseModel):
    """Some frames in their order: a time and rows x columns cells each, row after row from the heels."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    first: int = Field(ge=0, le=1_000_000)
    time_s: list[Finite] = Field(min_length=1, max_length=2000)
    cells: list[list[Annotated[float, Field(ge=0, le=1e7, allow_inf_nan=False)]]] = Field(
        min_length=1, max_length=2000
    )


def begin(visit: Visit, recording_id: UUID, head: LiveHead) -> LiveRecording:
    """Begin a recording; begun again with the same head it changes nothing.

    Raises
    ------
    FramesOtherError
        When the id was begun with another head or in another visit.
    """
    plain = head.model_dump(mode="json")
    with answered(), transaction.atomic():
        row, _ = LiveRecording.objects.get_or_create(
            pk=recording_id, defaults={"visit": visit, "head": plain}
        )
    if row.visit_id != visit.pk or row.head != plain:
        raise FramesOtherError(str(recording_id), "This id")
    return row


def take_frames(visit: Visit, recording_id: UUID, frames: LiveFrames) -> int:
    """Keep some frames; sent again they change nothing. Gives how many have come.

    Raises
    ------
    LiveNotBegunError, LiveEndedError
        When the recording is not open.
    LiveTooLongError
        When a frame has another size than was said, or there are too many.
    FramesOtherError
        When other frames came at this place.
    """
    import numpy as np

    row, head = _begun(visit, recording_id)
    size = head.rows * head.columns
    if len(frames.cells) != len(frames.time_s) or any(len(frame) != size for frame in frames.cells):
        what = f"Each frame has one time and {head.rows} x {head.columns} = {size} cells; these have not."
        raise LiveTooLongError(str(recording_id), what)
    if (frames.first + len(frames.cells)) * size > MOST_CELLS:
        raise LiveTooLongError(str(recording_id), f"A recording ends after {MOST_CELLS // size} frames.")
    cells = np.asarray(frames.cells, dtype="<f4").tobytes()
    said = hashlib.sha256(canonical([frames.first, frames.time_s]).encode() + cells).hexdigest()
    before = row.parts.filter(first=frames.first).first()
    if before is not None and before.digest == said:
        return _come(row)
    if row.done_at is not None:
        raise LiveEndedError(str(recording_id))
    if before is not None or _overlaps(row, frames):
        raise FramesOtherError(str(recording_id), f"Frame {frames.first}")
    part = LivePart(
        recording=row,
        first=frames.first,
        count=len(frames.cells),
        digest=said,
        time_s=frames.time_s,
        cells=cells,
    )
    try:
        with answered(), transaction.atomic():
            part.save()
    except IntegrityError as exc:  # two senders at once
        raise FramesOtherError(str(recording_id), f"Frame {frames.first}") from exc
    return _come(row)


def finish(visit: Visit, recording_id: UUID, wanted: int, sender: Sender) -> Saved:
    """Make a recording of all its frames, and the placement it is of; finished again it changes nothing.

    Raises
    ------
    LiveNotBegunError, FramesMissingError
        When it is not whole.
    MeasureError
        When the frames are no recording, such as times that do not rise.
    """
    row, head = _begun(visit, recording_id)
    parts = list(row.parts.all()) if row.done_at is None else []
    if row.done_at is None:
        _whole(recording_id, parts, wanted)
    fields = {"id": str(recording_id), "stance": head.stance, "footwear": head.footwear}
    fields |= {"family": head.family} if head.family is not None else {}
    files = {"recording": (f"live-{recording_id.hex[:6]}.parquet", io.BytesIO(_parquet(head, parts)))}
    saved = save_recording(visit, json.dumps(fields), files, sender)
    with answered(), transaction.atomic():
        LiveRecording.objects.filter(pk=row.pk, done_at__isnull=True).update(done_at=timezone.now())
        LivePart.objects.filter(recording=row).update(cells=b"")  # the file holds them now
    return saved


def _begun(visit: Visit, recording_id: UUID) -> tuple[LiveRecording, LiveHead]:
    row = LiveRecording.objects.filter(pk=recording_id, visit=visit).first()
    if row is None:
        raise LiveNotBegunError(str(recording_id))
    return row, LiveHead.model_validate(row.head)


def _come(row: LiveRecording) -> int:
    return sum(row.parts.values_list("count", flat=True))


def _overlaps(row: LiveRecording, frames: LiveFrames) -> bool:
    end = frames.first + len(frames.cells)
    spans = row.parts.values_list("first", "count")
    return any(first < end and frames.first < first + count for first, count in spans)


def _whole(recording_id: UUID, parts: Sequence[LivePart], wanted: int) -> None:
    end = 0
    for part in parts:
        if part.first != end:
            break
        end += part.count
    if end != wanted:
        raise FramesMissingError(str(recording_id), end, wanted)


def _parquet(head: LiveHead, parts: Sequence[LivePart]) -> bytes:
    """The parts as one recording file; empty when there is none, which a resend does not need."""
    if not parts:
        return b""
    import numpy as np

    from evenground.capture.parquet import write_recording
    from evenground.measure.recording import MatRecording

    flat: Any = np.concatenate([np.frombuffer(part.cells, dtype="<f4") for part in parts])
    times = np.asarray([t for part in parts for t in part.time_s], dtype=np.float64)
    recording = MatRecording(
        cells=flat.reshape(len(times), head.rows, head.columns).astype(np.float32),
        unit=head.unit,
        pitch_x_mm=head.pitch_x_mm,
        pitch_y_mm=head.pitch_y_mm,
        rate_hz=head.rate_hz if len(times) > 1 else None,
        time_s=times,
        turned_deg=head.turned_deg,
    )
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "live.parquet"
        write_recording(recording, path)
        return path.read_bytes()
