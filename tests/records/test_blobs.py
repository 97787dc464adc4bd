import hashlib
from io import BytesIO
from pathlib import Path

import pytest

from evenground.records.blobs import (
    BlobErasedError,
    BlobLostError,
    BlobNotFoundError,
    BlobTooLargeError,
    erase_blob,
    open_blob,
    path_of,
    put_blob,
    sweep,
)
from evenground.records.models import Blob


def test_a_file_is_stored_once_under_its_own_digest(records: str) -> None:
    one, two = put_blob(b"abc", "text/plain"), put_blob(BytesIO(b"abc"), "text/plain")
    # FIPS 180-2, appendix B.1: the SHA-256 of "abc"
    assert one.sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert (one, one.size) == (two, 3)
    assert Blob.objects.count() == 1
    with open_blob(one.sha256) as stream:
        assert stream.read() == b"abc"


def test_a_file_that_is_too_large_is_refused_while_it_comes_in(records: str, studio_folder: Path) -> None:
    class Endless(BytesIO):
        given = 0

        def read(self, _size: int | None = -1, /) -> bytes:
            self.given += 1
            return b"x" * 1000

    source = Endless()
    with pytest.raises(BlobTooLargeError):
        put_blob(source, "text/plain", limit=5000)
    assert source.given == 6
    assert [p for p in (studio_folder / "blobs").rglob("*") if p.is_file()] == []


def test_a_deleted_file_leaves_a_tombstone_and_may_be_sent_again(records: str) -> None:
    sha256 = put_blob(b"a photo", "image/jpeg").sha256
    erase_blob(sha256, "asked for")
    assert not path_of(sha256).exists()
    with pytest.raises(BlobErasedError, match="asked for"):
        open_blob(sha256)
    put_blob(b"a photo", "image/jpeg")
    with open_blob(sha256) as stream:
        assert stream.read() == b"a photo"


def test_what_was_never_stored_or_is_lost_is_named(records: str) -> None:
    with pytest.raises(BlobNotFoundError):
        open_blob(hashlib.sha256(b"never").hexdigest())
    with pytest.raises(BlobNotFoundError):
        erase_blob(hashlib.sha256(b"never").hexdigest(), "asked for")
    stored = put_blob(b"abc", "text/plain")
    path_of(stored.sha256).unlink()
    with pytest.raises(BlobLostError, match="missing from the data folder"):
        open_blob(stored.sha256)


def test_sweeping_keeps_what_is_named_and_what_is_new(records: str) -> None:
    stored = put_blob(b"abc", "text/plain")
    orphan = path_of("ff" * 32)
    orphan.parent.mkdir(parents=True)
    orphan.write_bytes(b"left by a crash")
    assert sweep() == 0  # a save may be under way
    assert sweep(older_than_s=-1.0) == 1
    assert path_of(stored.sha256).exists()
    assert not orphan.exists()
