"""A whole bundle: folder and zip read alike, and a bad one gives one sentence."""

import hashlib
import random
from collections.abc import Callable
from pathlib import Path

import pytest

from evenground.capture.bundle import read_bundle
from evenground.capture.bundle_files import FileMissingError
from evenground.capture.fields import NotTomlError, UnreadableFieldError
from evenground.capture.visit_file import WidthConventionError
from evenground.errors import CaptureError
from evenground.visit import StudioSnapshot
from tests.capture.bundle_samples import FILES, VISIT, folder_of, swapped, zip_of

Make = Callable[[dict[str, bytes], Path], Path]


@pytest.fixture(params=[folder_of, zip_of], ids=["folder", "zip"])
def make(request: pytest.FixtureRequest) -> Make:
    chosen: Make = request.param
    return chosen


def test_folder_and_zip_give_the_same_visit(tmp_path: Path) -> None:
    folder = read_bundle(folder_of(FILES, tmp_path / "visit"))
    zipped = read_bundle(zip_of(FILES, tmp_path / "visit.zip", top="wren/"))
    assert folder.visit == zipped.visit
    assert folder.studio == zipped.studio
    assert folder.digests == zipped.digests


def test_reading_twice_gives_the_same(tmp_path: Path, make: Make) -> None:
    path = make(dict(FILES), tmp_path / "visit")
    assert read_bundle(path).visit == read_bundle(path).visit


def test_every_named_file_has_its_digest(tmp_path: Path, make: Make) -> None:
    bundle = read_bundle(make(dict(FILES), tmp_path / "visit"))
    # hashlib is the reference for SHA-256 (FIPS 180-4).
    wanted = {n: hashlib.sha256(FILES[n]).hexdigest() for n in ("mat/one.parquet", "stock.toml")}
    assert bundle.digests == wanted


def test_recording_opens_by_its_name(tmp_path: Path, make: Make) -> None:
    bundle = read_bundle(make(dict(FILES), tmp_path / "visit"))
    with bundle.open_blob("mat/one.parquet") as stream:
        assert stream.read() == b"not read here"


def test_bundle_without_a_studio_file_takes_the_defaults(tmp_path: Path, make: Make) -> None:
    files = {n: c for n, c in FILES.items() if n != "studio.toml"}
    assert read_bundle(make(files, tmp_path / "visit")).studio == StudioSnapshot()


@pytest.mark.parametrize(("gone", "by"), [("mat/one.parquet", "visit.toml"), ("stock.toml", "studio.toml")])
def test_file_that_is_named_but_missing_is_said_with_who_names_it(
    tmp_path: Path, make: Make, gone: str, by: str
) -> None:
    files = {n: c for n, c in FILES.items() if n != gone}
    with pytest.raises(FileMissingError, match=rf"{by} names the file '{gone}'"):
        read_bundle(make(files, tmp_path / "visit"))


def test_layout_that_is_missing_is_said(tmp_path: Path, make: Make) -> None:
    text = swapped('footwear = "golf shoes"', 'footwear = "golf shoes"\nlayout = "grid.toml"')
    with pytest.raises(FileMissingError, match=r"grid\.toml"):
        read_bundle(make({**FILES, "visit.toml": text.encode()}, tmp_path / "visit"))


def test_message_names_bundle_file_field_and_what_is_allowed(tmp_path: Path, make: Make) -> None:
    text = swapped("turn_deg = 52", "turn_deg = 190")
    with pytest.raises(UnreadableFieldError) as caught:
        read_bundle(make({**FILES, "visit.toml": text.encode()}, tmp_path / "visit"))
    said = str(caught.value)
    assert "visit/visit.toml" in said
    assert "turn 1, turn_deg" in said
    assert "190" in said
    assert "at most 180" in said


@pytest.mark.parametrize("name", ["visit.toml", "studio.toml"])
@pytest.mark.parametrize(
    "content", [b"\xff\xfe\x00", b"format = ", b"\0\0\0", b"[[[["], ids=["utf16", "cut", "nuls", "brackets"]
)
def test_text_file_that_is_not_toml_is_named(tmp_path: Path, make: Make, name: str, content: bytes) -> None:
    with pytest.raises(NotTomlError, match=name):
        read_bundle(make({**FILES, name: content}, tmp_path / "visit"))


@pytest.mark.parametrize("name", ["visit.toml", "studio.toml"])
def test_empty_file_says_what_is_missing(tmp_path: Path, make: Make, name: str) -> None:
    with pytest.raises(UnreadableFieldError, match=rf"{name}.*missing"):
        read_bundle(make({**FILES, name: b""}, tmp_path / "visit"))


def test_byte_order_mark_of_a_text_editor_is_no_mistake(tmp_path: Path, make: Make) -> None:
    files = {**FILES, "visit.toml": b"\xef\xbb\xbf" + VISIT.encode()}
    assert read_bundle(make(files, tmp_path / "visit")).visit.visit == "sample"


def test_recording_named_outside_the_bundle_is_refused(tmp_path: Path, make: Make) -> None:
    text = swapped('"mat/one.parquet"', '"../../one.parquet"')
    with pytest.raises(CaptureError, match="leads out of the bundle"):
        read_bundle(make({**FILES, "visit.toml": text.encode()}, tmp_path / "visit"))


def test_width_mistake_names_the_bundle_too(tmp_path: Path, make: Make) -> None:
    text = swapped('"heel centres"', '"inside"').replace('heel_breadth = "2 3/4 in"\n', "")
    with pytest.raises(WidthConventionError, match=r"^visit/visit\.toml"):
        read_bundle(make({**FILES, "visit.toml": text.encode()}, tmp_path / "visit"))


def outcome(path: Path) -> str:
    """`read`, or the one kind of error a person can act on; anything else fails the test."""
    try:
        bundle = read_bundle(path)
    except CaptureError:
        return "refused"
    assert bundle.visit.visit == "sample"
    return "read"


def test_zip_cut_at_any_byte_is_refused(tmp_path: Path) -> None:
    whole = zip_of(FILES, tmp_path / "whole.zip").read_bytes()
    cut = tmp_path / "visit"
    for at in range(len(whole)):
        cut.write_bytes(whole[:at])
        assert outcome(cut) == "refused", f"cut after byte {at}"


def test_zip_with_a_flipped_byte_is_read_or_refused(tmp_path: Path) -> None:
    whole = zip_of(FILES, tmp_path / "whole.zip").read_bytes()
    rng = random.Random(20260509)  # noqa: S311 - chooses bytes to break, keeps no secret
    flipped = tmp_path / "visit"
    seen = set()
    for at in range(len(whole)):
        broken = bytearray(whole)
        broken[at] ^= 1 << rng.randrange(8)
        flipped.write_bytes(bytes(broken))
        seen.add(outcome(flipped))
    assert "refused" in seen  # a zip's dates and flags may differ without harm, its contents may not


def test_visit_file_cut_at_any_byte_is_read_or_refused(tmp_path: Path) -> None:
    folder = folder_of(FILES, tmp_path / "visit")
    seen = set()
    for at in range(0, len(VISIT), 7):
        (folder / "visit.toml").write_bytes(VISIT.encode()[:at])
        seen.add(outcome(folder))
    assert "refused" in seen
