"""Cameras and sheets: what is printed, a lens calibrated from photos, and the one that is chosen."""

import io
from typing import Any

import numpy as np
import pdfplumber
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from evenground.records.models import Instrument
from evenground.report.print_sheets import SHEETS, sheet_pages
from evenground.simulate.tags import render_board
from evenground.studio.cameras import camera_named, cameras
from tests.studio.pages.conftest import Desk


@pytest.fixture(scope="module")
def boards() -> list[bytes]:
    rng = np.random.default_rng(8)
    made = []
    for _ in range(6):
        stream = io.BytesIO()
        tags = Image.Exif()
        tags[0x0112] = 6  # turned by a quarter, as a phone writes it that looks straight down
        Image.fromarray(render_board(rng, wide_px=900)[0]).save(stream, "JPEG", quality=92, exif=tags)
        made.append(stream.getvalue())
    return made


def calibrate(desk: Desk, camera: Instrument, photos: list[bytes]) -> Any:
    files = [
        SimpleUploadedFile(f"IMG_{n}.jpg", raw, content_type="image/jpeg") for n, raw in enumerate(photos)
    ]
    return desk.client.post(f"/studio/cameras/{camera.pk}/calibrate", {"photos": files})


def test_every_sheet_downloads_at_the_papers_true_size_with_the_pages_it_says(desk: Desk) -> None:
    page = desk.client.get("/studio/cameras").content.decode()
    for name in SHEETS:
        assert f"/studio/sheets/{name}.pdf?paper=a4" in page
    answer = desk.client.get("/studio/sheets/strip.pdf?paper=us-letter")
    with pdfplumber.open(io.BytesIO(answer.content)) as pdf:
        assert len(pdf.pages) == sheet_pages("strip", "us-letter") == 3
        # US Letter lying: 11 x 8.5 in at 72 points an inch.
        assert (float(pdf.pages[0].width), float(pdf.pages[0].height)) == pytest.approx((792, 612), abs=0.1)
    assert desk.client.get("/studio/sheets/nothing.pdf").status_code == 404


def test_a_camera_is_calibrated_from_photos_and_chosen_with_its_residual_shown(
    desk: Desk, boards: list[bytes]
) -> None:
    desk.client.post("/studio/cameras", {"name": "the blue phone"})
    row = Instrument.objects.get(name="the blue phone")
    assert calibrate(desk, row, boards).status_code == 302
    (camera,) = cameras()
    assert camera.chosen
    assert camera.calibration is not None
    # As the sensor lies, not as the phone was turned; focal length as rendered: 0.75 of the width.
    assert (camera.calibration.width_px, camera.calibration.height_px) == (900, 675)
    assert camera.calibration.focal_px[0] == pytest.approx(0.75 * 900, rel=0.015)
    page = desk.client.get("/studio/cameras").content.decode()
    assert f"{camera.calibration.rms_px:.2f} px left over, 6 photos" in page
    assert "lens calibrated" in desk.client.get(f"/studio/instruments/{row.pk}").content.decode()
    assert camera_named(str(row.pk)) == camera
    refused = calibrate(desk, row, boards[:1])
    assert refused.status_code == 422
    assert "1 of 1 photos" in refused.content.decode()
    assert cameras() == (camera,), "what was known before stays"


def test_another_camera_may_be_chosen_and_one_without_a_lens_measures_nothing(desk: Desk) -> None:
    one, two = (Instrument.objects.create(kind="camera", name=n) for n in ("one", "two"))
    desk.client.post(f"/studio/cameras/{two.pk}/choose")
    desk.client.post(f"/studio/cameras/{one.pk}/choose")
    assert [(c.name, c.chosen) for c in cameras()] == [("one", True), ("two", False)]
    assert camera_named(str(one.pk)) is None
    assert "No photos were sent" in calibrate(desk, one, []).content.decode()


def test_a_file_that_is_no_photo_is_refused_with_its_name(desk: Desk, boards: list[bytes]) -> None:
    row = Instrument.objects.create(kind="camera", name="one")
    answer = calibrate(desk, row, [boards[0], b"<svg/>"])
    assert answer.status_code == 422
    assert "cannot be taken" in answer.content.decode()
