"""Readings from photos of tags on their pages: consent, errors, pictures, refusals, left-handed players."""

import io
import json
from datetime import date
from pathlib import Path
from typing import Any
from uuid import uuid4

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from evenground.records.blobs import open_blob
from evenground.records.exchange import export_visit
from evenground.records.importing import import_bundle
from evenground.records.log import entries_of
from evenground.records.models import Blob, Consent, Instrument, ReadingBlob, Visit
from evenground.simulate.tags import TagScene, render_scene
from evenground.studio.cameras import choose_camera
from tests.studio.pages.conftest import Desk


@pytest.fixture(scope="module")
def bar() -> TagScene:
    made = render_scene(np.random.default_rng(4), tilt_deg=6.0)
    assert made.anticlockwise_deg > 5.0
    return made


def jpeg(scene: TagScene) -> bytes:
    stream = io.BytesIO()
    whole = Image.fromarray(scene.rgb)
    whole.reduce(2).save(stream, "JPEG", quality=92)
    return stream.getvalue()


def agree(desk: Desk) -> None:
    who = {"player": desk.visit.player, "given_by": "the player", "given_on": date(2026, 1, 1)}
    Consent.objects.create(kind="photos", text_version="1", **who)


def send(desk: Desk, use: str, photo: bytes, **said: Any) -> Any:
    sent = {"id": str(uuid4()), "camera": "", **said}
    file = SimpleUploadedFile("IMG_0007.jpg", photo, content_type="image/jpeg")
    return desk.client.post(f"{desk.at}send/bar-photo/{use}/", {"sent": json.dumps(sent), "photo": file})


HIP = {"width_mm": "412", "family": "irons", "phase": "before", "confirms": "no"}


def test_a_photo_of_the_bar_becomes_a_trial_with_its_two_errors_and_its_picture(
    desk: Desk, bar: TagScene
) -> None:
    agree(desk)
    desk.type("hip-line set-up", "landmark", "belt line")
    assert send(desk, "hip-line", jpeg(bar), **HIP).json()["state"] == "saved"
    desk.trial("hip-line trial", {"hip_line_deg": "open"}, width_mm="430", hip_line_deg="2", family="irons")
    check = desk.scene.visit.hip_line
    assert check is not None
    seen, typed = check.trials
    assert (seen.trial, seen.width_mm, seen.family) == (1, 412.0, "irons")
    assert seen.se_deg is not None
    assert seen.shared_se_deg is not None
    whole = np.hypot(seen.se_deg, seen.shared_se_deg)
    assert abs(seen.hip_line_deg - bar.anticlockwise_deg) < 1.96 * 2.0 * whole
    assert (typed.trial, typed.se_deg, typed.shared_se_deg) == (2, None, None)
    page = desk.page("hip-line")
    drawn = ReadingBlob.objects.get(name__endswith="-drawn.jpg")
    assert f"/files/{drawn.blob_id}" in page
    with open_blob(ReadingBlob.objects.get(name__endswith="-read.json").blob_id) as stream:
        kept = json.load(stream)
    assert kept["angles"]["hip line"]["angle_deg"]["value"] == pytest.approx(seen.hip_line_deg, abs=0.006)


def test_an_angle_typed_over_a_photos_has_no_photos_error(desk: Desk, bar: TagScene) -> None:
    agree(desk)
    desk.type("hip-line set-up", "landmark", "belt line")
    send(desk, "hip-line", jpeg(bar), **HIP)
    desk.type("hip-line trial", "hip_line_deg", "4", trial=1, word="open")
    check = desk.scene.visit.hip_line
    assert check is not None
    assert (check.trials[0].hip_line_deg, check.trials[0].se_deg) == (4.0, None)


def test_a_left_handed_players_bar_is_open_the_other_way(desk: Desk, bar: TagScene) -> None:
    agree(desk)
    desk.type("hip-line set-up", "landmark", "belt line")
    desk.type("player", "handed", "left")
    send(desk, "hip-line", jpeg(bar), **HIP)
    check = desk.scene.visit.hip_line
    assert check is not None
    assert check.trials[0].hip_line_deg == pytest.approx(-bar.anticlockwise_deg, abs=0.6)


def test_the_studios_calibrated_camera_stands_first_and_narrows_the_error(desk: Desk, bar: TagScene) -> None:
    agree(desk)
    desk.type("hip-line set-up", "landmark", "belt line")
    height, width = bar.rgb.shape[:2]
    lens = {n: getattr(bar.lens, n) for n in ("focal_px", "middle_px", "bends")}
    lens |= {"width_px": width, "height_px": height, "views": 12, "rms_px": 0.2}
    row = Instrument.objects.create(kind="camera", name="the phone", details={"calibration": lens})
    choose_camera(row)
    page = desk.page("hip-line")
    assert page.index("the phone") < page.index("another, not calibrated")
    for camera in (str(row.pk), ""):
        assert send(desk, "hip-line", jpeg(bar), camera=camera, **HIP).status_code == 200
    check = desk.scene.visit.hip_line
    assert check is not None
    with_lens, without = (t.shared_se_deg or 0.0 for t in check.trials)
    assert with_lens < without


def test_without_consent_or_without_the_bar_in_it_nothing_is_stored(desk: Desk, bar: TagScene) -> None:
    assert "photo" in send(desk, "hip-line", jpeg(bar), **HIP).json()["sentence"].lower()
    agree(desk)
    hidden = render_scene(np.random.default_rng(1), tilt_deg=6.0, hidden=(1,))
    assert "Tag 1" in send(desk, "hip-line", jpeg(hidden), **HIP).json()["sentence"]
    assert "Tags 4 and 5 (face)" in send(desk, "face", jpeg(bar), condition="as arrived").json()["sentence"]
    refused = send(desk, "turn", jpeg(bar), toward="trail", part="pelvis")
    assert "Say the other side" in refused.json()["sentence"]
    assert not Blob.objects.exists()
    assert desk.client.post(f"{desk.at}send/bar-photo/else/").status_code == 404


def test_toe_out_ball_face_and_turn_reach_their_checks(desk: Desk, bar: TagScene) -> None:
    agree(desk)
    rng = np.random.default_rng(4)
    foot = render_scene(rng, name="right-foot", tilt_deg=5.0)
    assert send(desk, "toe-out", jpeg(foot), family="irons").status_code == 200
    trail = desk.shown("as arrived", "toe_out_trail_deg", family="irons")
    assert trail == pytest.approx(90.0 - foot.anticlockwise_deg, abs=1.0)
    assert desk.shown("as arrived", "toe_out_lead_deg", family="irons") is None
    ball = render_scene(rng, ball_mm=(130.0, 420.0), tilt_deg=5.0)
    for _ in range(2):
        assert send(desk, "ball", jpeg(ball), family="woods").status_code == 200
    (place,) = desk.scene.visit.ball
    assert place.inside_lead_heel_mm == pytest.approx((130.0, 130.0), abs=5.0)
    assert place.from_toe_line_mm == pytest.approx((420.0, 420.0), abs=8.0)
    face = render_scene(rng, name="face", tilt_deg=5.0)
    desk.type("aim set-up", "distance_m", "2.5")
    assert send(desk, "face", jpeg(face), condition="as arrived").status_code == 200
    aim = desk.scene.visit.aim
    assert aim is not None
    assert aim.trials[0].face_deg == pytest.approx(90.0 - face.anticlockwise_deg, abs=1.0)
    assert aim.trials[0].se_deg is not None
    assert send(desk, "turn", jpeg(bar), toward="lead", part="pelvis").status_code == 200
    (turn,) = desk.scene.visit.turn
    assert (turn.toward, turn.part) == ("lead", "pelvis")
    assert turn.turn_deg == pytest.approx(bar.anticlockwise_deg, abs=0.6)
    for slug, said in (
        ("ball", "Woods, reading 2"),
        ("as-arrived", "Toe-out, irons"),
        ("aim", "Aim 1, as arrived"),
        ("turn", "Turn 1 toward the target, pelvis"),
    ):
        assert said in desk.page(slug)


def test_photo_drawing_and_figures_go_out_and_come_in_with_the_visit(
    desk: Desk, bar: TagScene, tmp_path: Path
) -> None:
    agree(desk)
    desk.type("hip-line set-up", "landmark", "belt line")
    send(desk, "hip-line", jpeg(bar), **HIP)
    export_visit(desk.visit.pk, tmp_path / "out")
    assert len(list((tmp_path / "out").rglob("photos/*"))) == 3
    before = entries_of(desk.visit.pk)
    Visit.objects.all().delete()
    again = import_bundle(tmp_path / "out", player=desk.visit.player)
    assert [(e.id, e.payload, e.blobs) for e in entries_of(again.pk)] == [
        (e.id, e.payload, e.blobs) for e in before
    ]


def test_a_trial_that_is_taken_back_takes_its_picture_along(desk: Desk, bar: TagScene) -> None:
    agree(desk)
    desk.type("hip-line set-up", "landmark", "belt line")
    reading = send(desk, "hip-line", jpeg(bar), **HIP).json()["reading"]
    drawn = ReadingBlob.objects.get(name__endswith="-drawn.jpg")
    desk.send("take-back", readings=[reading], why="wrong width")
    assert f"/files/{drawn.blob_id}" not in desk.page("hip-line")
