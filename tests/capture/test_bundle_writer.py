"""A written bundle reads back as the visit it was written from."""

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenground.capture.bundle import read_bundle
from evenground.capture.bundle_writer import (
    FolderTakenError,
    UnwritableVisitError,
    visit_toml,
    write_bundle,
)
from evenground.capture.fields import read_toml
from evenground.capture.visit_file import VisitFile, visit_from
from evenground.visit import BodyCheck, BodySize, OwnClub, StudioSnapshot, Visit
from tests.capture.bundle_samples import VISIT
from tests.strategies import studios, visits

SAMPLE = visit_from(read_toml(VISIT.encode(), VisitFile, file="visit.toml"))
BLOBS = {"mat/one.parquet": b"1"}


def named(visit: Visit, studio: StudioSnapshot) -> dict[str, bytes]:
    names = {n for p in visit.ground for n in (p.recording, p.layout) if n is not None}
    names |= {v.photo for v in visit.posture_views if v.photo is not None}
    names |= {n for pair in visit.held_load for n in pair.recordings}
    return {n: n.encode() for n in names | ({studio.stock} if studio.stock else set())}


@settings(max_examples=60, deadline=None)
@given(visits, studios, st.sampled_from(["metric", "inch"]))
def test_bundle_that_was_written_reads_back_equal(visit: Visit, studio: StudioSnapshot, tape: str) -> None:
    blobs = named(visit, studio)
    with TemporaryDirectory() as home:
        write_bundle(Path(home) / "visit", visit, studio, blobs, tape="inch" if tape == "inch" else "metric")
        again = read_bundle(Path(home) / "visit")
    assert again.visit == visit
    assert again.studio == studio
    assert set(again.digests) == set(blobs)


def test_inch_tape_writes_feet_and_inches_only_where_they_are_exact() -> None:
    body = BodyCheck(
        sizes=(
            BodySize(name="stature", readings_mm=(1784.35,)),  # 70 1/4 x 25.4
            BodySize(name="arm_length", readings_mm=(603.25, 609.6)),  # 23 3/4 x 25.4, 24 x 25.4
            BodySize(name="foot_length", readings_mm=(271.0,)),
        )
    )
    clubs = (
        OwnClub(mark="7", family="irons", length_mm=939.8),
        OwnClub(mark="8", family="irons", length_mm=927.0),
    )
    text = visit_toml(replace(SAMPLE, body=body, own_clubs=clubs), tape="inch")
    assert 'stature = "5 ft 10 1/4 in"' in text
    assert 'arm_length = ["23 3/4 in", "24 in"]' in text
    assert "foot_length_mm = 271\n" in text
    assert 'length = "37 in"' in text
    assert "length_mm = 927\n" in text


def test_folder_that_holds_something_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "visit.toml").write_text("mine")
    with pytest.raises(FolderTakenError, match="not an empty folder"):
        write_bundle(tmp_path, SAMPLE, StudioSnapshot(), BLOBS)
    assert [p.read_text() for p in tmp_path.iterdir()] == ["mine"]


def test_visit_that_names_a_file_it_does_not_bring_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UnwritableVisitError, match=r"mat/one\.parquet is not among its files"):
        write_bundle(tmp_path / "visit", SAMPLE, StudioSnapshot(), {})
    assert not (tmp_path / "visit").exists()


def test_reading_that_the_file_has_no_place_for_is_refused(tmp_path: Path) -> None:
    sided = BodyCheck(sizes=(BodySize(name="stature", readings_mm=(1700.0,), side="left"),))
    with pytest.raises(UnwritableVisitError, match="stature"):
        write_bundle(tmp_path / "visit", replace(SAMPLE, body=sided), StudioSnapshot(), BLOBS)


def test_value_out_of_range_is_refused_before_anything_is_written(tmp_path: Path) -> None:
    wide = replace(SAMPLE, as_arrived=(replace(SAMPLE.as_arrived[0], width_mm=1600.0),))
    with pytest.raises(UnwritableVisitError, match="as_arrived 1, width_mm"):
        write_bundle(tmp_path / "visit", wide, StudioSnapshot(), BLOBS)
    assert not (tmp_path / "visit").exists()
