"""The journal of a live recording: cut at any byte, on a full disk, killed, and after the plug was pulled."""

import json
from pathlib import Path

import numpy as np
import pytest
from bench.prove_live import HEAD, ForgetfulDisk, forgotten, killed, numbered
from hypothesis import given, settings
from hypothesis import strategies as st

from evenground.capture.feed import Feed
from evenground.capture.frames import MatFrames
from evenground.capture.journal import (
    Journal,
    JournalStoppedError,
    NotAJournalError,
    begin_journal,
    file_recording,
    left_journals,
    read_journal,
)
from evenground.capture.recording import load_recording

ABOUT = {"visit": "a visit", "seconds": 10}


def frames(first: int, count: int) -> MatFrames:
    return numbered(first, count, 500.0 + np.arange(first, first + count) / HEAD.rate_hz)


def journal(folder: Path, *counts: int, end: bool = True) -> Path:
    """A journal of so many frames in so many steps."""
    path = folder / "one.journal"
    writing = begin_journal(path, HEAD, ABOUT)
    for count in counts:
        writing.append(frames(writing.count, count))
    if end:
        writing.end()
    writing.close()
    return path


def numbers(found: MatFrames) -> list[int]:
    return [int(n) for n in found.cells[:, 3, 4]]


def test_what_goes_in_comes_out(tmp_path: Path) -> None:
    found = read_journal(journal(tmp_path, 4, 1, 7))
    assert found.head == HEAD
    assert found.about == ABOUT
    assert numbers(found.frames) == list(range(12))
    assert found.frames.time_s == pytest.approx(500.0 + np.arange(12) / 100.0, abs=1e-12)
    assert (found.ended, found.torn_bytes) == (True, 0)


def test_a_journal_that_was_never_ended_says_so_and_loses_nothing(tmp_path: Path) -> None:
    found = read_journal(journal(tmp_path, 4, 4, end=False))
    assert not found.ended
    assert numbers(found.frames) == list(range(8))


def test_every_batch_is_at_most_a_tenth_of_a_second(tmp_path: Path) -> None:
    disk = ForgetfulDisk()
    begin_journal(tmp_path / "x.journal", HEAD, {}, disk=disk).append(frames(0, 35))
    assert disk.syncs == 4  # 10, 10, 10 and 5 frames at 100 Hz


def test_cut_at_any_byte_it_still_opens_with_every_whole_batch(tmp_path: Path) -> None:
    path = journal(tmp_path, 3, 3)
    raw = path.read_bytes()
    head = len(raw) - sum(8 + 9 + n * (8 + 4 * HEAD.cells) for n in (3, 3, 0))
    batch = 8 + 9 + 3 * (8 + 4 * HEAD.cells)
    for cut in [*range(head, head + 40), *range(head + batch - 20, len(raw), 97), len(raw)]:
        path.write_bytes(raw[:cut])
        found = read_journal(path)
        assert len(found.frames) == 3 * ((cut - head) // batch)
        assert found.ended == (cut == len(raw))


@pytest.mark.parametrize("cut", [0, 5, 8, 15, 40])
def test_without_a_whole_head_it_is_refused_in_a_sentence(tmp_path: Path, cut: int) -> None:
    path = journal(tmp_path, 3)
    path.write_bytes(path.read_bytes()[:cut])
    with pytest.raises(NotAJournalError, match="no journal"):
        read_journal(path)


@settings(max_examples=25, deadline=None)
@given(at=st.integers(0, 10**9), bit=st.integers(0, 7))
def test_a_flipped_bit_never_gives_another_frame(
    tmp_path_factory: pytest.TempPathFactory, at: int, bit: int
) -> None:
    path = journal(tmp_path_factory.mktemp("flip"), 2, 2)
    raw = bytearray(path.read_bytes())
    raw[at % len(raw)] ^= 1 << bit
    path.write_bytes(bytes(raw))
    try:
        found = read_journal(path)
    except NotAJournalError:
        return
    assert numbers(found.frames) == list(range(len(found.frames)))
    assert len(found.frames) in (0, 2, 4)


def test_a_full_disk_ends_the_recording_with_all_that_was_synced(tmp_path: Path) -> None:
    disk = ForgetfulDisk(full_at=4)
    path = tmp_path / "x.journal"
    writing = begin_journal(path, HEAD, {}, disk=disk)
    for start in (0, 10, 20):
        writing.append(frames(start, 10))
    with pytest.raises(JournalStoppedError, match=r"stopped after 30 frames.*no space left"):
        writing.append(frames(30, 10))
    disk.leave(np.random.default_rng(1))
    assert numbers(read_journal(path).frames) == list(range(30))


def test_a_journal_in_use_is_left_alone_by_whoever_recovers(tmp_path: Path) -> None:
    writing = begin_journal(tmp_path / "x.journal", HEAD, {})
    writing.append(frames(0, 5))
    assert left_journals(tmp_path) == ()
    writing.close()
    assert left_journals(tmp_path) == (tmp_path / "x.journal",)
    assert left_journals(tmp_path / "nowhere") == ()


def test_filed_it_is_a_recording_and_the_journal_is_gone(tmp_path: Path) -> None:
    path, out = journal(tmp_path, 6), tmp_path / "one.parquet"
    file_recording(path, out)
    assert [p.name for p in tmp_path.iterdir()] == ["one.parquet"]
    recording = load_recording(out)
    assert recording.cells[:, 0, 0].tolist() == [0, 1, 2, 3, 4, 5]
    assert recording.time_s == pytest.approx(np.arange(6) / 100.0, abs=1e-9)
    assert (recording.rate_hz, recording.pitch_x_mm, recording.unit) == (100.0, 8.0, "kPa")


def test_a_journal_without_frames_is_forgotten_when_filed(tmp_path: Path) -> None:
    assert file_recording(journal(tmp_path), tmp_path / "one.parquet") is None
    assert list(tmp_path.iterdir()) == []


def test_the_head_is_json_that_another_program_can_read(tmp_path: Path) -> None:
    raw = journal(tmp_path, 1).read_bytes()
    length = int.from_bytes(raw[8:12], "little")
    said = json.loads(raw[16 : 16 + length])
    assert said["about"] == ABOUT
    assert (said["rows"], said["columns"], said["rate_hz"]) == (10, 20, 100.0)


class Pieces:
    """A source of ready pieces that can be looked into."""

    head, left_out = HEAD, 0

    def __init__(self, *pieces: MatFrames) -> None:
        self.pieces = list(pieces)
        self.closed = False

    def pull(self, wait_s: float) -> MatFrames:  # noqa: ARG002
        return self.pieces.pop(0)

    def close(self) -> None:
        self.closed = True


def test_the_feed_records_from_the_next_frame_to_the_last_before_its_end(tmp_path: Path) -> None:
    source = Pieces(frames(0, 3), frames(3, 4), frames(7, 2), frames(9, 5))
    feed = Feed(source)
    assert feed.recorded is None
    feed.pull(0.0)
    feed.record(tmp_path / "x.journal", ABOUT)
    feed.pull(0.0)
    feed.pull(0.0)
    assert feed.recorded == 6
    assert feed.end() == tmp_path / "x.journal"
    feed.pull(0.0)
    assert numbers(read_journal(tmp_path / "x.journal").frames) == [3, 4, 5, 6, 7, 8]
    assert feed.end() is None
    feed.close()
    assert source.closed


def test_frames_that_the_disk_refused_are_not_given_to_anybody(tmp_path: Path) -> None:
    feed = Feed(Pieces(frames(0, 3), frames(3, 3), frames(6, 3)), disk=ForgetfulDisk(full_at=2))
    feed.record(tmp_path / "x.journal", {})
    assert len(feed.pull(0.0)) == 3
    with pytest.raises(JournalStoppedError):
        feed.pull(0.0)
    assert feed.recorded is None
    assert len(feed.pull(0.0)) == 3  # the mat can be looked at all the same


def test_killed_while_recording_every_frame_that_was_shown_is_there() -> None:
    # How long before the kill the record ends is a matter of the clock: bench/prove_live.py, 200 kills.
    for found in killed(12, seed=20261125):
        assert (found.missing, found.unreadable) == (0, 0)


def test_unplugged_nothing_is_missing_but_the_batch_being_written() -> None:
    for found in forgotten(15, seed=20261125):
        assert (found.missing, found.unreadable) == (0, 0)
        assert found.lost_s <= 0.1


def test_a_journal_is_never_written_to_after_its_end(tmp_path: Path) -> None:
    writing: Journal = begin_journal(tmp_path / "x.journal", HEAD, {})
    writing.append(frames(0, 2))
    writing.end()
    size = writing.path.stat().st_size
    writing.end()
    assert writing.path.stat().st_size == size
