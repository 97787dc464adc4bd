"""Speed and memory of files: text grids beside two readers, long recordings beside reading their bytes."""

import io
import json
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from evenground.capture.layout import Layout
from evenground.capture.long_recording import open_long_parquet
from evenground.capture.parquet import Geometry, RecordingWriter, read_parquet
from evenground.capture.textgrid import read_text_grid
from evenground.measure.ground import describe
from evenground.measure.recording import FloatArray
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat

ROWS, COLUMNS, RATE = 40, 50, 100.0
MAT = Mat(rows=ROWS, columns=COLUMNS, pitch_x_mm=12.0, pitch_y_mm=10.0)
ROUNDS = 7
LOADTXT, PANDAS, READING, WARM_MS, MEMORY_MB = 5.0, 1.0, 2.0, 150.0, 400.0
MINUTES = 6
"""A tenth of the hour; every step takes frames by themselves, so that time is in proportion."""
TEXT_BYTES = 1_000_000_000


def standing(seconds: float) -> FloatArray:
    """(T, 40, 50) of a swaying player at 100 Hz, tenths of a kPa as exports have them."""
    made = simulate_mat(
        Standing(), MAT, Swaying(duration_s=seconds, rate_hz=RATE), rng=np.random.default_rng(5)
    )
    return np.round(made.recording.cells, 1)


def timed(calls: dict[str, Callable[[], object]], rounds: int = ROUNDS) -> dict[str, float]:
    """Median seconds of each, by turns so that all see the same neighbours on the machine."""
    times: dict[str, list[float]] = {name: [] for name in calls}
    for _ in range(rounds):
        for name, call in calls.items():
            started = time.perf_counter()
            call()
            times[name].append(time.perf_counter() - started)
    return {name: statistics.median(t) for name, t in times.items()}


def layout(**more: object) -> Layout:
    """The stacked text of the frames here."""
    plain = {
        "frames": "stacked",
        "rows": ROWS,
        "columns": COLUMNS,
        "pitch_mm": [12.0, 10.0],
        "unit": "kPa",
        "first_row": "heel",
        "first_column": "left",
        "rate_hz": RATE,
    }
    return Layout.model_validate(plain | more)


def text_of(frames: FloatArray) -> bytes:
    """Frames one below the other, one decimal."""
    return (
        "\n".join(",".join(f"{v:.1f}" for v in row) for row in frames.reshape(-1, COLUMNS)).encode() + b"\n"
    )


def text_rows() -> list[dict[str, Any]]:
    """A text grid beside numpy.loadtxt and pandas' C reader."""
    import pandas as pd  # type: ignore[import-untyped]

    frames = standing(6.0)
    raw, declared = text_of(frames), layout()

    def ours() -> FloatArray:
        return read_text_grid(raw, declared, file="a.csv").cells

    def loadtxt() -> FloatArray:
        return np.loadtxt(io.BytesIO(raw), delimiter=",", dtype=np.float32)

    def pandas() -> FloatArray:
        return np.asarray(pd.read_csv(io.BytesIO(raw), header=None, engine="c").to_numpy())

    for theirs in (loadtxt(), pandas()):
        np.testing.assert_allclose(ours().reshape(-1, COLUMNS), theirs, rtol=1e-6)
    took = timed({"ours": ours, "loadtxt": loadtxt, "pandas": pandas})
    said = f"{1000 * took['ours']:.0f} ms for {len(raw) / 1e6:.1f} MB"
    to_loadtxt, to_pandas = took["loadtxt"] / took["ours"], took["ours"] / took["pandas"]
    return [
        {
            "promise": "text grid against numpy.loadtxt",
            "ours": said,
            "beside": f"{1000 * took['loadtxt']:.0f} ms",
            "limit": f"{LOADTXT:g} times faster (seen {to_loadtxt:.1f})",
            "held": to_loadtxt >= LOADTXT,
        },
        {
            "promise": "text grid against pandas' C reader",
            "ours": said,
            "beside": f"{1000 * took['pandas']:.0f} ms",
            "limit": f"{PANDAS:g} times (seen {to_pandas:.2f})",
            "held": to_pandas <= PANDAS,
        },
    ]


def write_long(path: Path, minutes: float) -> None:
    """Frames of one minute over and over, as a recording of that many minutes."""
    minute = standing(60.0)
    geometry = Geometry(
        version=1, rows=ROWS, columns=COLUMNS, pitch_x_mm=12.0, pitch_y_mm=10.0, unit="kPa", rate_hz=RATE
    )
    with RecordingWriter(path, geometry) as writer:
        for k in range(round(minutes)):
            writer.write((np.arange(len(minute)) + k * len(minute)) / RATE, minute)


def reading(path: Path) -> int:
    """Only read the same bytes: every value unpacked, nothing worked out."""
    import pyarrow.parquet as pq

    count = 0
    with pq.ParquetFile(path) as file:
        for batch in file.iter_batches(batch_size=2000, columns=["cells"]):
            count += len(batch.column(0).flatten().to_numpy())
    return count


def long_rows() -> list[dict[str, Any]]:
    """A long recording to all figures, beside reading the same bytes."""
    with TemporaryDirectory() as folder:
        path, short = Path(folder) / "long.parquet", Path(folder) / "short.parquet"
        write_long(path, MINUTES)
        write_long(short, 1)
        held = describe(read_parquet(short.read_bytes(), file="a"), handed="right")
        pieces = describe(open_long_parquet(short, file="a"), handed="right")
        for side in ("left", "right"):
            one, other = (getattr(g.feet, side).load_percent.value for g in (held, pieces))
            np.testing.assert_allclose(one, other, atol=0.01)
        took = timed(
            {
                "ours": lambda: describe(open_long_parquet(path, file="a"), handed="right"),
                "reading": lambda: reading(path),
            },
            rounds=3,
        )
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    ratio = took["ours"] / took["reading"]
    return [
        {
            "promise": f"{MINUTES} minutes of 2000 cells at 100 Hz, streamed to all figures",
            "ours": f"{took['ours']:.2f} s (this process {before:.0f} MB at most)",
            "beside": f"{took['reading']:.2f} s for reading the same bytes",
            "limit": f"{READING:g} times (seen {ratio:.2f})",
            "held": ratio <= READING,
        }
    ]


def warm_row() -> dict[str, Any]:
    """Thirty seconds in memory to all figures."""
    made = simulate_mat(Standing(), MAT, Swaying(duration_s=30.0, rate_hz=RATE), rng=np.random.default_rng(5))
    ground = describe(made.recording, handed="right", mass_kg=75.0)
    assert ground.feet.left.load_percent is not None
    assert abs(ground.feet.left.load_percent.value - made.truth.load_left_percent) < 1.0
    took = timed({"ours": lambda: describe(made.recording, handed="right", mass_kg=75.0)})["ours"]
    return {
        "promise": "30 s of 2000 cells at 100 Hz to all figures, warm",
        "ours": f"{1000 * took:.0f} ms",
        "beside": "a person's patience",
        "limit": f"{WARM_MS:g} ms",
        "held": 1000 * took <= WARM_MS,
    }


def memory_row(size: int = TEXT_BYTES) -> dict[str, Any]:
    """A text of a gigabyte through the command line, its memory at most."""
    with TemporaryDirectory() as folder:
        text, toml = Path(folder) / "long.csv", Path(folder) / "l.toml"
        part = text_of(standing(4.0))
        with text.open("wb") as out:
            for _ in range(max(size // len(part), 1)):
                out.write(part)
        toml.write_text(
            f'frames = "stacked"\nrows = {ROWS}\ncolumns = {COLUMNS}\npitch_mm = [12.0, 10.0]\nunit = "kPa"\n'
            'first_row = "heel"\nfirst_column = "left"\nrate_hz = 100.0\n'
        )
        asked = [sys.executable, "-c", _CHILD, "ground", str(text), "--layout", str(toml), "--json"]
        started = time.perf_counter()
        done = subprocess.run(asked, capture_output=True, check=True, text=True)
        seconds = time.perf_counter() - started
        megabytes = int(done.stderr.strip().splitlines()[-1]) / 1024
        load = json.loads(done.stdout)["feet"]["left"]["load_percent"]["value"]
        assert abs(load - 50.0) < 2.0, load
        gigabytes = text.stat().st_size / 1e9
    return {
        "promise": f"a text of {gigabytes:.2f} GB to all figures, memory at most",
        "ours": f"{megabytes:.0f} MB ({seconds:.0f} s)",
        "beside": f"{1000 * gigabytes:.0f} MB of text",
        "limit": f"{MEMORY_MB:g} MB",
        "held": megabytes <= MEMORY_MB,
    }


# VmHWM is this process alone; ru_maxrss begins with what its parent held.
_CHILD = (
    "import re, sys\n"
    "from evenground.cli import app\n"
    "app(sys.argv[1:], standalone_mode=False)\n"
    "seen = open('/proc/self/status').read()\n"
    "print(re.search(r'VmHWM:\\s+(\\d+)', seen)[1], file=sys.stderr)\n"
)


def run() -> dict[str, Any]:
    """All of it; a memory of one process does not count another's."""
    return {"promises": [memory_row(), *text_rows(), warm_row(), *long_rows()]}
