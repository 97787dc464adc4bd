"""Damaged files of every kind end as a result or as one clear error, soon and in little memory."""

import io
import multiprocessing
import resource
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from evenground.capture.guess import guess_layout
from evenground.capture.layout import Layout
from evenground.capture.parquet import write_recording
from evenground.capture.standing import read_standing
from evenground.errors import EvengroundError
from evenground.measure.ways import describe_standing
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat

FILES_A_COUNT = 5
"""Files for each counted simulation: 10,000 at the full count of 2,000."""

KINDS = ("text", "guess", "parquet", "text", "parquet", "guess", "parquet", "text", "parquet", "c3d")
BATCH = 25
SECONDS, MEGABYTES = 2.0, 500.0
ALONE = True
"""It watches clocks and memory: nothing else is proved beside it."""
ROWS, COLUMNS = 40, 48
ODD = tuple(
    text.encode("latin-1") for text in ("nan", "inf", "-1", "1e999", ",,", ";", "\n\n", "\0", "\xff\xfe")
)
ODD += (b"9" * 400, b"\r", b"\t", b'"')


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """How one file ended: what came, seconds of processor time, and the worker's memory at most."""

    kind: str
    outcome: str
    said: str
    seconds: float
    megabytes: float


@cache
def sound() -> dict[str, bytes]:
    """One sound file of each kind, whose copies are damaged."""
    made = simulate_mat(
        Standing(),
        Mat(rows=ROWS, columns=COLUMNS, pitch_x_mm=12.0, pitch_y_mm=10.0),
        Swaying(duration_s=1.5, rate_hz=10.0),
        rng=np.random.default_rng(7),
    ).recording
    text = "\n\n".join("\n".join(",".join(f"{v:.1f}" for v in row) for row in f) for f in made.cells)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "a.parquet"
        write_recording(made, path)
        raw = {"text": text.encode(), "guess": text.encode(), "parquet": path.read_bytes()}
        try:
            from tests.capture.c3d_samples import Laid, written

            written(Path(folder) / "a.c3d", Laid())
            raw["c3d"] = (Path(folder) / "a.c3d").read_bytes()
        except ImportError:  # the extra is not installed; the claim then says how many files there were
            pass
    return raw


def damaged(raw: bytes, rng: np.random.Generator) -> bytes:
    """A copy that is cut, filled, doubled, or changed in some bytes, near its ends more often."""
    data = bytearray(raw)
    for _ in range(int(rng.integers(1, 5))):
        size = max(len(data), 1)
        ends = rng.random() < 0.5
        at = int(rng.integers(0, min(size, 400))) if ends else int(rng.integers(0, size))
        at = size - 1 - at if rng.random() < 0.3 else at
        span = int(rng.integers(1, 200))
        way = int(rng.integers(0, 6))
        if way == 0:
            data = data[:at]
        elif way == 1:
            data[at : at + span] = rng.integers(0, 256, span, dtype=np.uint8).tobytes()
        elif way == 2:
            data[at:at] = ODD[int(rng.integers(0, len(ODD)))]
        elif way == 3:
            del data[at : at + span]
        elif way == 4:
            data[at:at] = data[at : at + span]
        elif data:
            data[min(at, len(data) - 1)] ^= 1 << int(rng.integers(0, 8))
    return bytes(data)


LAYOUT = Layout.model_validate(
    {
        "frames": "stacked",
        "rows": ROWS,
        "columns": COLUMNS,
        "pitch_mm": [12.0, 10.0],
        "unit": "kPa",
        "first_row": "heel",
        "first_column": "left",
        "rate_hz": 10.0,
    }
)
NAMES = {"text": "a.csv", "guess": "a.csv", "parquet": "a.parquet", "c3d": "a.c3d"}


def taken(kind: str, raw: bytes) -> None:
    """Read one file as a studio would, and measure what comes."""
    stream = io.BytesIO(raw)
    layout = LAYOUT if kind == "text" else None
    if kind == "guess":
        layout = guess_layout(stream, file="a.csv").layout
    standing = read_standing(stream, file=NAMES[kind], layout=layout)
    describe_standing(standing, handed="right", mass_kg=75.0)


def ended(kind: str, raw: bytes) -> Ended:
    """What became of one file."""
    before = _processor_s()
    outcome, said = "result", ""
    try:
        taken(kind, raw)
    except EvengroundError as exc:
        said = str(exc)
        outcome = "error" if said and "\n" not in said and exc.do else "unclear"
    except Exception as exc:  # noqa: BLE001 - this is what must not happen
        outcome, said = "traceback", f"{type(exc).__name__}: {exc}"[:200]
    megabytes = _peak_mb()
    return Ended(kind=kind, outcome=outcome, said=said, seconds=_processor_s() - before, megabytes=megabytes)


def _processor_s() -> float:
    """Of this process and of those it waited for: a busy machine does not count as a hang."""
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + children.ru_utime + children.ru_stime


def _peak_mb() -> float:
    lines = Path("/proc/self/status").read_text("ascii").splitlines()
    own = next(int(line.split()[1]) for line in lines if line.startswith("VmHWM"))
    return own / 1024.0


def batch(seed: int, numbers: range) -> list[Ended]:
    """Some files, each damaged by its own number."""
    found = []
    for number in numbers:
        kind = KINDS[number % len(KINDS)]
        if kind in sound():
            rng = np.random.default_rng((seed, number))
            found.append(ended(kind, damaged(sound()[kind], rng)))
    return found


def all_ended(files: int, seed: int) -> Iterator[list[Ended] | None]:
    """Every batch in processes of their own; None for one that took its process with it."""
    numbers = [range(start, min(start + BATCH, files)) for start in range(0, files, BATCH)]
    spawned = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(max_workers=2, mp_context=spawned) as pool:
        waiting = [pool.submit(batch, seed, part) for part in numbers]
        for future in waiting:
            try:
                yield future.result()
            except BrokenProcessPool:
                yield None


def prove(count: int, seed: int) -> list[dict[str, Any]]:
    """Rows for results or one error, for time, and for memory."""
    files = FILES_A_COUNT * count
    batches = list(all_ended(files, seed))
    found = [one for part in batches if part is not None for one in part]
    crashed = batches.count(None)
    counts = Counter(one.outcome for one in found)
    wrong = [f"{one.kind}: {one.said}" for one in found if one.outcome not in ("result", "error")]
    slowest = max(found, key=lambda one: one.seconds)
    largest = max(one.megabytes for one in found)
    kinds = Counter(one.kind for one in found)
    named = ", ".join(f"{kinds[k]} {k}" for k in sorted(kinds))
    return [
        {
            "claim": f"{len(found)} damaged files ({named}): a result or one clear error",
            "seen": f"{counts['result']} results, {counts['error']} errors"
            + (f"; {crashed} crashes, {wrong[:3]}" if wrong or crashed else ""),
            "limit": "nothing else",
            "held": not wrong and crashed == 0 and len(found) > 0,
        },
        {
            "claim": "no damaged file hangs (processor time)",
            "seen": f"{slowest.seconds:.2f} s at most ({slowest.kind})",
            "limit": f"{SECONDS:g} s",
            "held": slowest.seconds <= SECONDS,
        },
        {
            "claim": "no damaged file takes much memory",
            "seen": f"{largest:.0f} MB at most",
            "limit": f"{MEGABYTES:g} MB",
            "held": largest <= MEGABYTES,
        },
    ]
