"""The plumb target as it is printed, seen tilted and small in a photo: upright and scale come out of it."""

import json
import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from evenground.capture.landmarks import read_landmarks, with_target
from evenground.capture.photo import Photo, read_photo
from evenground.capture.plumb_photo import find_plumb
from evenground.capture.sheets import modules, sheets
from evenground.capture.tags import MirroredPrintError

PX_PER_MM = 1.6
TILT_DEG = 2.0


@cache
def seen(*, tilt_deg: float = TILT_DEG, only: str = "") -> Image.Image:
    """The target on a wall, the camera turned a little; drawn large and reduced, as a lens would."""
    sheet, fine = sheets().plain["plumb"], 2.0
    wall = Image.new("L", (1600, 2000), 170)
    paper = Image.new("L", (int(210 * fine), int(297 * fine)), 245)
    for end, y in (("top", 73.5), ("bottom", 73.5 + sheet["apart_mm"])):
        if only in ("", end):
            side = round(sheet["size_mm"] * fine)
            tag = Image.fromarray(np.where(modules(sheet[end]), 10, 245).astype(np.uint8))
            paper.paste(
                tag.resize((side, side), Image.Resampling.NEAREST),
                (300 - side // 2, round(y * fine) - side // 2),
            )
    wall.paste(paper, (550, 650))
    turned = wall.rotate(tilt_deg, resample=Image.Resampling.BICUBIC, fillcolor=170)
    factor = PX_PER_MM / fine
    return turned.resize((round(1600 * factor), round(2000 * factor)), Image.Resampling.LANCZOS).convert(
        "RGB"
    )


def photo(picture: Image.Image, reduced: float = 1.0) -> Photo:
    return Photo(name="side.jpg", rgb=np.asarray(picture), reduced=reduced, focal_px=None)


def test_the_target_says_what_is_upright_and_how_large_a_pixel_is() -> None:
    found = find_plumb(photo(seen()))
    assert found is not None
    across, down = found.bottom[0] - found.top[0], found.bottom[1] - found.top[1]
    # Turning the picture counter-clockwise moves the lower end to the right.
    assert math.degrees(math.atan2(across, down)) == pytest.approx(TILT_DEG, abs=0.1)
    assert math.hypot(across, down) / found.apart_mm == pytest.approx(PX_PER_MM, rel=0.003)


def test_points_are_in_the_files_pixels_however_much_it_was_reduced() -> None:
    whole, half = find_plumb(photo(seen())), find_plumb(photo(seen(), reduced=0.5))
    assert whole is not None
    assert half is not None
    assert half.top == pytest.approx([2.0 * v + 0.5 for v in whole.top])


@pytest.mark.parametrize("only", ["top", "bottom", "none"])
def test_half_a_target_or_none_is_none(only: str) -> None:
    assert find_plumb(photo(seen(only=only))) is None


def test_a_mirrored_photo_is_refused_since_it_shows_the_other_side() -> None:
    mirrored = seen().transpose(Image.Transpose.FLIP_LEFT_RIGHT)
    with pytest.raises(MirroredPrintError):
        find_plumb(photo(mirrored))


def test_a_landmarks_file_takes_what_it_lacks_from_the_photo(tmp_path: Path) -> None:
    seen().save(tmp_path / "side.png")
    plain = {"unit": "px", "points": {"heel": [100, 900], "toe_tip": [300, 900]}}
    given = {"start": [0, 0], "end": [100, 0], "length_mm": 90}
    for scale, expected in ((None, 150.0), (given, 90.0)):
        (tmp_path / "marks.json").write_text(json.dumps(plain | ({"scale": scale} if scale else {})))
        marks = with_target(read_landmarks(tmp_path / "marks.json"), tmp_path / "side.png")
        assert marks.scale is not None
        assert marks.scale.length_mm == expected
        assert marks.plumb is not None
    assert read_photo(tmp_path / "side.png").reduced == 1.0
