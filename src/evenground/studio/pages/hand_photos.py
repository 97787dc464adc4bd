"""A photo of a hand: consent first, cleaned in a process of its own, measured, kept with its reading."""

import io
from collections.abc import Mapping
from typing import Any, Literal
from uuid import UUID

from pydantic import BaseModel, ConfigDict

from evenground.errors import StudioError
from evenground.floor import Side
from evenground.records.blobs import put_blob
from evenground.records.consent import require_consent
from evenground.records.models import ConsentKind, ReadingBlob, Visit
from evenground.studio.days import today_here
from evenground.studio.pages.saving import Saved, Sender, save_with_files, saved_before
from evenground.studio.pages.view import ShownPhoto
from evenground.studio.uploads import clean_photo

__all__ = ["NoPhotoSentError", "hand_photos", "save_hand_photo"]

DRAWN = "-points.jpg"


class NoPhotoSentError(StudioError):
    """A hand photo without a photo."""

    do = "Choose or take the photo first."

    def __init__(self) -> None:
        super().__init__()
        self.where = "photo"
        self.what = "No photo was sent."


class _SentPhoto(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    id: UUID
    side: Side
    scale: Literal["card", "a4", "letter"]
    palm: Literal["down", "up"]


def save_hand_photo(row: Visit, fields: str, files: Mapping[str, tuple[str, Any]], sender: Sender) -> Saved:
    """Measure a hand in a photo and keep both; sent again it changes nothing.

    Raises
    ------
    RecordsError
        When nobody agreed to photos, or it cannot be stored.
    CaptureError, MeasureError, StudioError
        When the photo cannot be taken, or does not hold one measurable hand; nothing is stored then.
    """
    sent = _SentPhoto.model_validate_json(fields)
    before = saved_before(row, sent.id)
    if before is not None:
        return before
    require_consent(row.player, ConsentKind.PHOTOS, today_here())
    if "photo" not in files:
        raise NoPhotoSentError
    said, stream = files["photo"]
    pixels, media = clean_photo(stream, said)
    payload, drawn = _measured(pixels, said, sent)
    stem = f"photos/{sent.side}-hand-{sent.id.hex[:6]}"
    suffix = "png" if media.endswith("png") else "jpg"
    stored = {
        f"{stem}.{suffix}": put_blob(pixels, media).sha256,
        stem + DRAWN: put_blob(drawn, "image/jpeg").sha256,
    }
    return save_with_files(row, sent.id, ("hand", payload), stored, sender)


def _measured(pixels: bytes, name: str, sent: _SentPhoto) -> tuple[dict[str, Any], bytes]:
    """The reading, and the photo with its points as JPEG."""
    from evenground.capture.hand_photo import find_hand
    from evenground.capture.photo import read_photo
    from evenground.measure.hand_outline import find_landmarks
    from evenground.measure.hand_sizes import hand_sizes
    from evenground.report.hand_picture import hand_picture

    photo = read_photo(pixels, file=name, most_side=1600)
    found = find_hand(photo, sent.scale)
    marks = find_landmarks(found.shape)
    sizes = hand_sizes(marks, found.measuring, side=sent.side, palm_up=sent.palm == "up")
    picture = hand_picture(photo, found, marks)
    picture.thumbnail((900, 900))
    stream = io.BytesIO()
    picture.save(stream, "JPEG", quality=82)
    length, palm = sizes.hand_length_mm, sizes.palm_length_mm
    payload = {
        "side": sent.side,
        "length_mm": round(length.value, 1),
        "palm_length_mm": round(palm.value, 1),
        "se_mm": round(max(length.se, palm.se), 1),
    }
    return payload, stream.getvalue()


def hand_photos(row: Visit) -> tuple[ShownPhoto, ...]:
    """The latest photo of each hand with its points, left hand first."""
    links = ReadingBlob.objects.filter(
        reading__visit=row, reading__kind="hand", name__endswith=DRAWN, blob__deleted_at__isnull=True
    ).order_by("reading__seq")
    latest = {str(link.reading.payload.get("side")): link.blob_id for link in links.select_related("reading")}
    return tuple(ShownPhoto(side=side, sha256=str(sha)) for side, sha in sorted(latest.items()))
