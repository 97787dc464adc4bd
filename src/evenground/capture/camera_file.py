"""A calibrated lens as a JSON file: written by `evenground camera calibrate`, read with photos of tags."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from evenground.capture.photo import Photo
from evenground.capture.sheets import sheets
from evenground.capture.tags import TYPICAL_FOCAL, find_tags
from evenground.errors import CaptureError
from evenground.measure.tagged import CameraGuess, Lens

__all__ = ["BadCameraFileError", "Calibration", "TooFewViewsError", "calibrate", "guess_for", "read_camera"]

FloatArray = NDArray[np.float64]
LEAST_VIEWS = 6
LEAST_TAGS = 8
Finite = Annotated[float, Field(allow_inf_nan=False)]


class BadCameraFileError(CaptureError):
    """A file that holds no calibrated camera, or one for pictures of another shape."""

    do = "Calibrate this camera with `evenground camera calibrate PHOTOS`, in the way it will be held."

    def __init__(self, file: str, what: str) -> None:
        super().__init__(file, what)
        self.where = file
        self.what = what


class TooFewViewsError(CaptureError):
    """Too few photos of the calibration board to know a lens from."""

    do = "Photograph the printed board from a dozen sides, tilted up to 40 degrees, into the corners too."

    def __init__(self, usable: int, given: int) -> None:
        super().__init__(usable, given)
        self.where = "calibration"
        self.what = f"{usable} of {given} photos show enough of the board; {LEAST_VIEWS} are needed."


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Calibration(_Strict):
    """The file: pixels of a picture of `width_px` by `height_px`; `rms_px` is what the fit left over."""

    width_px: Annotated[int, Field(gt=100, lt=20000)]
    height_px: Annotated[int, Field(gt=100, lt=20000)]
    focal_px: tuple[Finite, Finite]
    middle_px: tuple[Finite, Finite]
    bends: tuple[Finite, Finite, Finite, Finite, Finite]
    views: Annotated[int, Field(ge=1)]
    rms_px: Annotated[float, Field(ge=0, lt=100)]

    def lens_for(self, photo: Photo) -> Lens:
        """The lens for a photo of the same shape, whatever its reduction.

        Raises
        ------
        BadCameraFileError
            If the photo is of another shape, such as upright instead of lying.
        """
        height, width = photo.rgb.shape[:2]
        factor = width / self.width_px
        if abs(height / self.height_px / factor - 1.0) > 0.01:
            raise BadCameraFileError(
                photo.name,
                f"The photo is {width} x {height} pixels and the calibration is for {self.width_px} x "
                f"{self.height_px}: another shape.",
            )
        return Lens(
            focal_px=(self.focal_px[0] * factor, self.focal_px[1] * factor),
            middle_px=((self.middle_px[0] + 0.5) * factor - 0.5, (self.middle_px[1] + 0.5) * factor - 0.5),
            bends=self.bends,
        )


def read_camera(path: Path) -> Calibration:
    """A calibrated camera from its file.

    Raises
    ------
    BadCameraFileError
        If it is none.
    """
    try:
        return Calibration.model_validate(json.loads(path.read_bytes()))
    except OSError as exc:
        raise BadCameraFileError(path.name, "The file cannot be opened.") from exc
    except (ValueError, ValidationError) as exc:
        raise BadCameraFileError(path.name, "This file holds no calibrated camera.") from exc


def guess_for(photo: Photo, calibration: Calibration | None) -> CameraGuess:
    """What is known of a photo's camera: its calibration, else its written lens, else the usual phone's."""
    height, width = photo.rgb.shape[:2]
    focal = photo.focal_px if photo.focal_px is not None else TYPICAL_FOCAL * float(np.hypot(width, height))
    lens = None if calibration is None else calibration.lens_for(photo)
    return CameraGuess(focal_px=focal, middle_px=((width - 1) / 2.0, (height - 1) / 2.0), lens=lens)


@dataclass(frozen=True, slots=True, eq=False)
class _View:
    plane: FloatArray
    seen: FloatArray


def _view(photo: Photo, shapes: set[tuple[int, ...]]) -> _View | None:
    """What a photo shows of the board, None when it is too little; its shape is added to `shapes`."""
    shapes.add(photo.rgb.shape[:2])
    board = sheets().board_mm
    found = find_tags(photo).corners_px
    ids = sorted(set(found) & set(board))
    if len(ids) < LEAST_TAGS:
        return None
    return _View(np.vstack([board[i] for i in ids]), np.vstack([found[i] for i in ids]))


def calibrate(photos: Iterable[Photo]) -> Calibration:
    """Focal length, middle and bends of a lens from photos of the printed board.

    Parameters
    ----------
    photos
        Six or more, of one camera, all of one shape, the board tilted different ways. Each is let go before
        the next is taken, so a dozen need no more memory than one.

    Raises
    ------
    TooFewViewsError
        If fewer than six show at least eight tags.
    BadCameraFileError
        If they are of different shapes.

    Notes
    -----
    Zhang 2000 (IEEE Trans Pattern Anal Mach Intell 22:1330) with radial k1 to k3 and tangential p1, p2, by
    OpenCV, on corners from our own lines.
    """
    import cv2

    shapes: set[tuple[int, ...]] = set()
    taken = [_view(photo, shapes) for photo in photos]
    if len(shapes) > 1:
        raise BadCameraFileError("calibration", "The photos are of different shapes.")
    views = [v for v in taken if v is not None]
    if len(views) < LEAST_VIEWS:
        raise TooFewViewsError(len(views), len(taken))
    height, width = next(iter(shapes))
    solid: Any = [np.column_stack([v.plane, np.zeros(len(v.plane))]).astype(np.float32) for v in views]
    flat: Any = [v.seen.astype(np.float32) for v in views]
    start: Any = None
    rms, matrix, bends, _, _ = cv2.calibrateCamera(solid, flat, (width, height), start, start)
    k = np.asarray(matrix, float)
    return Calibration(
        width_px=width,
        height_px=height,
        focal_px=(float(k[0, 0]), float(k[1, 1])),
        middle_px=(float(k[0, 2]), float(k[1, 2])),
        bends=tuple(float(v) for v in np.asarray(bends, float).ravel()[:5]),
        views=len(views),
        rms_px=float(rms),
    )
