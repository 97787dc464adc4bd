"""A live mat without a network: streams that a test names, a source that plays two seconds over and over."""

# ruff: noqa: ARG002 - a played source takes what a real one takes

from typing import Any

import numpy as np

from evenground.capture.frames import MatFrames, MatHead
from evenground.capture.live_inlet import MatStream
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat

__all__ = ["HEAD", "LOAD_LEFT", "RATE", "STOOD", "PlayedSource", "PlayedStreams"]

RATE = 50.0
LOAD_LEFT = 56.0
HEAD = MatHead(rows=40, columns=60, pitch_x_mm=10.0, pitch_y_mm=10.0, unit="kPa", rate_hz=RATE, name="mat")
STOOD = simulate_mat(
    Standing(load_left_percent=LOAD_LEFT),
    Mat(rows=40, columns=60, pitch_x_mm=10.0, pitch_y_mm=10.0),
    Swaying(duration_s=2.0, rate_hz=RATE),
    rng=np.random.default_rng(20261125),
).recording


class PlayedSource:
    """A stream's source that gives two frames a pull."""

    left_out = 0

    def __init__(self, stream: MatStream, **options: Any) -> None:
        self.head, self.at = HEAD, 0

    def pull(self, wait_s: float) -> MatFrames:
        at, self.at = self.at, self.at + 2
        cells = STOOD.cells[at % 100 : at % 100 + 2]
        return MatFrames(time_s=np.arange(at, at + 2) / RATE, cells=cells)

    def close(self) -> None:
        pass


class PlayedStreams:
    """The streams in reach: those that a test says."""

    names: tuple[str, ...] = ("mat",)

    def __init__(self, *, network: bool) -> None:
        self.network = network

    def now(self) -> tuple[MatStream, ...]:
        return tuple(
            MatStream(name=n, key=n, host="", kind="Mat", channels=2400, rate_hz=RATE, info=None)
            for n in self.names
        )
