"""The quiet part of a recording: without stepping on, shuffling, stepping off, and what came in between.

The recording is cut into blocks of about half a second. A block is quiet when its force is that of the
others and its load lies where that of the blocks beside it does; a foot put down elsewhere, or lifted,
moves load to other cells at once. The longest unbroken run of quiet blocks is the quiet part::

    force   ____/~~~~~~~~~~~|__/~~~~~~~~~~~~~~~~~~~~~~|____
    blocks  ....|qqqqqqqqqqq|..|QQQQQQQQQQQQQQQQQQQQQQ|....      Q: used
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from evenground.measure.grade import Flag
from evenground.measure.recording import FloatArray, MatRecording
from evenground.measure.sums import block_maps

__all__ = ["QuietPart", "Quietened", "drift_flags", "frames_a_block", "quiet_part"]

_BLOCK_S = 0.5
_MIN_BLOCKS = 6
_MIN_FRAMES_A_BLOCK = 2
_FORCE_OFF = 0.10  # a step lifts at least a third of the weight; breathing and sway move it by 1 to 3 %
_CHANGED = 0.15  # half a second of sway moves 2 to 5 % of the load to other cells, a step 30 % and more
_LEAST_S = 3.0
_TOUCHED = 0.05
_DRIFT_LOAD_PERCENT = 4.0
_DRIFT_COP_MM = 12.0
_DRIFT_SHARE = 0.75  # share of the variance that a straight line explains


@dataclass(frozen=True, slots=True, kw_only=True)
class QuietPart:
    """From when to when a recording was used, in its own seconds, and how long all of it is."""

    from_s: float
    to_s: float
    of_s: float
    breaks: int = 0

    @classmethod
    def pooled(cls, _parts: Sequence["QuietPart | None"]) -> None:
        """Several placements have no common quiet part."""
        return


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Quietened:
    """The recording cut to its quiet part; `part` is None where all of it was taken as it is."""

    recording: MatRecording
    part: QuietPart | None
    flags: tuple[Flag, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Blocks:
    """Starts of the blocks (B,), their force, and the share of the load that moved to the next (B - 1,)."""

    starts: npt.NDArray[np.intp]
    size: int
    force: FloatArray
    changed: FloatArray


def quiet_part(recording: MatRecording) -> Quietened:
    """Cut a recording to the longest stretch in which the player stands still.

    Parameters
    ----------
    recording
        A player on a mat; recordings of under 3 s are left as they are.

    Returns
    -------
    quietened
        The same recording where all of it is quiet, or where no 3 s are; what follows then says why.

    Notes
    -----
    A block is quiet with its force within 10 % of the middle one, and under 15 % of its load moved to other
    cells since the block before or by the block after: half the sum of absolute differences of the two
    maps, each with a sum of one. Limits ours, from simulated recordings with and without steps
    (`bench/prove_instrument.py`).
    """
    whole = Quietened(recording=recording, part=None, flags=())
    if recording.rate_hz is None or (recording.duration_s or 0.0) < _MIN_BLOCKS * _BLOCK_S:
        return whole
    blocks = _blocks(recording)
    if blocks is None:
        return whole
    quiet = _quiet(blocks)
    if quiet.all() or not quiet.any():
        return whole
    first, last = _longest(quiet)
    start = int(blocks.starts[first])
    end = int(blocks.starts[last]) + blocks.size if last + 1 < len(quiet) else len(recording.cells)
    seconds = (end - start) / recording.rate_hz
    if seconds < _LEAST_S:
        return whole
    breaks = int((np.diff(np.flatnonzero(quiet)) > 1).sum())
    cut = replace(recording, cells=recording.cells[start:end], time_s=recording.time_s[start:end])
    part = QuietPart(
        from_s=float(recording.time_s[start]),
        to_s=float(recording.time_s[end - 1]),
        of_s=float(recording.duration_s or 0.0),
        breaks=breaks,
    )
    return Quietened(recording=cut, part=part, flags=(_flag(recording.name, part),))


def _flag(where: str, part: QuietPart) -> Flag:
    """What was used, and why not the rest."""
    used = f"{part.from_s:.1f} to {part.to_s:.1f} s of {part.of_s:.1f} s"
    if part.breaks:
        text = f"The player steps or shifts in between: the longest quiet part, {used}, was used."
        return Flag(code="stepped", where=where, text=text)
    text = f"The quiet part, {used}, was used: before or after it the player steps or shifts."
    return Flag(code="quiet-part", where=where, text=text)


def frames_a_block(rate_hz: float) -> int:
    """How many frames a block has at a rate."""
    return max(round(_BLOCK_S * rate_hz), _MIN_FRAMES_A_BLOCK)


def _blocks(recording: MatRecording) -> _Blocks | None:
    """Block by block: one pass over the frames, the rest on a map a block."""
    size = frames_a_block(float(recording.rate_hz or 1.0))
    count = len(recording.cells) // size
    if count < _MIN_BLOCKS:
        return None
    maps = block_maps(recording.cells, size)
    maps -= np.median(maps, axis=1, keepdims=True)  # most of a mat is empty: its middle cell is the floor
    maps *= maps > _TOUCHED * np.quantile(maps.max(axis=1), 0.75)
    force = maps.sum(axis=1)
    shape = maps / np.maximum(force, 1e-300)[:, None]
    changed = 0.5 * np.abs(np.diff(shape, axis=0)).sum(axis=1)
    return _Blocks(np.arange(count) * size, size, force, changed)


def _quiet(blocks: _Blocks) -> npt.NDArray[np.bool_]:
    standing = blocks.force > 0.5 * np.quantile(blocks.force, 0.9)
    force = float(np.median(blocks.force[standing]))
    still = blocks.changed < _CHANGED
    before, after = np.concatenate([[True], still]), np.concatenate([still, [True]])
    return np.asarray((np.abs(blocks.force / force - 1.0) < _FORCE_OFF) & before & after)


def _longest(quiet: npt.NDArray[np.bool_]) -> tuple[int, int]:
    """First and last index of the longest run of True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], quiet, [False]]).astype(np.int8)))
    runs = edges.reshape(-1, 2)
    first, after = runs[int((runs[:, 1] - runs[:, 0]).argmax())]
    return int(first), int(after) - 1


def drift_flags(load_left_percent: FloatArray, cop_mm: FloatArray, where: str) -> tuple[Flag, ...]:
    """Say so when the player leans ever further to one side, so that a mean describes no stance.

    Parameters
    ----------
    load_left_percent
        (T,) share of the load on the left foot.
    cop_mm
        (T, 2) CoP of both feet.
    where
        What the recording is called.

    Notes
    -----
    A straight line through the series explains three quarters of its variance and runs over 4 points of
    load, or 12 mm of CoP: limits ours. Quiet standing wanders as far at times, and comes back.
    """
    flags = []
    change, share = _line(load_left_percent)
    if abs(change) > _DRIFT_LOAD_PERCENT and share > _DRIFT_SHARE:
        text = f"The left foot's load drifts by {change:+.0f} points: let the player settle, record again."
        flags.append(Flag(code="drift", where=where, text=text))
    for axis, names in enumerate((("to the right", "to the left"), ("ahead", "back"))):
        change, share = _line(cop_mm[:, axis])
        if abs(change) > _DRIFT_COP_MM and share > _DRIFT_SHARE:
            way = names[change < 0.0]
            text = f"The CoP drifts {abs(change):.0f} mm {way}: let the player settle, record again."
            flags.append(Flag(code="drift", where=where, text=text))
    return tuple(flags[:1])


def _line(series: FloatArray) -> tuple[float, float]:
    """Rise of a straight line over a series, and the share of the variance that it explains."""
    t = np.linspace(-0.5, 0.5, len(series))
    away = series - series.mean()
    rise = float(t @ away / (t @ t))
    variance = float(away @ away)
    return rise, 0.0 if variance == 0.0 else float(rise**2 * (t @ t) / variance)
