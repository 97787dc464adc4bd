"""A watched folder: a file counts once it has stopped growing, once, and what lay there before never does."""

import os
from pathlib import Path

import pytest

from evenground.capture.fields import MissingFileError
from evenground.capture.watched_folder import WatchedFolder


def names(found: object) -> list[str]:
    return [settled.path.name for settled in found]  # type: ignore[attr-defined]


def test_a_file_that_appears_counts_when_it_has_stopped_growing(tmp_path: Path) -> None:
    watch = WatchedFolder(tmp_path)
    file = tmp_path / "stand.csv"
    file.write_bytes(b"1,2")
    assert names(watch.look(0.0)) == []
    file.write_bytes(b"1,2,3")
    assert names(watch.look(0.9)) == []
    assert names(watch.look(1.8)) == []
    assert names(watch.look(2.0)) == ["stand.csv"]
    assert names(watch.look(9.0)) == []


def test_what_lay_there_before_is_left_alone_until_it_is_written_anew(tmp_path: Path) -> None:
    file = tmp_path / "old.csv"
    file.write_bytes(b"1,2")
    watch = WatchedFolder(tmp_path)
    assert names(watch.look(0.0)) + names(watch.look(5.0)) == []
    file.write_bytes(b"3,4")
    os.utime(file, ns=(10**18, 10**18))
    watch.look(6.0)
    assert names(watch.look(8.0)) == ["old.csv"]


@pytest.mark.parametrize("name", ["stand.csv.part", ".stand.csv", "notes.docx", "stand.tmp", "empty.csv"])
def test_unfinished_hidden_empty_and_other_files_do_not_count(tmp_path: Path, name: str) -> None:
    watch = WatchedFolder(tmp_path)
    (tmp_path / name).write_bytes(b"" if name == "empty.csv" else b"1")
    assert names(watch.look(0.0)) + names(watch.look(5.0)) == []


def test_a_file_that_went_and_came_again_waits_anew(tmp_path: Path) -> None:
    watch = WatchedFolder(tmp_path)
    file = tmp_path / "stand.parquet"
    file.write_bytes(b"1")
    watch.look(0.0)
    file.unlink()
    watch.look(0.5)
    file.write_bytes(b"1")
    assert names(watch.look(1.2)) == []
    assert names(watch.look(2.2)) == ["stand.parquet"]


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(MissingFileError, match="nowhere"):
        WatchedFolder(tmp_path / "nowhere")
