"""Frames of a recording too long to hold: read in pieces, as often as a figure needs them.

One pass surveys the frames (means of half-second blocks, extremes, some frames to see the noise by); every
other figure is a sum over the frames (`measure.sums`) and takes one more pass. Whoever gives the pieces may
read them from anywhere; here they are only asked for.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from evenground.errors import MeasureError
from evenground.measure.recording import FloatArray

__all__ = ["LongCells", "LongRecordingError", "Pieces", "Survey", "survey"]

Pieces = Callable[[int, int], Iterator[FloatArray]]
"""Gives the frames from one up to another, in their order, (k, R, C) at a time."""

_SAMPLE = 240


class LongRecordingError(MeasureError):
    """A step that needs all frames at once, asked of a recording too long for that."""

    do = "Cut the recording to a few minutes; a placement needs about ten seconds."

    def __init__(self, step: str, frames: int) -> None:
        super().__init__(step, frames)
        self.where = "recording"
        self.what = f"With {frames} frames it is too long to {step}."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Survey:
    """What one pass over all frames shows.

    Attributes
    ----------
    frames, size
        How many frames there are, and how many make a block.
    blocks
        (B, R, C) means of whole blocks, float32.
    tail
        (R, C) sum of the frames after the last whole block.
    sample, sample_at
        (S, R, C) single frames, and their places.
    low, high
        Extremes of all cells; NaN if a cell is.
    fullest
        (R, C) the frame that holds the highest value.
    """

    frames: int
    size: int
    blocks: FloatArray
    tail: FloatArray
    sample: FloatArray
    sample_at: Any
    low: float
    high: float
    fullest: FloatArray


def survey(pieces: Pieces, frames: int, shape: tuple[int, int], size: int) -> Survey:
    """Go over all frames once.

    Parameters
    ----------
    pieces
        Gives the frames.
    frames, shape
        How many there are, and their rows and columns.
    size
        Frames a block.
    """
    count, step = frames // size, max(frames // _SAMPLE, 1)
    blocks = np.zeros((count, *shape), np.float32)
    tail = np.zeros(shape)
    sample = np.empty((len(range(0, frames, step)), *shape), np.float32)
    low, high, fullest = np.inf, -np.inf, np.zeros(shape, np.float32)
    at = 0
    for piece in pieces(0, frames):
        flat = piece.reshape(len(piece), -1)
        tops = flat.max(axis=1)
        low, top = np.minimum(low, flat.min()), float(tops.max())  # NaN comes through
        if not top <= high:
            high, fullest = top if not np.isnan(high) else high, piece[int(tops.argmax())].copy()
        wanted = np.arange(-(-at // step) * step, at + len(piece), step)
        sample[wanted // step] = piece[wanted - at]
        _add_blocks(blocks, tail, flat, at, size)
        at += len(piece)
    return Survey(
        frames=frames,
        size=size,
        blocks=blocks,
        tail=tail,
        sample=sample,
        sample_at=np.arange(0, frames, step),
        low=float(low),
        high=high,
        fullest=fullest,
    )


def _add_blocks(blocks: FloatArray, tail: FloatArray, flat: FloatArray, at: int, size: int) -> None:
    """Add the frames of a piece to their blocks' means; a piece may begin and end within a block."""
    done = 0
    while done < len(flat):
        block, inside = divmod(at + done, size)
        whole = (len(flat) - done) // size
        if inside == 0 and whole and block + whole <= len(blocks):
            part = flat[done : done + whole * size].reshape(whole, size, -1)
            mean = np.matmul(np.full((1, size), 1.0 / size, flat.dtype), part)[:, 0]
            blocks[block : block + whole] += mean.reshape(whole, *blocks.shape[1:])
            done += whole * size
            continue
        take = min(size - inside, len(flat) - done) if block < len(blocks) else len(flat) - done
        total = (np.ones(take, flat.dtype) @ flat[done : done + take]).reshape(tail.shape)
        if block < len(blocks):
            blocks[block] += total / size
        else:
            tail += total
        done += take


class LongCells:
    """Stands for the (T, R, C) array of a recording; what no sum or survey can give is refused."""

    ndim = 3
    dtype = np.dtype(np.float32)

    def __init__(self, pieces: Pieces, seen: Survey, start: int = 0, stop: int | None = None) -> None:
        self._pieces, self.seen, self._start = pieces, seen, start
        self._stop = seen.frames if stop is None else stop

    @property
    def shape(self) -> tuple[int, int, int]:
        """Frames, rows, columns."""
        rows, columns = self.seen.tail.shape
        return len(self), rows, columns

    def __len__(self) -> int:
        """Frames."""
        return self._stop - self._start

    def __iter__(self) -> Iterator[FloatArray]:
        """Every frame, read anew."""
        for piece in self.pieces():
            yield from piece

    def pieces(self) -> Iterator[FloatArray]:
        """All frames, some at a time, read anew."""
        return self._pieces(self._start, self._stop)

    def __getitem__(self, key: Any) -> Any:
        """A stretch of frames; or, with a step and a mask, the sampled frames of these cells."""
        if isinstance(key, slice) and key.step in (None, 1):
            start, stop, _ = key.indices(len(self))
            return LongCells(self._pieces, self.seen, self._start + start, self._start + stop)
        if isinstance(key, tuple) and len(key) == 2 and isinstance(key[0], slice) and key[0].step:
            at = self.seen.sample_at
            inside = (at >= self._start) & (at < self._stop)
            return self.seen.sample[inside][:, key[1]]
        step = "look at single frames"
        raise LongRecordingError(step, len(self))

    def min(self) -> float:
        """Lowest value of all frames."""
        return self.seen.low

    def max(self) -> float:
        """Highest value of all frames."""
        return self.seen.high

    def copy(self) -> Any:
        """Refused: a copy would hold all frames."""
        step = "fill its faulty cells"
        raise LongRecordingError(step, len(self))

    def __truediv__(self, gain: FloatArray) -> "LongCells":
        """The same frames with every cell divided by its gain."""

        def divided(start: int, stop: int) -> Iterator[FloatArray]:
            for piece in self._pieces(start, stop):
                yield piece / gain

        size, frames = self.seen.size, self.seen.frames
        found = survey(divided, frames, self.seen.tail.shape, size)
        return LongCells(divided, found, self._start, self._stop)

    def block_maps(self, size: int) -> FloatArray:
        """Means of blocks of `size` frames, (B, R, C); the survey's where it has them."""
        if size == self.seen.size and self._start % size == 0:
            first = self._start // size
            return self.seen.blocks[first : first + len(self) // size]
        return survey(self._from_here, len(self), self.seen.tail.shape, size).blocks

    def _from_here(self, start: int, stop: int) -> Iterator[FloatArray]:
        return self._pieces(self._start + start, self._start + stop)

    def mean_map(self) -> FloatArray:
        """Mean of all frames, (R, C)."""
        size = self.seen.size
        if self._start % size or (self._stop % size and self._stop != self.seen.frames):
            total = sum(piece.sum(axis=0, dtype=np.float64) for piece in self.pieces())
            return np.asarray(total) / len(self)
        blocks = self.seen.blocks[self._start // size : self._stop // size]
        total = blocks.sum(axis=0, dtype=np.float64) * size
        if self._stop == self.seen.frames:
            total += self.seen.tail
        return np.asarray(total / len(self))
