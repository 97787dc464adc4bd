"""The printable sheets as data: which tag stands where; read by the printing and by the detection."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["Sheets", "corners_mm", "modules", "sheets"]

FloatArray = NDArray[np.float64]


DOWN = np.array([1.0, -1.0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheets:
    """`ends`: first id, last id, size of each tagged line by name; `strip_mm`: corners by id, y ahead.

    `hand_mm` has y down, as a hand is seen in a picture.
    """

    ends: Mapping[str, tuple[int, int, float]]
    ball: tuple[int, float]
    strip_mm: Mapping[int, FloatArray]
    strip_size_mm: float
    hand_mm: Mapping[int, FloatArray]
    board_mm: Mapping[int, FloatArray]
    plain: Mapping[str, Any]


def corners_mm(x_mm: float, y_mm: float, size_mm: float) -> FloatArray:
    """Corners (4, 2) of an upright tag, y ahead: left far, right far, right near, left near.

    The order in which a detector gives them: clockwise from the print's top left.
    """
    h = size_mm / 2.0
    return np.array([[x_mm - h, y_mm + h], [x_mm + h, y_mm + h], [x_mm + h, y_mm - h], [x_mm - h, y_mm - h]])


@cache
def sheets() -> Sheets:
    """What `sheets.toml` says."""
    plain = tomllib.loads(files("evenground.capture").joinpath("sheets.toml").read_text("utf-8"))
    names = {"bar": ("left", "right"), "shoulders": ("left", "right")}
    names |= dict.fromkeys(("face", "left-foot", "right-foot"), ("heel", "toe"))
    ends = {n: (plain[n][a], plain[n][b], plain[n]["size_mm"]) for n, (a, b) in names.items()}
    strip, board, hand = plain["strip"], plain["calibration"], plain["hand-sheet"]
    strip_mm = {}
    for sheet in range(strip["sheets"]):
        for k, (x, y) in enumerate(zip(strip["x_mm"], strip["y_mm"], strict=True)):
            tag = strip["first_id"] + sheet * len(strip["x_mm"]) + k
            strip_mm[tag] = corners_mm(sheet * strip["sheet_wide_mm"] + x, y, strip["size_mm"])
    board_mm = {
        board["first_id"] + row * board["columns"] + column: corners_mm(
            column * board["pitch_mm"], -row * board["pitch_mm"], board["size_mm"]
        )
        for row in range(board["rows"])
        for column in range(board["columns"])
    }
    places = zip(hand["ids"], hand["x_mm"], hand["y_mm"], strict=True)
    return Sheets(
        ends=ends,
        ball=(plain["ball"]["ball"], plain["ball"]["size_mm"]),
        strip_mm=strip_mm,
        strip_size_mm=strip["size_mm"],
        hand_mm={tag: corners_mm(x, -y, hand["size_mm"]) * DOWN for tag, x, y in places},
        board_mm=board_mm,
        plain=plain,
    )


@cache
def modules(tag: int) -> NDArray[np.bool_]:
    """(8, 8) modules of a tag, True where it is black; the outer ring is its border."""
    import cv2

    family = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    return np.asarray(cv2.aruco.generateImageMarker(family, tag, 8, borderBits=1)) < 128
