"""Rendered hands through the camera's way: sizes, sheets and scans, and pictures that must be refused."""

import io
from dataclasses import replace
from typing import Any

import cv2
import numpy as np
import pytest
from bench.prove_hands import measured
from PIL import Image

from evenground.capture.hand_photo import BadScaleError, BlurredError, NoHandError, TwoHandsError, find_hand
from evenground.capture.hand_scale import ScaleNotFoundError
from evenground.capture.photo import Photo, PhotoTooLargeError, UnreadablePhotoError, read_photo
from evenground.capture.sheets import modules, sheets
from evenground.errors import EvengroundError
from evenground.floor import Side
from evenground.measure.hand_outline import FingersNotApartError, HandCutOffError, find_landmarks
from evenground.measure.hand_sizes import hand_sizes
from evenground.simulate.hands import Fault, RenderedHand, render_hand


@pytest.fixture(scope="module")
def rendered() -> RenderedHand:
    return render_hand(np.random.default_rng(3), forearm=True)


def test_a_rendered_hand_beside_a_card_is_measured_within_its_errors(rendered: RenderedHand) -> None:
    sizes = measured(rendered)
    assert sizes.side == rendered.side
    assert sizes.hand_breadth_mm.value == pytest.approx(rendered.hand_breadth_mm, abs=2.5)
    assert abs(sizes.hand_length_mm.value - rendered.hand_length_mm) < 2.0 * sizes.hand_length_mm.half_width()
    for name, truth in rendered.fingers_mm.items():
        assert sizes.fingers_mm[name].value == pytest.approx(truth, abs=2.5)


def test_a_side_that_the_shape_denies_is_said(rendered: RenderedHand) -> None:
    photo = Photo(name="r", rgb=rendered.rgb[::2, ::2].copy(), reduced=1.0, focal_px=None)
    found = find_hand(photo, "card", camera_mm=rendered.camera_mm)
    marks = find_landmarks(found.shape)
    other: Side = "left" if rendered.side == "right" else "right"
    assert any("check the side" in n for n in hand_sizes(marks, found.measuring, side=other).notes)
    assert hand_sizes(marks, found.measuring, palm_up=True).side == other


@pytest.mark.parametrize(
    ("fault", "error"),
    [
        ("no scale", ScaleNotFoundError),
        ("closed fingers", FingersNotApartError),
        ("two hands", (TwoHandsError, FingersNotApartError)),
        ("cut off", (HandCutOffError, FingersNotApartError)),
        ("blurred", BlurredError),
    ],
)
def test_an_unfit_picture_is_refused(fault: Fault, error: type[EvengroundError]) -> None:
    with pytest.raises(error):
        measured(render_hand(np.random.default_rng(5), fault=fault))


def drawn(dpi: float, ground: tuple[int, int, int] = (245, 245, 242)) -> np.ndarray:
    """A plain left hand of known length as a scan: palm block, five capsule fingers, nothing else."""
    px = dpi / 25.4
    picture = np.full((int(297 * px), int(210 * px), 3), ground, np.uint8)

    def at(x: float, y: float) -> tuple[int, int]:
        return round((105 + x) * px), round((240 - y) * px)

    skin = (190, 138, 108)
    cv2.rectangle(picture, at(-40, 90), at(40, 0), skin, -1)
    for x, base, tip, lean in ((30, 80, 160, 6), (9, 80, 180, 0), (-12, 80, 168, -4), (-32, 70, 138, -10)):
        cv2.line(picture, at(x, base), at(x + lean, tip), skin, round(16 * px), cv2.LINE_AA)
    cv2.line(picture, at(30, 30), at(72, 92), skin, round(18 * px), cv2.LINE_AA)
    return picture


def test_a_scan_takes_its_scale_from_its_resolution() -> None:
    photo = Photo(name="scan", rgb=drawn(120.0), reduced=1.0, focal_px=None)
    found = find_hand(photo, "dpi:120")
    sizes = hand_sizes(find_landmarks(found.shape), found.measuring)
    assert sizes.side == "left"
    assert sizes.hand_length_mm.value == pytest.approx(180.0 + 8.0, abs=1.5)  # the tip's own radius is 8 mm
    # The knuckles' chord slants by 24 mm across this palm of 80 mm.
    assert sizes.hand_breadth_mm.value == pytest.approx(83.4, abs=1.5)
    assert (
        hand_sizes(find_landmarks(find_hand(photo, "dpi:240").shape), found.measuring).hand_length_mm.value
        < 100.0
    )


@pytest.mark.parametrize(("scale", "size"), [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))])
def test_a_hand_on_a_sheet_takes_its_scale_from_the_sheets_edge(
    scale: str, size: tuple[float, float]
) -> None:
    paper = cv2.resize(drawn(100.0)[: round(279 * 100 / 25.4)], (round(size[0] * 4), round(279.0 * 4)))
    sheet = np.full((round(size[1] * 4), paper.shape[1], 3), (245, 245, 242), np.uint8)
    sheet[: paper.shape[0]] = paper[: sheet.shape[0]]
    table = np.full((1500, 1300, 3), (70, 60, 52), np.uint8)
    corners = np.array([[200, 120], [1040, 150], [1050, 1330], [180, 1300]], np.float32)
    inside = np.array(
        [[0, 0], [sheet.shape[1], 0], [sheet.shape[1], sheet.shape[0]], [0, sheet.shape[0]]], np.float32
    )
    to = cv2.getPerspectiveTransform(inside, corners)
    seen: Any = cv2.warpPerspective(sheet, to, (1300, 1500), table, borderMode=cv2.BORDER_TRANSPARENT)
    found = find_hand(Photo(name="s", rgb=seen, reduced=1.0, focal_px=None), scale)
    sizes = hand_sizes(find_landmarks(found.shape), found.measuring)
    stretch = size[0] / 210.0  # the drawing was stretched across to the sheet's width
    assert sizes.hand_breadth_mm.value == pytest.approx(83.4 * stretch, abs=2.0)
    assert sizes.side == "left"


def test_a_hand_between_the_tags_of_the_hand_sheet_takes_its_scale_from_them() -> None:
    plan = sheets()
    size = plan.plain["hand-sheet"]["size_mm"]
    px = 4.0
    sheet: Any = cv2.resize(drawn(px * 25.4), (round(210 * px), round(297 * px)))
    for tag, corners in plan.hand_mm.items():
        x, y = corners.mean(axis=0) + np.array([10.0, 10.0])
        code: Any = np.kron(np.where(modules(tag), 20, 245).astype(np.uint8), np.ones((12, 12), np.uint8))
        side = round(size * px)
        left, top = round(x * px - side / 2), round(y * px - side / 2)
        sheet[top : top + side, left : left + side] = cv2.resize(code, (side, side))[..., None]
    table = np.full((1500, 1300, 3), (70, 60, 52), np.uint8)
    inside = np.array(
        [[0, 0], [sheet.shape[1], 0], [sheet.shape[1], sheet.shape[0]], [0, sheet.shape[0]]], np.float32
    )
    corners_px = np.array([[210, 130], [1060, 150], [1050, 1340], [190, 1320]], np.float32)
    to = cv2.getPerspectiveTransform(inside, corners_px)
    seen: Any = cv2.warpPerspective(sheet, to, (1300, 1500), table, borderMode=cv2.BORDER_TRANSPARENT)
    photo = Photo(name="s", rgb=seen, reduced=1.0, focal_px=None)
    found = find_hand(photo, "tags")
    sizes = hand_sizes(find_landmarks(found.shape), found.measuring)
    assert found.scale_name == "hand sheet"
    assert sizes.side == "left"
    assert sizes.hand_breadth_mm.value == pytest.approx(83.4, abs=2.0)
    with pytest.raises(ScaleNotFoundError, match="three of its tags"):
        find_hand(Photo(name="r", rgb=drawn(60.0), reduced=1.0, focal_px=None), "tags")


def test_nothing_but_ground_is_no_hand() -> None:
    rng = np.random.default_rng(2)
    plain = np.clip(rng.normal(200.0, 3.0, (600, 500, 3)), 0, 255).astype(np.uint8)
    with pytest.raises(NoHandError):
        find_hand(Photo(name="p", rgb=plain, reduced=1.0, focal_px=None), "dpi:100")


@pytest.mark.parametrize("scale", ["thumb", "dpi:3", "dpi:99999", ""])
def test_an_unknown_scale_is_refused(scale: str, rendered: RenderedHand) -> None:
    with pytest.raises(BadScaleError, match="is no scale"):
        find_hand(Photo(name="r", rgb=rendered.rgb[::4, ::4].copy(), reduced=1.0, focal_px=None), scale)


def jpeg(size: tuple[int, int], **more: object) -> bytes:
    stream = io.BytesIO()
    Image.new("RGB", size, (9, 99, 199)).save(stream, "JPEG", **more)
    return stream.getvalue()


def test_a_photo_is_turned_upright_and_keeps_no_tag() -> None:
    tags = Image.Exif()
    tags[0x0112] = 6  # turn by 90 degrees
    tags.get_ifd(0x8769)[0xA405] = 26
    photo = read_photo(jpeg((400, 300), exif=tags))
    assert photo.rgb.shape == (400, 300, 3)
    assert photo.focal_px == pytest.approx(26.0 / 43.27 * 500.0)


def test_a_large_photo_is_reduced_and_says_by_how_much() -> None:
    photo = read_photo(jpeg((3000, 2000)), most_side=1500)
    assert photo.rgb.shape == (1000, 1500, 3)
    assert photo.reduced == pytest.approx(0.5, rel=1e-3)


def test_a_picture_bomb_is_refused_before_a_pixel_is_opened() -> None:
    stream = io.BytesIO()
    Image.new("1", (12_000, 9_000)).save(stream, "PNG")
    with pytest.raises(PhotoTooLargeError, match="12000 x 9000"):
        read_photo(stream.getvalue())


@pytest.mark.parametrize("raw", [b"", b"<svg/>", b"\xff\xd8\xff\xe0 cut", jpeg((64, 64))[:300]])
def test_what_is_no_picture_gets_one_sentence(raw: bytes) -> None:
    with pytest.raises(UnreadablePhotoError, match="This photo cannot be read"):
        read_photo(raw, file="odd.jpg")


def test_heic_is_read_where_its_reader_is_installed() -> None:
    pillow_heif = pytest.importorskip("pillow_heif")
    stream = io.BytesIO()
    pillow_heif.from_pillow(Image.new("RGB", (320, 240), (10, 120, 200))).save(stream, quality=90)
    photo = read_photo(stream.getvalue(), file="phone.heic")
    assert photo.rgb.shape == (240, 320, 3)
    assert replace(photo, name="x").rgb[0, 0, 2] > 150
