"""Landmarks of a side view from a JSON file: points in pixels or mm, scale, plumb line."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from evenground.body.segments import ModelName
from evenground.capture.photo import read_photo
from evenground.capture.plumb_photo import find_plumb
from evenground.errors import CaptureError
from evenground.measure.posture_view import REFERENCES
from evenground.measure.side_view import LANDMARKS, SidePhoto, known_length_scale
from evenground.visit import Limb, LimbState, PostureView

__all__ = ["BadLandmarksError", "Landmarks", "landmarks_of", "read_landmarks", "with_target"]

Coordinate = Annotated[float, Field(allow_inf_nan=False, ge=-1e5, le=1e5)]
Point = tuple[Coordinate, Coordinate]


class BadLandmarksError(CaptureError):
    """A file of landmarks that cannot be read."""

    do = "docs/formats/posture.md shows the file and names every point."

    def __init__(self, file: str, what: str) -> None:
        super().__init__(file, what)
        self.where = file
        self.what = what


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class _Scale(_Strict):
    """A known length in the picture; `error_mm` is how well the length itself is known (standard error)."""

    start: Point
    end: Point
    length_mm: Annotated[float, Field(gt=10, lt=10_000)]
    error_mm: Annotated[float, Field(ge=0, lt=1000)] = 1.0


class _Plumb(_Strict):
    """Something that hangs straight."""

    top: Point
    bottom: Point


class _Balance(_Strict):
    """The mat's centre of pressure fore and aft, % of foot length from the heel."""

    percent: Annotated[float, Field(ge=0, le=100)]
    error_percent: Annotated[float, Field(gt=0, le=50)]


class Landmarks(_Strict):
    """The file: see docs/formats/posture.md."""

    unit: Literal["px", "mm"]
    points: Mapping[str, Point]
    scale: _Scale | None = None
    plumb: _Plumb | None = None
    landmark_error_mm: Annotated[float, Field(gt=0, lt=100)] = 10.0
    model: ModelName = "de leva men"
    limbs: Mapping[Limb, LimbState] = Field(default_factory=dict)
    mat: _Balance | None = None

    def photo(self) -> SidePhoto:
        """The landmarks as the measuring takes them."""
        points = {name: np.array(at, dtype=float) for name, at in self.points.items()}
        plumb = None
        if self.plumb is not None:
            plumb = (np.array(self.plumb.top, dtype=float), np.array(self.plumb.bottom, dtype=float))
        mm_per_px, relative = self._scale()
        return SidePhoto(
            points=points,
            unit=self.unit,
            mm_per_px=mm_per_px,
            mm_per_px_relative_se=relative,
            plumb=plumb,
            landmark_sd_mm=self.landmark_error_mm,
        )

    def _scale(self) -> tuple[float | None, float]:
        """Millimetres a pixel, and its relative error."""
        if self.scale is None or self.unit == "mm":
            return None, 0.0
        start, end = np.array(self.scale.start), np.array(self.scale.end)
        found = known_length_scale(start, end, self.scale.length_mm, self.scale.error_mm)
        return (None, 0.0) if found is None else found


def landmarks_of(view: PostureView) -> Landmarks:
    """A visit's photo as the file would hold it; a length or plumb line with one end is left out."""
    points = view.points
    ends = {name: points.pop(name) for name in REFERENCES if name in points}
    plain: dict[str, Any] = {"unit": "px", "points": points}
    if view.length_mm is not None and {"length_start", "length_end"} <= set(ends):
        at = {"start": ends["length_start"], "end": ends["length_end"]}
        plain["scale"] = at | {"length_mm": view.length_mm, "error_mm": view.length_error_mm}
    if {"plumb_top", "plumb_bottom"} <= set(ends):
        plain["plumb"] = {"top": ends["plumb_top"], "bottom": ends["plumb_bottom"]}
    return Landmarks.model_validate(plain)


def with_target(marks: Landmarks, photo: Path) -> Landmarks:
    """The same with scale and plumb line from the printed target, where the file gives none and it is seen.

    Raises
    ------
    UnreadablePhotoError, PhotoTooLargeError, MirroredPrintError
        When the photo cannot be used.
    """
    if marks.unit != "px" or (marks.scale is not None and marks.plumb is not None):
        return marks
    target = find_plumb(read_photo(photo))
    if target is None:
        return marks
    scale = _Scale(
        start=target.top, end=target.bottom, length_mm=target.apart_mm, error_mm=target.apart_error_mm
    )
    plumb = _Plumb(top=target.top, bottom=target.bottom)
    return marks.model_copy(update={"scale": marks.scale or scale, "plumb": marks.plumb or plumb})


def read_landmarks(source: Path | bytes, *, file: str = "") -> Landmarks:
    """Landmarks from a JSON file.

    Raises
    ------
    BadLandmarksError
        If it is no such file, names a point nobody knows, or a scale or plumb line has no length.
    """
    name = file or (source.name if isinstance(source, Path) else "landmarks")
    try:
        text = source.read_bytes() if isinstance(source, Path) else source
        plain = json.loads(text)
    except OSError as exc:
        raise BadLandmarksError(name, "The file cannot be opened.") from exc
    except (ValueError, RecursionError) as exc:
        raise BadLandmarksError(name, "This is not JSON.") from exc
    try:
        found = Landmarks.model_validate(plain)
    except ValidationError as exc:
        first = exc.errors()[0]
        at = ".".join(str(part) for part in first["loc"]) or "the file"
        raise BadLandmarksError(name, f"{at}: {first['msg']}.") from exc
    _known(found, name)
    return found


def _known(found: Landmarks, name: str) -> None:
    if unknown := sorted(set(found.points) - set(LANDMARKS)):
        raise BadLandmarksError(name, f"points: nobody knows a landmark called {unknown[0]!r}.")
    if found.scale is not None and found.scale.start == found.scale.end:
        raise BadLandmarksError(name, "scale: both ends are the same point.")
    if found.plumb is not None and found.plumb.top == found.plumb.bottom:
        raise BadLandmarksError(name, "plumb: top and bottom are the same point.")
