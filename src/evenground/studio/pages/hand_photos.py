"""A photo of a hand: consent first, cleaned in a process of its own, measured, kept with its points."""

import io
from collections.abc import Mapping
from typing import Any, Literal
from uuid import UUID, uuid5

import numpy as np
from django.db import transaction
from pydantic import BaseModel, ConfigDict

from evenground.floor import Side
from evenground.measure.hand_points import HAND_POINTS, HandPoints, sizes_at
from evenground.measure.hand_sizes import HandHeight, HandSizes, Measuring, hand_sizes
from evenground.records.answers import answered
from evenground.records.blobs import put_blob
from evenground.records.consent import require_consent
from evenground.records.merge import Merged, Slot
from evenground.records.models import ConsentKind, ReadingBlob, Visit
from evenground.report.words import estimate_text
from evenground.studio.days import today_here
from evenground.studio.pages.point_sheet import Numbers, PhotoSheet, file_of, marks_of, placed_in, size_of
from evenground.studio.pages.saving import Saved, Sender, save_with_files, saved_before
from evenground.studio.pages.view import Fact, ShownPhoto
from evenground.studio.uploads import NoPhotoSentError, clean_photo
from evenground.units import LengthSystem

__all__ = [
    "counts",
    "hand_at",
    "hand_numbers",
    "hand_photos",
    "hand_sheet",
    "keep_hand_photo",
    "save_hand_photo",
    "save_sizes",
]

Spot = tuple[float, float]

DRAWN = "-points.jpg"
SIZES = (
    ("hand_length_mm", "hand length"),
    ("palm_length_mm", "palm length"),
    ("hand_breadth_mm", "hand breadth"),
    ("middle_hand_minus_palm_mm", "middle finger, hand less palm"),
)
CHAINS = (
    ("knuckles, index side", "knuckles, little side"),
    ("wrist, thumb side", "wrist, little side"),
    ("thumb tip", "thumb-index web", "index tip", "index-middle web", "middle tip"),
    ("middle tip", "middle-ring web", "ring tip", "ring-little web", "little tip"),
)
TYPED_SINCE = "The hand's size was typed, or another photo taken, since: that one counts."


class _SentPhoto(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    id: UUID
    side: Side
    scale: Literal["card", "a4", "letter", "tags"]
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
    before = saved_before(row, uuid5(sent.id, "hand"))
    if before is not None:
        return before
    require_consent(row.player, ConsentKind.PHOTOS, today_here())
    if "photo" not in files:
        raise NoPhotoSentError
    said, stream = files["photo"]
    return _kept(row, sent, clean_photo(stream, said), said, sender)


def keep_hand_photo(
    row: Visit, sent_id: UUID, said: Mapping[str, str], photo: tuple[bytes, str], sender: Sender
) -> Saved:
    """As `save_hand_photo` for a photo, bytes and media type, that was cleaned before."""
    return _kept(row, _SentPhoto.model_validate({"id": sent_id, **said}), photo, "photo", sender)


def _kept(row: Visit, sent: _SentPhoto, photo: tuple[bytes, str], name: str, sender: Sender) -> Saved:
    pixels, media = photo
    payload, drawn = _measured(pixels, name, sent)
    stem = f"photos/{sent.side}-hand-{payload['view']}"
    payload["photo"] = f"{stem}.{'png' if media.endswith('png') else 'jpg'}"
    stored = {
        payload["photo"]: put_blob(pixels, media).sha256,
        stem + DRAWN: put_blob(drawn, "image/jpeg").sha256,
    }
    with answered(), transaction.atomic():
        save_with_files(row, sent.id, ("hand photo", payload), stored, sender)
        return save_sizes(row, sent.id, sizes_at(_points(payload), {}), sender)


def save_sizes(row: Visit, because: UUID, sizes: HandSizes, sender: Sender) -> Saved:
    """Append what a photo says of a hand, as the reading that came with another, `because`."""
    length, palm = sizes.hand_length_mm, sizes.palm_length_mm
    payload = {
        "side": sizes.side,
        "length_mm": round(length.value, 1),
        "palm_length_mm": round(palm.value, 1),
        "se_mm": round(max(length.se, palm.se), 1),
    }
    return save_with_files(row, uuid5(because, "hand"), ("hand", payload), {}, sender)


def _measured(pixels: bytes, name: str, sent: _SentPhoto) -> tuple[dict[str, Any], bytes]:
    """The photo's reading without its file, and the photo with its points as JPEG."""
    from evenground.capture.hand_photo import find_hand
    from evenground.capture.hand_points import points_in
    from evenground.capture.photo import read_photo
    from evenground.measure.hand_outline import find_landmarks
    from evenground.report.hand_picture import hand_picture

    photo = read_photo(pixels, file=name, most_side=1600)
    hand = find_hand(photo, sent.scale)
    marks = find_landmarks(hand.shape)
    picture = hand_picture(photo, hand, marks)
    picture.thumbnail((900, 900))
    stream = io.BytesIO()
    picture.save(stream, "JPEG", quality=82)
    sizes = hand_sizes(marks, hand.measuring, side=sent.side, palm_up=sent.palm == "up")
    points = points_in(photo, hand, marks, sizes)
    measuring, height = hand.measuring, hand.measuring.height
    payload: dict[str, Any] = {
        "view": sent.id.hex[:12],
        "side": points.side,
        "palm_up": points.palm_up,
        "scale": hand.scale_name,
        "found": {n: (round(x, 2), round(y, 2)) for n, (x, y) in points.found.items()},
        "picture_to_mm": tuple(float(v) for v in points.picture_to_mm.ravel()),
        "point_sd_mm": measuring.point_sd_mm,
        "scale_relative_sd": measuring.scale_relative_sd,
        "unknown_height_relative_sd": measuring.unknown_height_relative_sd,
        "palm_mm": points.palm_mm,
        "palm_middle": points.palm_middle,
        "seen_as": points.seen_as,
        "wrist_found": points.wrist_found,
    }
    if height is not None:
        payload["height"] = (height.height_mm, height.height_sd_mm, height.camera_mm, height.camera_sd_mm)
    return payload, stream.getvalue()


def _points(values: Mapping[str, Any]) -> HandPoints:
    """What was found in a photo, as it was stored."""
    height = values.get("height")
    measuring = Measuring(
        point_sd_mm=values["point_sd_mm"],
        scale_relative_sd=values["scale_relative_sd"],
        height=None if height is None else HandHeight(**dict(zip(_HEIGHT, height, strict=True))),
        unknown_height_relative_sd=values.get("unknown_height_relative_sd", 0.0),
    )
    return HandPoints(
        found={name: (float(x), float(y)) for name, (x, y) in values["found"].items()},
        picture_to_mm=np.array(values["picture_to_mm"], dtype=np.float64).reshape(3, 3),
        measuring=measuring,
        side=values["side"],
        palm_up=values["palm_up"],
        palm_mm=values["palm_mm"],
        palm_middle=(values["palm_middle"][0], values["palm_middle"][1]),
        seen_as=values["seen_as"],
        wrist_found=values["wrist_found"],
    )


_HEIGHT = ("height_mm", "height_sd_mm", "camera_mm", "camera_sd_mm")


def hand_at(slot: Slot, placed: Mapping[str, Spot]) -> HandSizes:
    """Sizes of a photographed hand with some of its points moved."""
    return sizes_at(_points(slot.values), placed)


def counts(log: Merged, slot: Slot) -> bool:
    """Whether what shows of this hand's length came from this photo, and not from a tape or a later one."""
    view = slot.key[0]
    of_view = {e.id for e in log.entries if e.kind in _OURS and e.payload.get("view") == view}
    ours = of_view | {e.id for e in log.entries if e.supersedes in of_view}
    shown = log.slot("hand", {"side": slot.values["side"]})
    length = None if shown is None else shown.shown.get("length_mm")
    return length is None or length.reading in {uuid5(reading, "hand") for reading in ours}


_OURS = ("hand photo", "hand point")


def hand_numbers(log: Merged, slot: Slot, system: LengthSystem) -> Numbers:
    """Sizes of one photographed hand, with errors."""
    sizes = hand_at(slot, placed_in(log, "hand point", str(slot.key[0])))
    facts = [
        Fact(what=words, figure=estimate_text(getattr(sizes, name), system)) for name, words in SIZES
    ] + [
        Fact(what=f"{finger}, web to tip", figure=estimate_text(length, system))
        for finger, length in sizes.fingers_mm.items()
    ]
    largest = f"Most of the length's error comes from the {sizes.largest_error}."
    late = () if counts(log, slot) else (TYPED_SINCE,)
    return Numbers(facts=tuple(facts), notes=(*late, *sizes.notes, largest))


def hand_sheet(log: Merged, slot: Slot, system: LengthSystem) -> PhotoSheet:
    """The page of one photo of a hand."""
    view, found = str(slot.key[0]), slot.values["found"]
    placed = placed_in(log, "hand point", view)
    digest = file_of(log, slot)
    width, height = size_of(digest, [*found.values(), *placed.values()])
    side, way = slot.values["side"], "palm" if slot.values["palm_up"] else "back"
    return PhotoSheet(
        view=view,
        check="hands",
        kind="hand photo",
        title=f"{side.capitalize()} hand, {way} up",
        how="Put the wrist's two ends on the crease, and look whether tips and webs lie on the outline.",
        says=f"The {side} hand",
        sha256=digest,
        width=width,
        height=height,
        marks=marks_of({n: n for n in HAND_POINTS}, found, placed, {}),
        chains=CHAINS,
        numbers=hand_numbers(log, slot, system),
    )


def hand_photos(row: Visit) -> tuple[ShownPhoto, ...]:
    """The latest photo of each hand with its points, left hand first."""
    links = ReadingBlob.objects.filter(
        reading__visit=row,
        reading__kind__in=("hand", "hand photo"),
        name__endswith=DRAWN,
        blob__deleted_at__isnull=True,
    ).order_by("reading__seq")
    latest = {str(link.reading.payload.get("side")): link for link in links.select_related("reading")}
    return tuple(
        ShownPhoto(
            says=f"{side.capitalize()} hand with the points that were found",
            caption=f"{side.capitalize()} hand, as found",
            sha256=str(link.blob_id),
            view=str(link.reading.payload.get("view", "")),
        )
        for side, link in sorted(latest.items())
    )
