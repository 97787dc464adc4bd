"""Recordings that are cut off: killed at random moments, or on a disk that forgets what was not synced."""

import errno
import multiprocessing
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from evenground.assess.live_desk import LiveDesk
from evenground.capture.disk import SyncedFile
from evenground.capture.feed import Feed
from evenground.capture.frames import MatFrames, MatHead
from evenground.capture.journal import JOURNAL_SUFFIX, file_recording, left_journals
from evenground.capture.recording import load_recording
from evenground.errors import EvengroundError

__all__ = ["HEAD", "ForgetfulDisk", "Found", "PluggedOutError", "forgotten", "killed", "numbered", "prove"]

HEAD = MatHead(rows=10, columns=20, pitch_x_mm=8.0, pitch_y_mm=8.0, unit="kPa", rate_hz=100.0)
LOST_S = 0.1
ROUND_S = 0.2
"""A recording of the victim's; it is filed then, and the next begun, so that a kill may hit any of it."""
ALONE = True
"""It watches the clock: nothing else is proved beside it."""


def numbered(first: int, count: int, time_s: Any) -> MatFrames:
    """Frames whose every cell says which frame it is."""
    numbers = np.arange(first, first + count, dtype=np.float32) % 2**20
    cells = np.broadcast_to(numbers[:, None, None], (count, HEAD.rows, HEAD.columns))
    return MatFrames(time_s=np.asarray(time_s, np.float64), cells=np.ascontiguousarray(cells))


class Numbered:
    """A source that sends numbered frames at their rate, on the machine's own clock."""

    head = HEAD
    left_out = 0

    def __init__(self) -> None:
        self.began_s = time.monotonic()
        self.sent = 0

    def pull(self, wait_s: float) -> MatFrames:
        """Give what is due by now."""
        time.sleep(wait_s)
        due = int((time.monotonic() - self.began_s) * HEAD.rate_hz)
        frames = numbered(
            self.sent, due - self.sent, self.began_s + np.arange(self.sent + 1, due + 1) / HEAD.rate_hz
        )
        self.sent = due
        return frames

    def close(self) -> None:
        """Let go of nothing."""


def victim(folder: str, tell: Any) -> None:
    """Record, file, record again, as the app does, and say which frame each picture showed, until killed."""
    source = Numbered()
    desk = LiveDesk(source)
    tell.send(source.began_s)
    view = None
    with ThreadPoolExecutor(max_workers=1) as clerk:
        for number in range(1000):
            path = Path(folder) / f"{number:03}{JOURNAL_SUFFIX}"
            desk.record(path, {"number": number}, None)
            if number:
                before = path.with_name(f"{number - 1:03}{JOURNAL_SUFFIX}")
                clerk.submit(file_recording, before, before.with_suffix(".parquet"))
            end = time.monotonic() + ROUND_S
            while time.monotonic() < end:
                view = desk.next_view(view, 1.0)
                if view.picture is not None and view.recorded:
                    tell.send(round((view.picture.time_s - source.began_s) * HEAD.rate_hz) - 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What one cut cost: frames shown and lost, how long before the cut the record ends, damaged files."""

    missing: int
    lost_s: float
    unreadable: int


def recovered(folder: Path) -> tuple[set[int], int]:
    """Numbers of all frames that the next start finds, and how many files it cannot read."""
    for path in left_journals(folder):
        file_recording(path, path.with_suffix(".parquet"))
    numbers: set[int] = set()
    unreadable = len(left_journals(folder))
    for path in folder.glob("*.parquet"):
        try:
            numbers |= set(load_recording(path).cells[:, 0, 0].astype(int).tolist())
        except EvengroundError:
            unreadable += 1
    return numbers, unreadable


def killed(count: int, seed: int) -> Iterator[Found]:
    """Kill a recording process at `count` random moments and look at what is left each time."""
    rng = np.random.default_rng(seed)
    workers = multiprocessing.get_context("forkserver")
    workers.set_forkserver_preload(["bench.prove_live", "pyarrow.parquet"])
    for _ in range(count):
        with tempfile.TemporaryDirectory() as name:
            yield _one_kill(Path(name), workers, rng.uniform(0.0, 2.5 * ROUND_S))


def _one_kill(folder: Path, workers: Any, after_s: float) -> Found:
    listen, tell = workers.Pipe(duplex=False)
    process = workers.Process(target=victim, args=(str(folder), tell))
    process.start()
    tell.close()
    began_s, shown = listen.recv(), listen.recv()
    time.sleep(after_s)
    killed_s = time.monotonic()
    process.kill()
    process.join()
    with suppress(EOFError):
        while listen.poll():
            shown = listen.recv()
    numbers, unreadable = recovered(folder)
    last_s = began_s + (max(numbers, default=-1) + 1) / HEAD.rate_hz
    first = min(numbers, default=0)
    return Found(
        missing=len(set(range(first, shown + 1)) - numbers), lost_s=killed_s - last_s, unreadable=unreadable
    )


class PluggedOutError(Exception):
    """The plug was pulled."""


class ForgetfulDisk:
    """A disk on which only what was synced is sure to be there after the plug is pulled.

    Of the rest some first part may be there, and a piece of that may be other bytes.

    Parameters
    ----------
    plug_at
        Pull the plug at this sync, when everything is written and nothing of it safe.
    full_at
        Refuse this sync and every later one.
    """

    def __init__(self, *, plug_at: int | None = None, full_at: int | None = None) -> None:
        self.files: dict[Path, _ForgetfulFile] = {}
        self.plug_at, self.full_at, self.syncs = plug_at, full_at, 0

    def begin(self, path: Path, first: bytes) -> SyncedFile:
        """Begin a file; as on a real disk its name and its first bytes are there together."""
        self.files[path] = _ForgetfulFile(disk=self, synced=bytearray(first))
        return self.files[path]

    def leave(self, rng: np.random.Generator) -> None:
        """Put on the real disk what the plug has left of every file."""
        for path, file in self.files.items():
            kept = bytearray(file.waiting[: int(rng.integers(len(file.waiting) + 1))])
            if kept:
                at = int(rng.integers(len(kept)))
                kept[at : at + 512] = bytes(len(kept[at : at + 512]))
            path.write_bytes(bytes(file.synced + kept))


@dataclass(slots=True, kw_only=True)
class _ForgetfulFile:
    disk: ForgetfulDisk
    synced: bytearray
    waiting: bytearray = field(default_factory=bytearray)

    def write(self, data: bytes) -> None:
        self.waiting += data

    def sync(self) -> None:
        self.disk.syncs += 1
        if self.disk.syncs == self.disk.plug_at:
            raise PluggedOutError
        if self.disk.full_at is not None and self.disk.syncs >= self.disk.full_at:
            raise OSError(errno.ENOSPC, "No space left on device")
        self.synced += self.waiting
        self.waiting.clear()

    def cut(self, length: int) -> None:
        self.waiting.clear()
        del self.synced[length:]

    def close(self) -> None:
        """Close; that is no syncing."""


class Stepping:
    """A source of numbered frames that come in pieces of up to 100 ms, as fast as they are pulled."""

    head, left_out = HEAD, 0

    def __init__(self, rng: np.random.Generator) -> None:
        self.rng, self.sent = rng, 0

    def pull(self, wait_s: float) -> MatFrames:  # noqa: ARG002 - it never waits
        """Give the next piece, perhaps an empty one."""
        first, count = self.sent, int(self.rng.integers(0, 11))
        self.sent += count
        return numbered(first, count, np.arange(first, self.sent) / HEAD.rate_hz)

    def close(self) -> None:
        """Let go of nothing."""


def forgotten(count: int, seed: int) -> Iterator[Found]:
    """Pull the plug of a forgetful disk at `count` random syncs of a recording and look at what is left."""
    for rng in map(np.random.default_rng, np.random.SeedSequence(seed).spawn(count)):
        with tempfile.TemporaryDirectory() as name:
            yield _one_plug(Path(name), rng)


def _one_plug(folder: Path, rng: np.random.Generator) -> Found:
    disk, source = ForgetfulDisk(plug_at=int(rng.integers(1, 60))), Stepping(rng)
    feed = Feed(source, disk=disk)
    feed.record(folder / f"0{JOURNAL_SUFFIX}", {})
    shown = 0
    with suppress(PluggedOutError):
        while True:
            shown += len(feed.pull(0.0))
    disk.leave(rng)
    numbers, unreadable = recovered(folder)
    kept = max(numbers, default=-1) + 1
    return Found(
        missing=len(set(range(shown)) - numbers),
        lost_s=(source.sent - kept) / HEAD.rate_hz,
        unreadable=unreadable,
    )


def _row(what: str, cuts: list[Found], limit_s: float) -> dict[str, Any]:
    missing, damaged = sum(f.missing for f in cuts), sum(f.unreadable for f in cuts)
    longest = max(f.lost_s for f in cuts)
    return {
        "claim": f"{what} at {len(cuts)} random moments: every frame shown is there, every file opens, and "
        "the record ends at most 100 ms before",
        "seen": f"{missing} shown frames missing, {damaged} files damaged, "
        f"longest loss {1000.0 * longest:.0f} ms",
        "limit": f"0, 0, {1000.0 * limit_s:.0f} ms",
        "held": missing == 0 and damaged == 0 and longest <= limit_s,
    }


def prove(count: int, seed: int) -> list[dict[str, Any]]:
    """A tenth of `count` kills and plugs: 200 of each at the full count."""
    cuts = max(count // 10, 2)
    return [
        _row("recording killed (SIGKILL)", list(killed(cuts, seed)), LOST_S),
        _row("disk without what was not synced", list(forgotten(cuts, seed)), LOST_S),
    ]
