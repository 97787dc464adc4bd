"""A hand measured from a photo on its page: consent first, photo and points kept, what is unfit refused."""

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
from evenground.records.models import Blob, Consent, ReadingBlob, Visit
from evenground.simulate.hands import RenderedHand, render_hand
from tests.studio.pages.conftest import Desk


@pytest.fixture(scope="module")
def hand() -> RenderedHand:
    return render_hand(np.random.default_rng(3), forearm=False)


def jpeg(hand: RenderedHand) -> bytes:
    stream = io.BytesIO()
    tags = Image.Exif()
    tags.get_ifd(0x8825)[2] = (51.0, 30.0, 0.0)  # a place, as phones write it
    Image.fromarray(hand.rgb).save(stream, "JPEG", quality=92, exif=tags)
    return stream.getvalue()


def send(desk: Desk, photo: bytes, **more: Any) -> Any:
    sent = {"id": str(uuid4()), "side": "left", "scale": "card", "palm": "down", **more}
    file = SimpleUploadedFile("IMG_0042.jpg", photo, content_type="image/jpeg")
    return desk.client.post(f"{desk.at}send/hand-photo/", {"sent": json.dumps(sent), "photo": file})


def agree(desk: Desk, *, by_guardian: bool = False) -> None:
    Consent.objects.create(
        player=desk.visit.player,
        kind="photos",
        text_version="1",
        given_by="the guardian" if by_guardian else "the player",
        given_on=date(2026, 1, 1),
        by_guardian=by_guardian,
    )


def born(desk: Desk, year: int) -> None:
    desk.visit.player.birth_year = year
    desk.visit.player.save()


def test_a_photo_becomes_a_reading_with_its_error_and_shows_with_its_points(
    desk: Desk, hand: RenderedHand
) -> None:
    born(desk, 1980)
    agree(desk)
    assert send(desk, jpeg(hand), side=hand.side).status_code == 200
    (size,) = desk.scene.visit.hands
    assert size.side == hand.side
    assert abs(size.length_mm - hand.hand_length_mm) < 2.0 * 1.96 * size.se_mm
    assert size.se_mm > 1.5
    page = desk.page("hands")
    drawn = ReadingBlob.objects.get(name__endswith="-points.jpg")
    assert f"/files/{drawn.blob_id}" in page
    assert desk.client.get(f"/files/{drawn.blob_id}").headers["Content-Disposition"].startswith("inline")


def test_what_is_kept_holds_no_place(desk: Desk, hand: RenderedHand) -> None:
    born(desk, 1980)
    agree(desk)
    send(desk, jpeg(hand), side=hand.side)
    for blob in Blob.objects.filter(media_type="image/jpeg"):
        with open_blob(blob.pk) as stream, Image.open(stream) as kept:
            assert not kept.getexif()


def test_a_minor_is_not_photographed_before_a_guardian_agreed(desk: Desk, hand: RenderedHand) -> None:
    born(desk, date.today().year - 15)
    agree(desk)
    refused = send(desk, jpeg(hand), side=hand.side)
    assert refused.status_code == 422
    assert "minor" in refused.json()["sentence"]
    assert not Blob.objects.exists()
    assert desk.scene.visit.hands == ()
    agree(desk, by_guardian=True)
    assert send(desk, jpeg(hand), side=hand.side).status_code == 200


def test_without_a_birth_year_nobody_knows_who_has_to_agree(desk: Desk, hand: RenderedHand) -> None:
    agree(desk)
    desk.visit.player.birth_year = None
    desk.visit.player.save()
    assert "birth year" in send(desk, jpeg(hand)).json()["sentence"]


def test_a_photo_without_a_scale_and_a_file_that_is_none_store_nothing(
    desk: Desk, hand: RenderedHand
) -> None:
    born(desk, 1980)
    agree(desk)
    plain = Image.new("RGB", (800, 600), (120, 130, 140))
    stream = io.BytesIO()
    plain.save(stream, "JPEG")
    assert "card" in send(desk, stream.getvalue()).json()["sentence"]
    assert "cannot be taken" in send(desk, b"<svg/>").json()["sentence"]
    assert not Blob.objects.exists()


def test_sent_twice_is_stored_once(desk: Desk, hand: RenderedHand) -> None:
    born(desk, 1980)
    agree(desk)
    same = str(uuid4())
    first, again = (send(desk, jpeg(hand), side=hand.side, id=same).json() for _ in range(2))
    assert first["seq"] == again["seq"]


def test_photo_and_points_go_out_and_come_in_with_the_visit(
    desk: Desk, hand: RenderedHand, tmp_path: Path
) -> None:
    born(desk, 1980)
    agree(desk)
    send(desk, jpeg(hand), side=hand.side)
    export_visit(desk.visit.pk, tmp_path / "out")
    photos = sorted(p.name for p in (tmp_path / "out").rglob("photos/*"))
    assert len(photos) == 2
    before = entries_of(desk.visit.pk)
    Visit.objects.all().delete()
    again = import_bundle(tmp_path / "out", player=desk.visit.player)
    assert [(e.id, e.payload, e.blobs) for e in entries_of(again.pk)] == [
        (e.id, e.payload, e.blobs) for e in before
    ]
