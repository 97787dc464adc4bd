"""Speed of an hour of mat: mean map and one product, beside one sum of the frames and a loop over them."""

import statistics
import time
from collections.abc import Callable
from typing import Any

import numpy as np
from scipy import ndimage

from evenground.measure.recording import FloatArray
from evenground.measure.sums import frame_sums, mean_map

FRAMES, ROWS, COLUMNS = 6000, 40, 50
ROUNDS, LOOP_ROUNDS = 15, 3
SUM_LIMIT, LOOP_LIMIT = 3.0, 30.0


def two_feet(rng: np.random.Generator) -> tuple[FloatArray, FloatArray]:
    """6000 x 2000 float32 frames of two feet, and labels of (R, C): whole feet 1, 2 and their heels 3, 4."""
    labels = np.zeros((ROWS, COLUMNS), int)
    labels[12:32, 8:17], labels[12:32, 33:42] = 1, 2
    heels = np.where(np.arange(ROWS)[:, None] < 18, labels, 0)
    pressure = np.where(labels > 0, 30.0, 0.0).astype(np.float32)
    swing = 1.0 + 0.1 * rng.standard_normal((FRAMES, 2), dtype=np.float32)
    frames = np.where(labels == 1, swing[:, :1, None], swing[:, 1:, None]) * pressure
    frames += rng.random((FRAMES, ROWS, COLUMNS), dtype=np.float32)
    return frames.astype(np.float32), np.stack([labels, heels])


def columns(labels: FloatArray) -> FloatArray:
    """Basis of the same figures: whole and heel of both feet, times 1, x and y; the total is their sum."""
    x, y = np.meshgrid(np.arange(COLUMNS) - 0.5 * COLUMNS, np.arange(ROWS) - 0.5 * ROWS)
    masks = [(part == foot).astype(float) for part in labels for foot in (1, 2)]
    return np.column_stack([(m * w).ravel() for m in masks for w in (np.ones_like(x), x, y)])


def product(frames: FloatArray, basis: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Our figures, (T, 13): whole and heel of both feet with their centres, and the total."""
    mean = mean_map(frames)
    sums = frame_sums(frames, basis).reshape(len(frames), 4, 3)
    force = sums[:, :, 0]
    centres = sums[:, :, 1:] / force[:, :, None]
    total = force[:, 0] + force[:, 1]
    return mean, np.column_stack([force, centres.reshape(len(frames), 8), total])


def loop(frames: FloatArray, labels: FloatArray) -> FloatArray:
    """The same figures frame by frame with scipy.ndimage."""
    rows = []
    middle = np.array([0.5 * ROWS, 0.5 * COLUMNS])
    for frame in frames:
        force, centres = [], []
        for part in labels:
            force += list(ndimage.sum_labels(frame, part, (1, 2)))
            centres += [(np.array(c) - middle)[::-1] for c in ndimage.center_of_mass(frame, part, (1, 2))]
        rows.append([*force, *np.ravel(centres), force[0] + force[1]])
    return np.array(rows)


def seconds(call: Callable[[], object], rounds: int) -> list[float]:
    """Times of one call, repeated."""
    times = []
    for _ in range(rounds):
        started = time.perf_counter()
        call()
        times.append(time.perf_counter() - started)
    return times


def run() -> dict[str, Any]:
    """Correctness first, then medians side by side in the same process."""
    frames, labels = two_feet(np.random.default_rng(1))
    basis = columns(labels)
    mean, ours = product(frames, basis)
    few = slice(0, 200)
    np.testing.assert_allclose(ours[few], loop(frames[few], labels), rtol=2e-5, atol=2e-4)
    np.testing.assert_allclose(mean, frames.mean(axis=0, dtype=np.float64), rtol=1e-5)

    fast: list[float] = []
    plain: list[float] = []
    for _ in range(ROUNDS):  # by turns, so that both see the same neighbours on the machine
        fast += seconds(lambda: product(frames, basis), 1)
        plain += seconds(frames.sum, 1)
    slow = [t * FRAMES / 600 for t in seconds(lambda: loop(frames[:600], labels), LOOP_ROUNDS)]
    medians = {name: statistics.median(t) for name, t in (("ours", fast), ("sum", plain), ("loop", slow))}
    spread = {
        "ours_s": [min(fast), max(fast)],
        "sum_s": [min(plain), max(plain)],
        "loop_s": [min(slow), max(slow)],
    }
    to_sum, to_loop = medians["ours"] / medians["sum"], medians["loop"] / medians["ours"]
    return {
        "medians_s": medians,
        "spread_s": spread,
        "promises": [
            {
                "promise": "mean map and product of 6000 x 2000 float32 frames",
                "ours": f"{1000 * medians['ours']:.1f} ms",
                "beside": f"{1000 * medians['sum']:.1f} ms for frames.sum()",
                "limit": f"{SUM_LIMIT:g} times (seen {to_sum:.2f})",
                "held": to_sum <= SUM_LIMIT,
            },
            {
                "promise": "both feet, heel and whole, and total of every frame",
                "ours": f"{1000 * medians['ours']:.1f} ms",
                "beside": f"{1000 * medians['loop']:.0f} ms for a scipy.ndimage loop (from a tenth of it)",
                "limit": f"{LOOP_LIMIT:g} times faster (seen {to_loop:.0f})",
                "held": to_loop >= LOOP_LIMIT,
            },
        ],
    }
