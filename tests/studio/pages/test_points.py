"""Points on photos: kept as readings of their own, answered with new numbers, undone, typed, refused."""

import io
import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any
from uuid import uuid4

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from evenground.assess import assess
from evenground.capture.bundle import read_bundle
from evenground.records.exchange import export_visit
from evenground.records.log import entries_of
from evenground.records.models import Blob, Consent
from evenground.simulate.figure import pose_figure
from evenground.visit import PostureView
from tests.capture.test_plumb_photo import seen
from tests.measure.test_posture_view import view_of
from tests.studio.pages.conftest import Desk


def agree(desk: Desk) -> None:
    given = {"kind": "photos", "text_version": "1", "given_by": "the player"}
    Consent.objects.create(player=desk.visit.player, given_on=date(2026, 1, 1), **given)


def jpeg(size: tuple[int, int] = (900, 1200)) -> bytes:
    stream = io.BytesIO()
    noise = np.random.default_rng(4).integers(90, 170, (*size[::-1], 3), dtype=np.uint8)
    Image.fromarray(noise).save(stream, "JPEG")
    return stream.getvalue()


def send_photo(desk: Desk, photo: bytes = b"", **more: Any) -> Any:
    sent = {"id": str(uuid4()), "family": "irons", "side": "left", "length": "1000", **more}
    file = SimpleUploadedFile("IMG_0042.jpg", photo or jpeg(), content_type="image/jpeg")
    return desk.client.post(f"{desk.at}send/side-photo/", {"sent": json.dumps(sent), "photo": file})


def move(desk: Desk, view: str, point: str, at: tuple[float, float] | None, **more: Any) -> Any:
    x, y = (None, None) if at is None else at
    return desk.send("point", view=view, point=point, x_px=x, y_px=y, **more)


@pytest.fixture
def view(desk: Desk) -> str:
    """The name of a photo from the side that was just kept."""
    agree(desk)
    answer = send_photo(desk)
    assert answer.status_code == 200, answer.content
    return str(answer.json()["go"].rstrip("/").rpartition("/")[2])


@pytest.fixture(scope="module")
def figure() -> PostureView:
    """A posed figure well inside the photo."""
    view = view_of(pose_figure(np.random.default_rng(8)))
    low = min(v for at in view.placed.values() for v in at) - 20.0
    placed = {name: ((x - low) / 4.0, (y - low) / 4.0) for name, (x, y) in view.placed.items()}
    return replace(view, placed=placed)


def placed_all(desk: Desk, view: str, figure: PostureView) -> Any:
    for point, at in figure.placed.items():
        answer = move(desk, view, point, at)
        assert answer.status_code == 200, answer.content
    return answer.json()


def test_a_photo_without_consent_is_not_kept(desk: Desk) -> None:
    refused = send_photo(desk)
    assert refused.status_code == 422
    assert "photos" in refused.json()["sentence"]
    assert not Blob.objects.exists()


def test_a_kept_photo_leads_to_its_points_which_wait_and_do_not_count(desk: Desk, view: str) -> None:
    page = desk.page(f"points/{view}")
    assert page.count("is-asked") == page.count('class="point ')
    assert "heel and toe tip not marked" in page
    assert desk.scene.visit.posture_views[0].length_mm == 1000.0
    assert f"/points/{view}/" in desk.page("posture")


def test_the_printed_target_is_found_and_its_points_stay_found_when_they_are_moved(desk: Desk) -> None:
    agree(desk)
    stream = io.BytesIO()
    seen().save(stream, "JPEG", quality=92)
    answer = send_photo(desk, stream.getvalue(), length="")
    name = answer.json()["go"].rstrip("/").rpartition("/")[2]
    before = desk.scene.visit.posture_views[0]
    assert before.length_mm == 150.0
    assert set(before.found) == {"plumb_top", "plumb_bottom", "length_start", "length_end"}
    move(desk, name, "plumb_top", (5.0, 6.0))
    after = desk.scene.visit.posture_views[0]
    assert after.found == before.found
    assert after.points["plumb_top"] == (5.0, 6.0)
    assert desk.page(f"points/{name}").count("point is-found") == 3


def test_photo_and_points_go_out_with_the_visit_and_are_measured_from_the_bundle(
    desk: Desk, view: str, figure: PostureView, tmp_path: Path
) -> None:
    placed_all(desk, view, figure)
    export_visit(desk.visit.pk, tmp_path / "out")
    bundle = read_bundle(tmp_path / "out")
    assert bundle.visit.posture_views == desk.scene.visit.posture_views
    assert bundle.visit.posture_views[0].photo in bundle.digests
    found = assess(bundle.visit, bundle.studio, bundle.open_blob)
    assert found.value("posture.irons") is not None
    line = next(line for line in found.card if line.key == "posture")
    assert "Balance by the photo" in line.evidence


def test_placed_points_give_angles_on_the_page_in_the_visit_and_on_the_card(
    desk: Desk, view: str, figure: PostureView
) -> None:
    html = placed_all(desk, view, figure)["html"]
    assert "trunk from the vertical" in html
    assert "balance, from the heel" in html
    found = desk.scene.findings
    assert found is not None
    assert found.value("posture.irons") is not None
    assert "The figure over the photo" in desk.page(f"points/{view}")
    assert "trunk from the vertical" in desk.page("posture")


def test_both_places_of_a_point_stay_and_undoing_takes_back_with_a_reason(desk: Desk, view: str) -> None:
    for at in ((100.0, 200.0), (110.0, 200.0)):
        move(desk, view, "knee", at)
    move(desk, view, "knee", None)
    said = [e for e in entries_of(desk.visit.pk) if e.kind == "side point"]
    assert [e.payload.get("x_px") for e in said] == [100.0, 110.0, None]
    assert said[-1].void_reason == "moved back"
    assert desk.scene.visit.posture_views[0].placed == {}


def test_a_move_sent_twice_is_kept_once_even_when_it_took_a_point_off(desk: Desk, view: str) -> None:
    there, away = str(uuid4()), str(uuid4())
    for _ in range(2):
        move(desk, view, "hip", (10.0, 20.0), id=there)
    for _ in range(2):
        move(desk, view, "hip", None, id=away)
    assert sum(e.kind == "side point" for e in entries_of(desk.visit.pk)) == 2


def test_the_plain_form_keeps_only_what_was_changed_and_says_what_is_no_number(desk: Desk, view: str) -> None:
    move(desk, view, "hip", (10.0, 20.0))
    before = desk.seq
    fields = {"x:hip": "10.0", "y:hip": "20.0", "x:knee": "31", "y:knee": "42,5", "x:eye": "a", "y:eye": "1"}
    answer = desk.client.post(f"{desk.at}points/{view}/", fields, follow=True)
    assert desk.seq == before + 1
    assert desk.scene.visit.posture_views[0].placed["knee"] == (31.0, 42.5)
    assert "eye: type two numbers" in answer.content.decode()
    desk.client.post(f"{desk.at}points/{view}/", {"x:hip": "", "y:hip": ""})
    assert "hip" not in desk.scene.visit.posture_views[0].placed


@pytest.mark.parametrize("point", ["nose", "middle tip"])
def test_a_point_that_the_photo_does_not_have_is_refused(desk: Desk, view: str, point: str) -> None:
    refused = move(desk, view, point, (1.0, 1.0))
    assert refused.status_code == 422
    assert "no point called" in refused.json()["sentence"]


def test_the_picture_has_no_tags_and_points_still_count_once_their_photo_is_gone(
    desk: Desk, view: str, figure: PostureView
) -> None:
    placed_all(desk, view, figure)
    shown = {q: desk.client.get(f"{desk.at}points/{view}/picture.jpg{q}") for q in ("", "?face")}
    for answer in shown.values():
        assert answer.headers["Content-Type"] == "image/jpeg"
        with Image.open(io.BytesIO(answer.content)) as drawn:
            assert not drawn.getexif()
    assert len(shown[""].content) < len(shown["?face"].content)  # a blurred face holds less
    Blob.objects.update(deleted_at="2026-05-09T12:00:00Z", deleted_why="asked for")
    page = desk.page(f"points/{view}")
    assert "<image" not in page
    assert "trunk from the vertical" in page
    assert desk.client.get(f"{desk.at}points/{view}/picture.jpg").status_code == 404
