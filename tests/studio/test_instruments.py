"""Instruments in the app: a step sent becomes a dated check, a picture, and part of what visits stand on."""

import io
from datetime import date, timedelta
from pathlib import Path
from uuid import uuid4

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from evenground.capture.parquet import write_recording
from evenground.measure.recording import MatRecording
from evenground.records.entries import Entry
from evenground.records.instruments import instrument_of
from evenground.records.log import append
from evenground.records.models import CardVersion, Instrument, InstrumentCheck, Player, Role, Visit
from evenground.records.reading_kinds import kind_named
from evenground.records.visits import current_snapshot, start_visit, studio_file
from evenground.simulate.instrument import FaultyMat, MatFaults, draw_faults, empty_mat, weight_on
from evenground.studio.days import today_here
from tests.studio.conftest import As

STUCK = (12, 30)


@pytest.fixture(scope="module")
def mat() -> FaultyMat:
    faults = MatFaults(stuck=(STUCK,), gain_sd=0.0, cell_gain_sd=0.0)
    return draw_faults(30, 40, 12.0, faults, rng=np.random.default_rng(2))


def parquet(recording: MatRecording, folder: Path, name: str = "mat.parquet") -> SimpleUploadedFile:
    write_recording(recording, folder / name)
    return SimpleUploadedFile(name, (folder / name).read_bytes())


@pytest.fixture
def row(studio: Path) -> Instrument:
    return Instrument.objects.create(kind="mat", name="mat at the window")


def test_an_empty_mat_and_a_weight_sent_are_kept_with_figures_picture_and_files(
    as_role: As, row: Instrument, mat: FaultyMat, tmp_path: Path
) -> None:
    helper = as_role(Role.ASSISTANT)
    at = f"/studio/instruments/{row.pk}"
    empty = parquet(empty_mat(mat, rng=np.random.default_rng(1)), tmp_path)
    page = helper.post(at, {"step": "empty mat", "recordings": empty}, follow=True).content.decode()
    assert "mat at the window, empty mat: in order." in page
    assert "1: row 13 column 31" in page
    assert "1 faulty cells" in page
    on = weight_on(mat, (240.0, 180.0), 20.0, rng=np.random.default_rng(1), duration_s=12.0)
    sent = {"step": "dead weight", "recordings": parquet(on, tmp_path), "mass": "20 kg"}
    page = helper.post(at, sent, follow=True).content.decode()
    assert "cannot be told from this mat&#x27;s own" in page
    checks = InstrumentCheck.objects.order_by("id")
    assert [(c.figures["step"], c.passed, len(c.figures["files"])) for c in checks] == [
        ("empty mat", True, 1),
        ("dead weight", True, 1),
    ]
    (used,) = studio_file(current_snapshot()).instruments
    assert [c.step for c in used.checks] == ["empty mat", "dead weight"]
    assert used.checks[0].empty_mat is not None
    assert used.checks[0].empty_mat.stuck == (STUCK,)


def test_what_cannot_be_measured_says_so_beside_the_step_and_keeps_nothing(
    owner: Client, row: Instrument, mat: FaultyMat, tmp_path: Path
) -> None:
    at = f"/studio/instruments/{row.pk}"
    on = weight_on(mat, (240.0, 180.0), 20.0, rng=np.random.default_rng(1))
    answer = owner.post(at, {"step": "empty mat", "recordings": parquet(on, tmp_path)})
    assert answer.status_code == 422
    assert "Something stands on the mat." in answer.content.decode()
    for sent in ({"step": "empty mat"}, {"step": "dead weight", "recordings": io.BytesIO(b"rubbish")}):
        assert owner.post(at, sent).status_code == 422
    assert owner.post(at, {"step": "flipped bar", "normal": "3"}).status_code == 302  # a mat is no bar
    assert InstrumentCheck.objects.count() == 0


def test_a_recording_of_another_mat_is_not_taken_for_this_one(
    owner: Client, row: Instrument, mat: FaultyMat, tmp_path: Path
) -> None:
    at = f"/studio/instruments/{row.pk}"
    empty = empty_mat(mat, rng=np.random.default_rng(1), duration_s=6.0)
    assert owner.post(at, {"step": "empty mat", "recordings": parquet(empty, tmp_path)}).status_code == 302
    other = draw_faults(20, 40, 12.0, MatFaults(), rng=np.random.default_rng(2))
    wrong = empty_mat(other, rng=np.random.default_rng(1), duration_s=6.0)
    answer = owner.post(at, {"step": "empty mat", "recordings": parquet(wrong, tmp_path)})
    assert "This recording has 20 x 40 cells, this mat 30 x 40." in answer.content.decode()
    assert InstrumentCheck.objects.count() == 1


def test_a_bar_and_a_printer_take_what_was_typed(owner: Client, studio: Path) -> None:
    bar = Instrument.objects.create(kind="bar", name="bar")
    sent = {"step": "flipped bar", "normal": "-3.0 deg; -3.2", "flipped": "0.5"}
    page = owner.post(f"/studio/instruments/{bar.pk}", sent, follow=True).content.decode()
    assert "its own error is 1.8 deg" in page
    printer = Instrument.objects.create(kind="printer", name="printer")
    sent = {"step": "printed length", "measured": "3 15/16 in"}
    page = owner.post(f"/studio/instruments/{printer.pk}", sent, follow=True).content.decode()
    assert "100 mm came out as" in page
    assert "100.01" in page
    assert owner.post(f"/studio/instruments/{bar.pk}", {"step": "flipped bar"}).status_code == 422


def read(visit: Visit, kind: str, **payload: object) -> None:
    version = kind_named(kind).version
    append(visit.pk, Entry(id=uuid4(), kind=kind, version=version, payload=payload, at=timezone.now()))


def test_a_failed_check_lists_what_was_measured_since_the_last_good_one(owner: Client, studio: Path) -> None:
    bar = Instrument.objects.create(kind="bar", name="bar")
    odo = Player.objects.create(name="Odo Fennimark", handed="left")
    before = start_visit(odo, day=date(2026, 5, 8))
    read(before, "hip-line trial", phase="before", trial=1, width_mm=300.0, hip_line_deg=1.0)
    owner.post(f"/instruments/{bar.pk}/check", {"passed": "yes", "back": "instrument"})
    maren = Player.objects.create(name="Maren Quillby", handed="right")
    since = start_visit(maren, day=today_here())
    for trial in (1, 2):
        read(since, "hip-line trial", phase="before", trial=trial, width_mm=300.0, hip_line_deg=1.0)
    read(since, "safety", screening="cleared")
    CardVersion.objects.create(visit=since, number=1, input_hash="0" * 64, signed_at=timezone.now())
    page = owner.get(f"/studio/instruments/{bar.pk}").content.decode()
    assert "Measured since" not in page
    owner.post(f"/instruments/{bar.pk}/check", {"passed": "no", "note": "bent", "back": "instrument"})
    page = owner.get(f"/studio/instruments/{bar.pk}").content.decode()
    listed = page[page.index("Measured since it was last in order") :]
    assert "Maren Quillby" in listed
    assert "2 readings" in listed
    assert f"/visits/{since.pk}/card/1" in listed
    assert "Odo Fennimark" not in listed
    assert "failed its check" in page


def test_visits_of_today_take_a_check_and_those_of_other_days_do_not(owner: Client, row: Instrument) -> None:
    odo = Player.objects.create(name="Odo Fennimark", handed="left")
    today, other = (start_visit(odo, day=today_here() - timedelta(days=n)) for n in (0, 1))
    owner.post(f"/instruments/{row.pk}/check", {"passed": "yes"})
    for visit, names in ((today, ["mat at the window"]), (other, [])):
        visit.refresh_from_db()
        assert [one.name for one in studio_file(visit.snapshot).instruments] == names


def test_an_instrument_that_a_step_failed_is_out_of_order_until_that_step_passes(
    owner: Client, studio: Path
) -> None:
    bar = Instrument.objects.create(kind="bar", name="bar")
    at = f"/studio/instruments/{bar.pk}"
    owner.post(at, {"step": "flipped bar", "normal": "3", "flipped": "0"})
    owner.post(f"/instruments/{bar.pk}/check", {"passed": "yes"})
    assert "not in order" in owner.get("/").content.decode()
    owner.post(at, {"step": "flipped bar", "normal": "3", "flipped": "2.9"})
    assert "not in order" not in owner.get("/").content.decode()
    assert [c.passed for c in instrument_of(bar).checks] == [False, True, True]
