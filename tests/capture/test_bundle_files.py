"""A bundle's files: inside the folder or zip, never outside, and one sentence for whatever is wrong."""

import os
import stat
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from evenground.capture import bundle_files
from evenground.capture.bundle_files import (
    BundleMissingError,
    BundleTooLargeError,
    DamagedZipError,
    FileMissingError,
    NotABundleError,
    UnreadableFileError,
    UnsafeNameError,
    open_files,
)
from tests.capture.bundle_samples import FILES, folder_of, zip_of

Make = Callable[[Mapping[str, bytes], Path], Path]
BOTH = pytest.mark.parametrize("make", [folder_of, zip_of], ids=["folder", "zip"])
LEAVING = ["../secret.txt", "mat/../../secret.txt", "/etc/secret", "..\\secret.txt", "C:\\secret", "\\secret"]


def link_entry(name: str, target: str) -> tuple[zipfile.ZipInfo, str]:
    entry = zipfile.ZipInfo(name)
    entry.create_system = 3
    entry.external_attr = (stat.S_IFLNK | 0o777) << 16
    return entry, target


def test_folder_and_zip_show_the_same_names_and_bytes(tmp_path: Path) -> None:
    folder = open_files(folder_of(FILES, tmp_path / "visit"))
    zipped = open_files(zip_of(FILES, tmp_path / "visit.zip"))
    assert folder.names() == zipped.names() == tuple(sorted(FILES))
    for name, content in FILES.items():
        with folder.open(name) as one, zipped.open(name) as other:
            assert one.read() == other.read() == content


def test_zip_of_the_folder_itself_opens_like_a_zip_of_its_contents(tmp_path: Path) -> None:
    nested = open_files(zip_of(FILES, tmp_path / "visit.zip", top="wren 9 May/"))
    assert nested.names() == tuple(sorted(FILES))
    with nested.open("mat/one.parquet") as stream:
        assert stream.read() == FILES["mat/one.parquet"]


def test_zip_with_a_systems_own_notes_beside_the_one_folder_still_opens(tmp_path: Path) -> None:
    files = {f"wren/{name}": content for name, content in FILES.items()}
    noted = {**files, "__MACOSX/wren/._visit.toml": b"\0", "wren/.DS_Store": b"\0"}
    assert open_files(zip_of(noted, tmp_path / "visit.zip")).names() == tuple(sorted(FILES))


def test_zip_made_with_backslashes_opens_with_forward_slashes(tmp_path: Path) -> None:
    path = zip_of({"visit.toml": b"", "mat\\one.parquet": b"1"}, tmp_path / "visit.zip")
    assert open_files(path).open("mat/one.parquet").read() == b"1"


def test_hidden_files_of_a_folder_are_left_out(tmp_path: Path) -> None:
    folder = folder_of({**FILES, ".cache/x": b"", "mat/.hidden": b""}, tmp_path / "visit")
    assert open_files(folder).names() == tuple(sorted(FILES))


def test_neither_folder_nor_file_says_what_to_give(tmp_path: Path) -> None:
    with pytest.raises(BundleMissingError, match=r"no such folder or zip file\. Give the folder"):
        open_files(tmp_path / "nothing")


@pytest.mark.parametrize(
    "content", [b"", b"format = 1\n", bytes(range(256)) * 40], ids=["empty", "text", "binary"]
)
def test_file_that_is_no_zip_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "visit.zip").write_bytes(content)
    with pytest.raises(DamagedZipError, match=r"^visit\.zip: The file is not a whole zip file"):
        open_files(tmp_path / "visit.zip")


@pytest.mark.parametrize("name", LEAVING)
def test_zip_entry_that_leaves_the_folder_is_refused(tmp_path: Path, name: str) -> None:
    path = zip_of({**FILES, name: b"x"}, tmp_path / "visit.zip")
    with pytest.raises(UnsafeNameError, match="leads out of the bundle"):
        open_files(path)


@pytest.mark.parametrize("name", LEAVING)
@BOTH
def test_asking_for_a_name_outside_is_refused(tmp_path: Path, make: Make, name: str) -> None:
    (tmp_path / "secret.txt").write_text("s")
    files = open_files(make(FILES, tmp_path / "visit"))
    with pytest.raises(UnsafeNameError):
        files.open(name)


def test_zip_entry_that_is_a_link_is_refused(tmp_path: Path) -> None:
    path = zip_of(FILES, tmp_path / "visit.zip")
    with zipfile.ZipFile(path, "a") as out:
        out.writestr(*link_entry("mat/two.parquet", "/etc/passwd"))
    with pytest.raises(UnsafeNameError, match=r"mat/two\.parquet"):
        open_files(path)


@pytest.mark.filterwarnings("ignore:Duplicate name:UserWarning")  # zipfile warns while we write it on purpose
@pytest.mark.parametrize("again", ["visit.toml", "./visit.toml", "mat//one.parquet", "mat\\one.parquet"])
def test_zip_with_one_name_twice_is_refused(tmp_path: Path, again: str) -> None:
    path = zip_of(FILES, tmp_path / "visit.zip")
    with zipfile.ZipFile(path, "a") as out:
        out.writestr(again, b"other")
    with pytest.raises(UnsafeNameError):
        open_files(path)


def test_link_inside_a_folder_that_leads_out_is_refused(tmp_path: Path) -> None:
    (tmp_path / "secret.txt").write_text("s")
    folder = folder_of(FILES, tmp_path / "visit")
    (folder / "mat" / "two.parquet").symlink_to(tmp_path / "secret.txt")
    with pytest.raises(UnsafeNameError, match=r"mat/two\.parquet"):
        open_files(folder).open("mat/two.parquet")


def test_link_that_leads_to_itself_is_said_so(tmp_path: Path) -> None:
    folder = folder_of(FILES, tmp_path / "visit")
    (folder / "loop").symlink_to(folder / "loop")
    with pytest.raises(UnreadableFileError, match="visit/loop: This file cannot be opened"):
        open_files(folder).open("loop")


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read everything")
def test_file_that_may_not_be_read_is_said_so(tmp_path: Path) -> None:
    folder = folder_of(FILES, tmp_path / "visit")
    (folder / "stock.toml").chmod(0)
    with pytest.raises(UnreadableFileError, match="permission denied"):
        open_files(folder).open("stock.toml")


@BOTH
def test_missing_file_is_named_with_what_wanted_it(tmp_path: Path, make: Make) -> None:
    files = open_files(make(FILES, tmp_path / "visit"))
    with pytest.raises(FileMissingError, match=r"studio\.toml names the file 'shelf\.toml', which is not in"):
        files.open("shelf.toml", wanted_by="studio.toml")


@BOTH
def test_bundle_without_a_visit_says_which_folder_to_give(tmp_path: Path, make: Make) -> None:
    files = open_files(make({"notes.txt": b""}, tmp_path / "visit"))
    with pytest.raises(
        NotABundleError, match=r"no visit\.toml in it.*Give the folder that holds visit\.toml"
    ):
        files.open("visit.toml")


def test_file_that_unpacks_to_far_more_than_it_weighs_is_refused(tmp_path: Path) -> None:
    path = zip_of({**FILES, "mat/two.txt": bytes(20 * 1024**2)}, tmp_path / "visit.zip")
    with pytest.raises(BundleTooLargeError, match=r"mat/two\.txt unpacks to \d+ times its packed size"):
        open_files(path)


def test_text_grid_of_mostly_zeros_is_no_bomb(tmp_path: Path) -> None:
    grid = b"0.0\t" * (1024**2)
    assert open_files(zip_of({"grid.txt": grid}, tmp_path / "visit.zip")).open("grid.txt").read() == grid


def test_zip_that_unpacks_past_the_limit_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bundle_files, "MAX_BYTES", 1000)
    path = zip_of({**FILES, "photo": os.urandom(2000)}, tmp_path / "visit.zip")
    with pytest.raises(BundleTooLargeError, match="GiB, at most 2"):
        open_files(path)


@BOTH
def test_bundle_with_too_many_files_is_refused(tmp_path: Path, make: Make) -> None:
    many = {f"{i}.txt": b"" for i in range(bundle_files.MAX_FILES + 1)}
    path = make(many, tmp_path / "visit")
    with pytest.raises(BundleTooLargeError, match="holds 2001 files, at most 2000"):
        open_files(path).names()


def test_zip_with_a_password_is_refused(tmp_path: Path) -> None:
    path = zip_of(FILES, tmp_path / "visit.zip")
    raw = bytearray(path.read_bytes())
    raw[raw.index(b"PK\x01\x02") + 8] |= 1  # bit 0 of the general purpose flags: encrypted
    raw[raw.index(b"PK\x03\x04") + 6] |= 1
    path.write_bytes(bytes(raw))
    with pytest.raises(DamagedZipError, match="password"):
        open_files(path).open("visit.toml")
