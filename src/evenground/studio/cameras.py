"""The studio's cameras: calibrated from photos of the printed board, one of them chosen for photos."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, BinaryIO
from uuid import UUID

from django.utils import timezone
from django.utils.dateparse import parse_datetime

from evenground.capture.camera_file import Calibration, calibrate
from evenground.capture.photo import Photo, read_photo
from evenground.errors import StudioError
from evenground.instruments import InstrumentCheck
from evenground.records.audit import note
from evenground.records.instruments import keep_checks
from evenground.records.models import Instrument, Person
from evenground.studio.uploads import clean_photo

__all__ = [
    "MOST_PHOTOS",
    "Camera",
    "LooseCalibrationError",
    "NoBoardPhotosError",
    "calibrate_camera",
    "camera_named",
    "cameras",
    "choose_camera",
]

MOST_PHOTOS = 30
MOST_RMS_PX = 1.5
"""What may be left over at the corners (ours): a flat board and a steady hand leave a fifth of it."""


class NoBoardPhotosError(StudioError):
    """A calibration without photos."""

    do = "Choose a dozen photos of the printed calibration board."

    def __init__(self) -> None:
        super().__init__()
        self.where = "photos"
        self.what = "No photos were sent."


class LooseCalibrationError(StudioError):
    """A lens that does not explain its photos."""

    do = "Glue the board flat, hold it still, keep zoom and lens as they are, and photograph it again."

    def __init__(self, camera: str, rms_px: float) -> None:
        super().__init__(camera, rms_px)
        self.where = camera
        self.what = f"One lens leaves {rms_px:.1f} px between these photos; {MOST_RMS_PX:g} px is the limit."


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """One camera as the pages show it; `calibration` is None until it was calibrated."""

    id: UUID
    name: str
    calibration: Calibration | None
    at: datetime | None
    chosen: bool


def cameras() -> tuple[Camera, ...]:
    """Every camera in use, the chosen one first."""
    rows = Instrument.objects.filter(kind="camera", retired_at__isnull=True).order_by("created_at", "id")
    return tuple(sorted((_camera(row) for row in rows), key=lambda c: not c.chosen))


def camera_named(camera_id: str) -> Camera | None:
    """The calibrated camera of an id as a page sends it; None for a camera that nobody calibrated."""
    return next((c for c in cameras() if str(c.id) == camera_id and c.calibration is not None), None)


def _camera(row: Instrument) -> Camera:
    said: Any = row.details.get("calibration")
    return Camera(
        id=row.pk,
        name=row.name,
        calibration=None if said is None else Calibration.model_validate(said),
        at=parse_datetime(str(row.details.get("calibrated_at", ""))),
        chosen=bool(row.details.get("chosen")),
    )


def calibrate_camera(
    row: Instrument, photos: Sequence[tuple[str, BinaryIO]], person: Person | None
) -> Calibration:
    """Work out a camera's lens and keep it; the first calibrated camera is chosen.

    Parameters
    ----------
    row
        The camera.
    photos
        Name and file of each photo of the board. They are looked at one by one and not kept.
    person
        Who calibrates.

    Raises
    ------
    NoBoardPhotosError, LooseCalibrationError
        Without photos, or when one lens does not explain them.
    CaptureError, StudioError
        When a photo cannot be taken, or too few show the board; what was known before stays.
    """
    if not photos:
        raise NoBoardPhotosError
    found = calibrate(_one_by_one(photos[:MOST_PHOTOS]))
    if found.rms_px > MOST_RMS_PX:
        raise LooseCalibrationError(row.name, found.rms_px)
    now = timezone.now()
    row.details = row.details | {
        "calibration": found.model_dump(mode="json"),
        "calibrated_at": now.isoformat(),
    }
    row.save(update_fields=["details"])
    said = f"lens calibrated from {found.views} photos, {found.rms_px:.2f} px left over"
    check = InstrumentCheck(step="by hand", at=now.astimezone().replace(microsecond=0), passed=True, why=said)
    keep_checks(row, [check], person)
    note(person, "calibrated", what="instrument", object_id=str(row.pk))
    if not any(c.chosen for c in cameras()):
        choose_camera(row)
    return found


def _one_by_one(photos: Sequence[tuple[str, BinaryIO]]) -> Iterator[Photo]:
    """Each photo as the sensor lies, decoded in the process for photos; one at a time is in memory."""
    for name, stream in photos:
        pixels, _ = clean_photo(stream, name, upright=False)
        yield read_photo(pixels, file=name)


def choose_camera(row: Instrument) -> None:
    """Make a camera the one that pages offer first."""
    for other in Instrument.objects.filter(kind="camera"):
        chosen = other.pk == row.pk
        if bool(other.details.get("chosen")) != chosen:
            other.details = other.details | {"chosen": chosen}
            other.save(update_fields=["details"])
