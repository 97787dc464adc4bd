"""Tags in rendered photos: every way in which a picture can be unfit, calibration, and the command."""

import json
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image
from typer.testing import CliRunner

from evenground.capture.bar_photo import (
    Known,
    Line,
    LineBackwardsError,
    PrintScaleError,
    _told,
    measure_bar_photo,
    read_bar_photo,
    refuse_without,
)
from evenground.capture.camera_file import (
    BadCameraFileError,
    Calibration,
    TooFewViewsError,
    calibrate,
    read_camera,
)
from evenground.capture.photo import Photo
from evenground.capture.sheets import sheets
from evenground.capture.tags import MirroredPrintError, TagNotFoundError, TooDarkError, find_tags
from evenground.cli import app
from evenground.estimate import Estimate
from evenground.floor import Handed
from evenground.measure.tagged import TaggedLine
from evenground.report.bar_picture import bar_picture
from evenground.simulate.tags import FOCAL_PX, TagScene, render_board, render_scene


def photo(scene: TagScene, rgb: np.ndarray | None = None) -> Photo:
    return Photo(name="bar.jpg", rgb=scene.rgb if rgb is None else rgb, reduced=1.0, focal_px=FOCAL_PX)


def calibrated(scene: TagScene) -> Calibration:
    """The scene's own lens as a calibration file holds it."""
    height, width = scene.rgb.shape[:2]
    lens = scene.lens
    return Calibration(
        width_px=width,
        height_px=height,
        focal_px=lens.focal_px,
        middle_px=lens.middle_px,
        bends=lens.bends,
        views=12,
        rms_px=0.1,
    )


@pytest.fixture(scope="module")
def scene() -> TagScene:
    return render_scene(np.random.default_rng(1), tilt_deg=6.0)


def test_corners_lie_where_they_were_rendered(scene: TagScene) -> None:
    found = find_tags(photo(scene))
    assert set(found.corners_px) == set(scene.corners_px)
    off = [np.abs(found.corners_px[i] - c).max() for i, c in scene.corners_px.items()]
    assert float(np.median(off)) < 0.15


def test_hip_line_is_open_anticlockwise_for_a_right_handed_player_and_mirrored_for_a_left_handed_one(
    scene: TagScene,
) -> None:
    right, left = (measure_bar_photo(photo(scene), handed=h) for h in ("right", "left"))
    hip = right.angles["hip line"].angle_deg
    assert hip.value == pytest.approx(scene.anticlockwise_deg, abs=2.0 * hip.half_width())
    assert left.angles["hip line"].angle_deg.value == pytest.approx(-hip.value, abs=1e-9)
    assert any("not calibrated" in n for n in right.notes)


def test_a_photo_held_upside_down_gives_the_same_angle(scene: TagScene) -> None:
    turned = np.ascontiguousarray(scene.rgb[::-1, ::-1])
    plain, other = (
        measure_bar_photo(photo(scene), handed="right"),
        measure_bar_photo(photo(scene, turned), handed="right"),
    )
    one, same = (p.angles["hip line"].angle_deg.value for p in (plain, other))
    assert same == pytest.approx(one, abs=0.05)


def test_a_hidden_end_is_named() -> None:
    hidden = render_scene(np.random.default_rng(1), hidden=(1,))
    with pytest.raises(TagNotFoundError, match=r"Tag 1 \(the other end of the bar\)"):
        measure_bar_photo(photo(hidden), handed="right")


def test_a_hidden_strip_is_said() -> None:
    hidden = render_scene(np.random.default_rng(1), hidden=tuple(range(20, 31)))
    with pytest.raises(TagNotFoundError, match="The floor strip is not in the picture"):
        measure_bar_photo(photo(hidden), handed="right")


def test_mirrored_tags_are_told_from_missing_ones(scene: TagScene) -> None:
    with pytest.raises(MirroredPrintError):
        find_tags(photo(scene, np.ascontiguousarray(scene.rgb[:, ::-1])))


def test_a_dark_picture_is_said_to_be_dark(scene: TagScene) -> None:
    with pytest.raises(TooDarkError):
        find_tags(photo(scene, (scene.rgb // 12).astype(np.uint8)))


def test_a_picture_blurred_beyond_use_has_no_tags(scene: TagScene) -> None:
    blurred = render_scene(np.random.default_rng(1), tilt_deg=6.0, blur_px=14.0)
    with pytest.raises(TagNotFoundError, match="the picture is blurred"):
        measure_bar_photo(photo(blurred), handed="right")


def test_glare_over_one_strip_tag_leaves_it_out_and_the_angle_stays(scene: TagScene) -> None:
    rgb = scene.rgb.copy()
    middle = scene.corners_px[25].mean(axis=0).astype(int)
    rgb[middle[1] - 25 : middle[1] + 25, middle[0] - 60 : middle[0] + 5] = 255
    plain, glared = (
        measure_bar_photo(photo(scene), handed="right"),
        measure_bar_photo(photo(scene, rgb), handed="right"),
    )
    assert glared.strip_tags < plain.strip_tags
    one, other = (p.angles["hip line"].angle_deg for p in (plain, glared))
    assert other.value == pytest.approx(one.value, abs=0.1)


def test_a_print_of_another_scale_is_corrected_by_its_check_bar(scene: TagScene) -> None:
    plain = measure_bar_photo(photo(scene), handed="right")
    scaled = measure_bar_photo(photo(scene), handed="right", known=Known(print_scale=0.97))
    one, other = plain.angles["hip line"], scaled.angles["hip line"]
    assert other.angle_deg.value == pytest.approx(one.angle_deg.value, abs=1e-6)
    assert other.length_mm.value == pytest.approx(0.97 * one.length_mm.value, rel=1e-6)


@pytest.mark.parametrize(("name", "line"), [("face", "face"), ("left-foot", "left toe-out")])
def test_face_and_toe_out_are_read_in_the_trades_sign(name: str, line: Line) -> None:
    scene = render_scene(np.random.default_rng(4), name=name, tilt_deg=5.0)
    angle = measure_bar_photo(photo(scene), handed="right").angles[line].angle_deg
    # Anti-clockwise from straight ahead: closed for a right-handed face, outward for a left foot.
    turned = scene.anticlockwise_deg - 90.0
    assert angle.value == pytest.approx(-turned if line == "face" else turned, abs=2.0 * angle.half_width())


def test_the_ball_lies_inside_the_lead_heel_of_either_golfer() -> None:
    # Strip 780 mm wide, its edges at the lead heel: 130 mm from the left edge is 650 mm from the right one.
    scene = render_scene(np.random.default_rng(4), ball_mm=(130.0, 420.0), tilt_deg=5.0)
    golfers: tuple[tuple[Handed, float], ...] = (("right", 130.0), ("left", 650.0))
    for handed, inside in golfers:
        place = measure_bar_photo(photo(scene), handed=handed).ball_from_lead_mm
        assert place is not None
        assert place[0].value == pytest.approx(inside, abs=max(2.0 * place[0].half_width(), 1.0))
        assert place[1].value == pytest.approx(420.0, abs=max(2.0 * place[1].half_width(), 1.0))
        assert place[1].se < 4.0


def test_a_photo_may_hold_the_ball_and_no_bar(scene: TagScene) -> None:
    ball = render_scene(np.random.default_rng(4), ball_mm=(130.0, 420.0), hidden=(0, 1))
    read = read_bar_photo(photo(ball), handed="right")
    refuse_without(read, "ball")
    with pytest.raises(TagNotFoundError, match=r"Tags 0 and 1 \(hip line\)"):
        refuse_without(read, "hip line")
    with pytest.raises(TagNotFoundError, match=r"Tag 10 \(the ball\)"):
        refuse_without(read_bar_photo(photo(scene), handed="right"), "ball")


def test_a_strip_laid_the_wrong_way_round_is_seen_by_the_face() -> None:
    scene = render_scene(np.random.default_rng(4), name="face", tilt_deg=5.0)
    plan = sheets()
    first, last, _ = plan.ends["face"]
    swapped = dict(plan.ends) | {"face": (last, first, 30.0)}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("evenground.capture.bar_photo.sheets", lambda: replace(plan, ends=swapped))
        with pytest.raises(LineBackwardsError, match="wrong way round"):
            measure_bar_photo(photo(scene), handed="right")


def test_a_print_of_another_scale_than_the_strip_shows_in_heights_that_cannot_be() -> None:
    small = render_scene(np.random.default_rng(4), name="left-foot", tag_scale=0.94, tilt_deg=5.0)
    with pytest.raises(PrintScaleError, match="above the floor strip"):
        measure_bar_photo(photo(small), handed="right")


def test_a_tape_along_the_bar_or_up_to_it_shows_a_print_of_another_scale(scene: TagScene) -> None:
    true = Known(bar_mm=scene.length_mm, heights_mm=scene.heights_mm)
    assert measure_bar_photo(photo(scene), handed="right", calibration=calibrated(scene), known=true).angles
    with pytest.raises(PrintScaleError, match="by the tape"):
        measure_bar_photo(photo(scene), handed="right", known=Known(bar_mm=scene.length_mm / 0.94))
    high = (scene.heights_mm[0] + 120.0, scene.heights_mm[1] + 120.0)
    lens = calibrated(scene)
    with pytest.raises(PrintScaleError, match="measured"):
        measure_bar_photo(photo(scene), handed="right", calibration=lens, known=Known(heights_mm=high))
    # With an unknown lens the tags' sizes do not tell heights to 120 mm, and nothing is claimed.
    measure_bar_photo(photo(scene), handed="right", known=Known(heights_mm=high))


def test_glare_over_the_bars_tag_is_named(scene: TagScene) -> None:
    rgb = scene.rgb.copy()
    x, y = scene.corners_px[1].mean(axis=0).astype(int)
    cv2.circle(rgb, (int(x), int(y)), 70, (255, 255, 255), -1)
    with pytest.raises(TagNotFoundError, match="burnt out by glare"):
        measure_bar_photo(photo(scene, rgb), handed="right")


def test_a_bar_whose_tags_alone_are_mirrored_is_said_to_be_mirrored(scene: TagScene) -> None:
    rgb = scene.rgb.copy()
    for tag in (0, 1):
        low, high = (f(scene.corners_px[tag], axis=0).astype(int) for f in (np.min, np.max))
        patch = (slice(low[1] - 9, high[1] + 9), slice(low[0] - 9, high[0] + 9))
        rgb[patch] = rgb[patch][:, ::-1]
    with pytest.raises(MirroredPrintError):
        measure_bar_photo(photo(scene, rgb), handed="right")


def test_what_a_second_photo_shows_again_is_less_than_the_whole_error(
    scene: TagScene,
) -> None:
    angle = measure_bar_photo(photo(scene), handed="right").angles["hip line"]
    assert 0.0 < angle.again_deg < angle.shared_deg
    assert np.hypot(angle.again_deg, angle.shared_deg) == pytest.approx(angle.angle_deg.se)


def test_the_picture_shows_the_photo_turned_to_the_target_line(scene: TagScene) -> None:
    plain, turned = (
        np.asarray(bar_picture(read_bar_photo(photo(scene, rgb), handed="right")), float)
        for rgb in (scene.rgb, np.ascontiguousarray(np.rot90(scene.rgb)))
    )
    assert plain.shape == turned.shape
    assert float(np.abs(plain - turned).mean()) < 6.0
    accent = (np.abs(plain - [156, 61, 42]).max(axis=2) < 12).sum()
    assert accent > 500


@pytest.fixture(scope="module")
def calibration() -> Calibration:
    rng = np.random.default_rng(8)
    views = [Photo(name=f"{k}.jpg", rgb=render_board(rng)[0], reduced=1.0, focal_px=None) for k in range(8)]
    return calibrate(views)


def test_calibration_finds_the_rendered_lens(calibration: Calibration) -> None:
    assert calibration.focal_px[0] == pytest.approx(0.75 * 1200, rel=0.01)
    assert calibration.bends[0] == pytest.approx(0.05, abs=0.03)
    assert calibration.rms_px < 0.5


def test_calibration_follows_a_reduced_photo_and_refuses_another_shape(calibration: Calibration) -> None:
    half = Photo(name="half.jpg", rgb=np.zeros((450, 600, 3), np.uint8), reduced=0.5, focal_px=None)
    assert calibration.lens_for(half).focal_px[0] == pytest.approx(calibration.focal_px[0] / 2.0)
    upright = Photo(name="up.jpg", rgb=np.zeros((600, 450, 3), np.uint8), reduced=0.5, focal_px=None)
    with pytest.raises(BadCameraFileError, match="another shape"):
        calibration.lens_for(upright)


def test_photos_without_the_board_calibrate_nothing(scene: TagScene) -> None:
    with pytest.raises(TooFewViewsError, match="0 of 2 photos"):
        calibrate([photo(scene), photo(scene)])


def test_command_measures_a_photo_and_writes_json(scene: TagScene, tmp_path: Path) -> None:
    path = tmp_path / "bar.png"
    Image.fromarray(scene.rgb).save(path)
    said = json.loads(CliRunner().invoke(app, ["bar", str(path), "--json"]).stdout)
    assert said["angles"]["hip line"]["angle_deg"]["value"] == pytest.approx(scene.anticlockwise_deg, abs=0.6)
    assert said["calibrated"] is False
    assert CliRunner().invoke(app, ["bar", str(path), "--left-mm", "900"]).exit_code == 2


def test_camera_command_writes_what_bar_reads(tmp_path: Path) -> None:
    rng = np.random.default_rng(8)
    files = []
    for k in range(6):
        files.append(str(tmp_path / f"{k}.png"))
        Image.fromarray(render_board(rng, wide_px=900)[0]).save(files[-1])
    out = tmp_path / "phone.json"
    assert CliRunner().invoke(app, ["camera", "calibrate", *files, "--out", str(out)]).exit_code == 0
    assert read_camera(out).views >= 6
    (tmp_path / "no.json").write_text("{}", "utf-8")
    with pytest.raises(BadCameraFileError, match="no calibrated camera"):
        read_camera(tmp_path / "no.json")


# Turns anti-clockwise from the target line, x to the player's right: heel to toe of a rod or foot straight
# ahead is 90 deg. A face is open turned clockwise for a right-handed player; a foot turns out.
@pytest.mark.parametrize(
    ("name", "turn", "handed", "said", "flipped"),
    [
        ("face", 88.0, "right", 2.0, False),
        ("face", 88.0, "left", -2.0, False),
        ("right toe-out", 80.0, "right", 10.0, False),
        ("left toe-out", 100.0, "right", 10.0, False),
        ("left toe-out", 85.0, "left", -5.0, False),
        ("shoulder line", 3.0, "right", 3.0, False),
        ("shoulder line", 3.0, "left", -3.0, False),
        ("hip line", 178.0, "right", -2.0, True),
        ("hip line", -176.0, "right", 4.0, True),
    ],
)
def test_signs_of_every_line(name: Line, turn: float, handed: Handed, said: float, flipped: bool) -> None:
    length = Estimate(value=400.0, se=1.0, unit="mm")
    line = TaggedLine(
        anticlockwise_deg=Estimate(value=turn, se=0.1, unit="deg"),
        again_deg=0.06,
        length_mm=length,
        heights_mm=(length, length),
    )
    told = _told(name, line, handed)
    assert told.angle_deg.value == pytest.approx(said)
    assert told.end_for_end == flipped
    assert (told.again_deg, told.shared_deg) == pytest.approx((0.06, 0.08))
