"""A simulated player on a live mat: a stream that steps on, stands, steps off, as often as is wanted."""

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from evenground.capture.live_inlet import MAT_TYPE
from evenground.capture.lsl import load_lsl
from evenground.measure.recording import MatRecording
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat

__all__ = ["Playing", "play", "played_frames"]

_CALM_S = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Playing:
    """What is played: a player who stands for a while, then leaves the mat empty for a while, over and over.

    `length_s` ends it; None plays on.
    """

    standing: Standing = field(default_factory=Standing)
    mat: Mat = field(default_factory=Mat)
    stands_s: float = 20.0
    empty_s: float = 4.0
    rate_hz: float = 100.0
    name: str = "simulated mat"
    seed: int = 1
    length_s: float | None = None
    network: bool = False


def played_frames(playing: Playing) -> MatRecording:
    """One round: the player stands, then the mat is empty."""
    rng = np.random.default_rng(playing.seed)
    swaying = Swaying(duration_s=playing.stands_s, rate_hz=playing.rate_hz)
    stood = simulate_mat(playing.standing, playing.mat, swaying, rng=rng).recording
    bare = max(round(playing.empty_s * playing.rate_hz), 0)
    noise = playing.mat.noise_kpa * (playing.mat.counts_per_kpa or 1.0)
    empty = np.maximum(noise * rng.standard_normal((bare, *stood.shape[1:]), dtype=np.float32), 0.0)
    cells = np.concatenate([stood.cells, empty.astype(np.float32)])
    return MatRecording(
        cells=cells,
        unit=stood.unit,
        pitch_x_mm=stood.pitch_x_mm,
        pitch_y_mm=stood.pitch_y_mm,
        rate_hz=playing.rate_hz,
        time_s=np.arange(len(cells)) / playing.rate_hz,
        name=playing.name,
    )


def play(
    playing: Playing, *, begun: Callable[[], object] | None = None, stop: threading.Event | None = None
) -> int:
    """Send frames at their rate until it is over; gives how many were sent.

    Parameters
    ----------
    playing
        What to play.
    begun
        Called once the stream can be found.
    stop
        Set from elsewhere to end it.

    Raises
    ------
    LslMissingError, LslReachError
        When nothing can be sent.
    """
    lsl = load_lsl(network=playing.network)
    shown = played_frames(playing)
    flat = shown.cells.reshape(len(shown.cells), -1)
    outlet = lsl.StreamOutlet(_info(lsl, playing, shown), max_buffered=2)
    if begun is not None:
        begun()
    ended = stop or threading.Event()
    started, sent = lsl.local_clock(), 0
    last = None if playing.length_s is None else round(playing.length_s * playing.rate_hz)
    while not ended.is_set() and (last is None or sent < last):
        outlet.push_sample(flat[sent % len(flat)], started + sent / playing.rate_hz)
        sent += 1
        ended.wait(max(0.0, started + sent / playing.rate_hz - lsl.local_clock()))
    ended.wait(_CALM_S)  # what is still in the buffers goes out first
    return sent


def _info(lsl: Any, playing: Playing, shown: MatRecording) -> Any:
    _, rows, columns = shown.shape
    info = lsl.StreamInfo(
        playing.name, MAT_TYPE, rows * columns, playing.rate_hz, lsl.cf_float32, f"evenground {playing.name}"
    )
    mat = info.desc().append_child("mat")
    said = {
        "rows": rows,
        "columns": columns,
        "pitch_x_mm": shown.pitch_x_mm,
        "pitch_y_mm": shown.pitch_y_mm,
        "unit": shown.unit,
        "first_row": "heel",
        "first_column": "left",
    }
    for key, value in said.items():
        mat.append_child_value(key, str(value))
    return info
