"""Uploaded recordings: checked to be one before they are stored, then named by the placement they are of."""

from collections.abc import Mapping
from pathlib import PurePath
from typing import Any, Literal
from uuid import UUID

from pydantic import BaseModel, ConfigDict

from evenground.capture.standing import read_any_layout, read_standing
from evenground.errors import CaptureError
from evenground.records.blobs import put_blob
from evenground.records.models import Visit
from evenground.studio.pages.saving import Saved, Sender, save_with_files, saved_before
from evenground.visit import Family, Footwear, StanceTime

__all__ = ["NoRecordingError", "save_recording"]

KEPT_LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_"
MEDIA = {".parquet": "application/vnd.apache.parquet", ".toml": "application/toml"}


class NoRecordingError(CaptureError):
    """A placement without a file."""

    do = "Choose the file that the mat wrote for this placement."

    def __init__(self) -> None:
        super().__init__()
        self.where = "recording"
        self.what = "No recording was sent."


class _SentRecording(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    id: UUID
    stance: StanceTime
    footwear: Footwear
    family: Family | Literal[""] = ""


def save_recording(row: Visit, fields: str, files: Mapping[str, tuple[str, Any]], sender: Sender) -> Saved:
    """Store a recording with its layout, if it has one, and the placement; sent again it changes nothing.

    Raises
    ------
    CaptureError
        When the file is no recording; it is not stored then.
    RecordsError
        When it cannot be stored.
    """
    sent = _SentRecording.model_validate_json(fields)
    before = saved_before(row, sent.id)
    if before is not None:
        return before
    if "recording" not in files:
        raise NoRecordingError
    said, stream = files["recording"]
    layout_named = files.get("layout")
    layout = None
    if layout_named is not None:
        layout = read_any_layout(layout_named[1].read(), file=PurePath(layout_named[0]).name)
        layout_named[1].seek(0)
    read_standing(stream, file=PurePath(said).name, layout=layout)
    stream.seek(0)
    stored = {_name(sent.id, said): put_blob(stream, _media(said)).sha256}
    payload: dict[str, Any] = {
        "recording": _name(sent.id, said),
        "footwear": sent.footwear,
        "stance": sent.stance,
    }
    if sent.family:
        payload["family"] = sent.family
    if layout_named is not None:
        name = _name(sent.id, layout_named[0])
        stored[name] = put_blob(layout_named[1], _media(layout_named[0])).sha256
        payload["layout"] = name
    return save_with_files(row, sent.id, ("placement", payload), stored, sender)


def _name(sent_id: UUID, said: str) -> str:
    """The file's name in the visit: what it was called, and a piece of its id so that two never meet."""
    path = PurePath(said.replace("\\", "/"))
    stem = "".join(c if c in KEPT_LETTERS else "-" for c in path.stem)[:40].strip("-") or "file"
    suffix = "".join(c for c in path.suffix.lower() if c.isalnum() and c.isascii())[:10]
    return f"mat/{stem}-{sent_id.hex[:6]}.{suffix or 'bin'}"


def _media(said: str) -> str:
    return MEDIA.get(PurePath(said).suffix.lower(), "text/plain")
