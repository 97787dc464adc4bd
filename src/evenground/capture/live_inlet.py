"""Frames from a Lab Streaming Layer stream: found, described by itself or by a layout, turned, checked.

A stream of type `Mat` describes itself under `desc/mat` with the words of a layout: `rows`, `columns`,
`pitch_x_mm`, `pitch_y_mm`, `unit`, `first_row`, `first_column` and, where it has one, `turned_deg`. Any other
stream of numbers takes a layout file. One sample is one frame, its cells row after row.
"""

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from evenground.capture.fields import checked
from evenground.capture.frames import MatFrames, MatHead, head_of, standard_frames
from evenground.capture.layout import Layout
from evenground.capture.lsl import load_lsl
from evenground.errors import CaptureError
from evenground.measure.recording import FloatArray

__all__ = [
    "MAT_KEYS",
    "MAT_TYPE",
    "LslSource",
    "MatLostError",
    "MatStream",
    "NoMatError",
    "SeveralMatsError",
    "StreamLayoutError",
    "StreamsInReach",
    "choose",
]

MAT_TYPE = "Mat"
MAT_KEYS = ("rows", "columns", "pitch_x_mm", "pitch_y_mm", "unit", "first_row", "first_column", "turned_deg")
_FEWEST_CELLS = 16
_MOST_CELLS = 100_000  # three times the largest mat in use; five seconds of pictures are kept in memory
_BUFFER_S = 10
_PULL_S = 0.5
_FORGET_S = 3.0
_CONNECT_S = 3.0
_TICK_S = 1e-6


class NoMatError(CaptureError):
    """No stream of a mat is there."""

    def __init__(self, waited_s: float, network: bool) -> None:  # noqa: FBT001 - pickled by position
        super().__init__(waited_s, network)
        self.where = "live stream"
        place = "on this network" if network else "on this machine"
        self.what = f"No mat has been found {place} in {waited_s:.0f} s."
        self.do = "Switch the mat and its sender on" + (
            "." if network else ", or look on the network if it sends from another machine."
        )


class SeveralMatsError(CaptureError):
    """More than one stream, and none was named."""

    do = "Say which one by its name."

    def __init__(self, names: tuple[str, ...]) -> None:
        super().__init__(names)
        self.where = "live stream"
        self.what = f"Several streams are there: {', '.join(names)}."


class StreamLayoutError(CaptureError):
    """A stream that does not say what its numbers are, or a layout that is of another stream."""

    do = (
        "Give a layout (docs/formats/ground.md) whose rows and columns are those of the stream, with rate_hz."
    )

    def __init__(self, stream: str, why: str) -> None:
        super().__init__(stream, why)
        self.where = f"stream {stream}"
        self.what = f"This stream cannot be read as a mat: {why}."


class MatLostError(CaptureError):
    """The stream has ended for good."""

    do = "Start its sender again; what was recorded so far is kept."

    def __init__(self, stream: str) -> None:
        super().__init__(stream)
        self.where = f"stream {stream}"
        self.what = "The stream has ended."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MatStream:
    """A stream that may be a mat's. `key` tells it from others of the same name."""

    name: str
    key: str
    host: str
    kind: str
    channels: int
    rate_hz: float
    info: Any = field(repr=False)

    @property
    def is_mat(self) -> bool:
        """Whether it says that it is one, and so describes itself."""
        return self.kind == MAT_TYPE


class StreamsInReach:
    """The streams there are now, kept up to date by the library.

    Parameters
    ----------
    network
        Look on the whole network, not on this machine alone.
    """

    def __init__(self, *, network: bool) -> None:
        self.network = network
        self._lsl = load_lsl(network=network)
        self._resolver = self._lsl.ContinuousResolver(forget_after=_FORGET_S)

    def now(self) -> tuple[MatStream, ...]:
        """Give every stream of numbers with enough channels for a mat, by name; declared mats first."""
        found = [self._stream(info) for info in self._resolver.results()]
        numbers = [s for s in found if s is not None]
        return tuple(sorted(numbers, key=lambda s: (not s.is_mat, s.name, s.key)))

    def _stream(self, info: Any) -> MatStream | None:
        if info.channel_format() == self._lsl.cf_string or info.channel_count() < _FEWEST_CELLS:
            return None
        return MatStream(
            name=info.name(),
            key=info.source_id() or info.uid(),
            host=info.hostname(),
            kind=info.type(),
            channels=info.channel_count(),
            rate_hz=info.nominal_srate(),
            info=info,
        )


def choose(streams: tuple[MatStream, ...], name: str | None, layout: Layout | None) -> MatStream | None:
    """The stream that is meant: the named one, else the one that fits; None when there is none yet.

    Raises
    ------
    SeveralMatsError
        When several fit and none was named.
    """
    if name is not None:
        return next((s for s in streams if name in (s.name, s.key)), None)
    if layout is None:
        fitting = [s for s in streams if s.is_mat]
    else:
        fitting = [s for s in streams if s.channels == layout.rows * layout.columns]
    if len(fitting) > 1:
        raise SeveralMatsError(tuple(s.name for s in fitting))
    return fitting[0] if fitting else None


class LslSource:
    """Frames of one stream (`capture.frames.FrameSource`). It waits out a sender that stops and comes back.

    Parameters
    ----------
    stream
        Which one.
    network
        As its finder was told.
    layout
        What its numbers are, for a stream that does not say so itself.

    Raises
    ------
    StreamLayoutError, UnreadableFieldError
        When it cannot be read as a mat.
    MatLostError
        When it went away before it was opened.
    """

    def __init__(self, stream: MatStream, *, network: bool, layout: Layout | None = None) -> None:
        self._lsl = load_lsl(network=network)
        self._name = stream.name
        self._inlet = self._lsl.StreamInlet(
            stream.info,
            max_buflen=_BUFFER_S,
            recover=bool(stream.info.source_id()),
            processing_flags=self._lsl.proc_clocksync,
            as_numpy=True,
        )
        try:
            full = self._inlet.info(timeout=_CONNECT_S)
            self._inlet.open_stream(timeout=_CONNECT_S)
        except (self._lsl.LostError, TimeoutError) as exc:
            raise MatLostError(stream.name) from exc
        self._layout = layout or _own_layout(stream, full)
        self._head = head_of(self._layout, _rate_hz(stream, self._layout), stream.name)
        if self._head.cells != stream.channels:
            why = f"it has {stream.channels} channels, not {self._layout.rows} x {self._layout.columns}"
            raise StreamLayoutError(stream.name, why)
        if self._head.cells > _MOST_CELLS:
            why = f"it has {self._head.cells} cells, more than {_MOST_CELLS}"
            raise StreamLayoutError(stream.name, why)
        self._most = max(8, int(_PULL_S * self._head.rate_hz))
        self._last_s = -np.inf
        self._left_out = 0

    @property
    def head(self) -> MatHead:
        """What the frames are of."""
        return self._head

    @property
    def left_out(self) -> int:
        """How many frames held no pressure and were left out."""
        return self._left_out

    def clock_s(self) -> float:
        """Now, on the clock of the frames' times."""
        return float(self._lsl.local_clock())

    def pull(self, wait_s: float) -> MatFrames:
        """Everything that has come, waiting no longer than that for the first frame.

        Raises
        ------
        MatLostError
            When the stream has ended and cannot come back.
        """
        try:
            flat, times = self._inlet.pull_chunk(timeout=wait_s, max_samples=self._most, min_samples=1)
        except self._lsl.LostError as exc:
            raise MatLostError(self._name) from exc
        good = _pressures(flat)
        self._left_out += len(good) - int(good.sum())
        times = self._rising(times[good])
        return MatFrames(time_s=times, cells=standard_frames(flat[good], self._layout))

    def _rising(self, times: FloatArray) -> FloatArray:
        """Times with those that do not rise, as after a sender's clock was set back, put just behind."""
        if len(times) == 0:
            return times
        ticks = _TICK_S * np.arange(len(times))
        floor = np.maximum.accumulate(np.maximum(times - ticks, self._last_s + _TICK_S))
        self._last_s = float(floor[-1] + ticks[-1])
        return np.asarray(floor + ticks)

    def close(self) -> None:
        """Let the stream go."""
        self._inlet.close_stream()


def _pressures(flat: FloatArray) -> Any:
    """Which frames hold only what a pressure can be; (n, cells) to (n,)."""
    if len(flat) == 0:
        return np.zeros(0, bool)
    return (flat.min(axis=1) >= 0.0) & (flat.max(axis=1) < np.inf)  # a NaN fails the first


def _own_layout(stream: MatStream, full: Any) -> Layout:
    said = {key: full.desc().child("mat").child_value(key) for key in MAT_KEYS}
    if not said["rows"]:
        raise StreamLayoutError(stream.name, "it does not say how many rows and columns it has")
    plain: dict[str, Any] = {key: said[key] for key in ("unit", "first_row", "first_column")}
    plain |= {key: _number(said[key], int) for key in ("rows", "columns")}
    plain["pitch_mm"] = [_number(said[key], float) for key in ("pitch_x_mm", "pitch_y_mm")]
    if said["turned_deg"]:
        plain["turned_deg"] = _number(said["turned_deg"], float)
    return checked(Layout, plain, file=f"stream {stream.name}")


def _number(text: str, kind: type[int] | type[float]) -> int | float | str:
    """A number, or the text itself, which the layout then refuses in a sentence."""
    try:
        return kind(text)
    except ValueError:
        return text


def _rate_hz(stream: MatStream, layout: Layout) -> float:
    rate = stream.rate_hz or layout.rate_hz or 0.0
    if not 0.0 < rate <= 10_000.0:
        raise StreamLayoutError(stream.name, "it does not say how many frames a second it sends")
    return rate
