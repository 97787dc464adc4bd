"""A live mat of 2000 cells at 100 Hz from another process: what watching costs, and how old figures are.

Everything runs as in the app: stream, journal synced batch by batch, pictures, load, CoP, a grade a second.
The peer reads the same stream in the same process and only adds each frame up.
"""

import json
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from typing import Any

import numpy as np

from evenground.assess.live import PICTURE_S, Player
from evenground.assess.live_desk import LiveDesk, LiveView
from evenground.capture.frames import MatFrames
from evenground.capture.journal import read_journal
from evenground.capture.live_inlet import LslSource, MatStream, StreamsInReach, choose

ROWS, COLUMNS, RATE_HZ = 40, 50, 100.0
SECONDS, WARM_S = 20.0, 3.0
CORE_LIMIT, AGE_LIMIT_MS = 0.25, 60.0
PICTURES_LIMIT = 25.0
NAME = "bench mat"


def sender() -> "subprocess.Popen[bytes]":
    """The simulated player in a process of its own."""
    size = ["--rows", str(ROWS), "--columns", str(COLUMNS), "--pitch-mm", "12", "--rate-hz", f"{RATE_HZ:g}"]
    more = ["--duration-s", "60", "--empty-s", "0", "--until-s", "120", "--name", NAME]
    command = [sys.executable, "-m", "evenground", "simulate", "mat", "--live", *size, *more]
    return subprocess.Popen(command, stdout=subprocess.DEVNULL)


def found() -> MatStream:
    """The sender's stream, waited for."""
    reach = StreamsInReach(network=False)
    end = time.monotonic() + 30.0
    while time.monotonic() < end:
        stream = choose(reach.now(), NAME, None)
        if stream is not None:
            return stream
        time.sleep(0.1)
    msg = "the simulated mat does not send"
    raise TimeoutError(msg)


class Timed(LslSource):
    """The source, which also remembers when each frame was sent."""

    def __init__(self, stream: MatStream) -> None:
        super().__init__(stream, network=False)
        self.pulled: list[np.ndarray[Any, np.dtype[np.float64]]] = []

    def pull(self, wait_s: float) -> MatFrames:
        """Pull, and note the times."""
        frames = super().pull(wait_s)
        self.pulled.append(np.asarray(frames.time_s, np.float64))
        return frames


def ages_s(desk: LiveDesk, source: Timed, seconds: float) -> tuple[list[float], int]:
    """Ages of all frames at the moment that their figures can be seen, and the number of pictures."""
    ages: list[float] = []
    view: LiveView | None = None
    pictures, end = 0, time.monotonic() + seconds
    while time.monotonic() < end:
        view = desk.next_view(view, 1.0)
        now = source.clock_s()
        if view.picture is None or view.picture.moment is None or not source.pulled:
            continue
        waiting, source.pulled = source.pulled, []
        times = np.concatenate(waiting)
        ages += (now - times[times <= view.picture.time_s]).tolist()
        pictures += 1
    return ages, pictures


def watched(folder: Path) -> dict[str, float]:
    """Share of a core, ages and pictures of one watched recording; every frame must be in its journal."""
    source = Timed(found())
    desk = LiveDesk(source, Player(handed="right", mass_kg=75.0))
    ages_s(desk, source, WARM_S)
    desk.record(folder / "bench.journal", {}, None)
    cpu, began = time.process_time(), time.monotonic()
    ages, pictures = ages_s(desk, source, SECONDS)
    spent, took = time.process_time() - cpu, time.monotonic() - began
    say = desk.view.say
    desk.close()
    kept = read_journal(folder / "bench.journal").frames
    steps = np.diff(kept.time_s)
    assert len(kept) >= 0.95 * SECONDS * RATE_HZ, f"{len(kept)} frames"
    assert steps.max() < 1.5 / RATE_HZ, "frames are missing"
    assert say.ground is not None, say.trouble
    return {
        "core": spent / took,
        "median_ms": 1000.0 * float(np.median(ages)),
        "p95_ms": 1000.0 * float(np.percentile(ages, 95)),
        "worst_ms": 1000.0 * max(ages),
        "pictures_hz": pictures / took,
        "frames": float(len(ages)),
    }


def plain_core() -> float:
    """Share of a core that reading the stream and adding each frame up takes."""
    source = LslSource(found(), network=False)
    stop, totals = threading.Event(), []

    def read() -> None:
        while not stop.wait(0.04):
            frames = source.pull(0.0)
            totals.extend(frames.cells.reshape(len(frames), -1).sum(axis=1).tolist())

    thread = threading.Thread(target=read)
    cpu, began = time.process_time(), time.monotonic()
    thread.start()
    time.sleep(5.0)
    stop.set()
    thread.join()
    share = (time.process_time() - cpu) / (time.monotonic() - began)
    source.close()
    assert len(totals) > 400
    return share


def run() -> dict[str, Any]:
    """Watch, then the peer, on the same stream in the same process."""
    process = sender()
    try:
        with tempfile.TemporaryDirectory() as folder:
            seen = watched(Path(folder))
        peer = plain_core()
    finally:
        process.kill()
        process.wait()
    what = f"{ROWS * COLUMNS} cells at {RATE_HZ:g} Hz, journalled, drawn and graded"
    return {
        "seen": seen,
        "promises": [
            {
                "promise": f"live, {what}",
                "ours": f"{100.0 * seen['core']:.1f} % of a core",
                "beside": f"{100.0 * peer:.1f} % for reading the stream and summing each frame",
                "limit": f"{100.0 * CORE_LIMIT:.0f} %",
                "held": seen["core"] < CORE_LIMIT,
            },
            {
                "promise": "from a frame to its figures, 95th percentile",
                "ours": f"{seen['p95_ms']:.0f} ms (median {seen['median_ms']:.0f})",
                "beside": f"{1000.0 / RATE_HZ:.0f} ms between frames",
                "limit": f"{AGE_LIMIT_MS:.0f} ms",
                "held": seen["p95_ms"] < AGE_LIMIT_MS,
            },
            {
                "promise": "pictures a second with load and CoP",
                "ours": f"{seen['pictures_hz']:.1f}",
                "beside": f"{1.0 / PICTURE_S:.0f} made",
                "limit": f"{PICTURES_LIMIT:g}",
                "held": seen["pictures_hz"] >= PICTURES_LIMIT,
            },
        ],
    }


if __name__ == "__main__":
    print(json.dumps(run(), indent=2))
