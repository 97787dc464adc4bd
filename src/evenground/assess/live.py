"""A mat watched while somebody stands on it: 30 pictures a second, and each second what the last ones say."""

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from evenground.capture.frames import MatFrames, MatHead, recording_of
from evenground.errors import EvengroundError, MeasureError
from evenground.floor import Handed, Side
from evenground.measure.grade import Flag, Grade
from evenground.measure.ground import Ground
from evenground.measure.live import LiveBasis, Moment, live_basis, moment
from evenground.measure.one_foot import FootState, describe_by_limbs
from evenground.measure.recording import FloatArray, MatRecording

__all__ = ["PICTURE_S", "LivePicture", "LiveSay", "LiveWatch", "Player", "said_of"]

PICTURE_S = 0.033
"""30 pictures a second, so that 25 are left when some come late (ours)."""
SAY_S = 1.0
"""How often the feet are looked for anew and the last seconds are graded (ours)."""
WINDOW_S = 5.0
"""How far back a live grade looks: one step on the mat is forgotten after so long (ours)."""
_FEWEST = 5  # pictures, a fifth of a second
_OTHER = 0.5  # of the force now, under which (or over whose inverse) it was not the same standing
_NOT_LIVE = ("short", "snapshot", "uneven-times")  # the window is short, its pictures as even as the machine


@dataclass(frozen=True, slots=True, kw_only=True)
class Player:
    """Who stands there, as far as figures need it; `feet` names those that are absent or prosthetic."""

    handed: Handed = "right"
    mass_kg: float | None = None
    feet: Mapping[Side, FootState] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LivePicture:
    """What one twenty-fifth of a second looks like.

    Attributes
    ----------
    number
        Counts up by one.
    time_s
        Of its last frame, on the source's clock.
    cells
        (R, C) mean of its frames.
    moment
        Load and CoPs; None while two feet are not seen.
    """

    number: int
    time_s: float
    cells: FloatArray
    moment: Moment | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveSay:
    """What the last seconds say: figures with a grade, or in a sentence why there are none.

    `seconds` is how far it looked back.
    """

    ground: Ground | None = None
    seconds: float = 0.0
    trouble: str = ""
    basis: LiveBasis | None = field(default=None, repr=False)


@dataclass(slots=True, kw_only=True)
class LiveWatch:
    """What is remembered of a stream; `take` belongs to one thread, `said_of` may run in another."""

    head: MatHead
    _number: int = 0
    _times: deque[float] = field(default_factory=deque)
    _maps: deque[FloatArray] = field(default_factory=deque)

    def take(self, frames: MatFrames, feet: LiveBasis | None) -> LivePicture:
        """Make a picture of some frames, at least one, and remember it.

        Parameters
        ----------
        frames
            All that came since the last picture.
        feet
            Where the feet were last found; None before that.
        """
        self._number += 1
        mean = frames.cells.mean(axis=0, dtype=np.float32)
        picture = LivePicture(
            number=self._number,
            time_s=float(frames.time_s[-1]),
            cells=mean,
            moment=None if feet is None else moment(frames.cells, feet),
        )
        self._times.append(picture.time_s)
        self._maps.append(mean)
        while self._times and picture.time_s - self._times[0] > WINDOW_S:
            self._times.popleft()
            self._maps.popleft()
        return picture

    def window(self) -> MatFrames:
        """The pictures of the last seconds as frames, cut to the time since somebody stepped on or off."""
        times, maps = list(self._times), list(self._maps)
        if not maps:
            return MatFrames(time_s=np.zeros(0), cells=np.zeros((0, self.head.rows, self.head.columns)))
        force = np.array([float(m.sum()) for m in maps])
        recent = float(np.median(force[-_FEWEST:]))
        other = np.flatnonzero((force < _OTHER * recent) | (force * _OTHER > recent))
        start = int(other[-1]) + 1 if len(other) else 0
        return MatFrames(time_s=np.array(times[start:]), cells=np.stack(maps[start:]))


def said_of(frames: MatFrames, head: MatHead, player: Player) -> LiveSay:
    """Figures and grade of the last seconds.

    Parameters
    ----------
    frames
        Of `LiveWatch.window`.
    head
        The mat.
    player
        Who stands there.
    """
    if len(frames) < _FEWEST:
        return LiveSay(trouble="Waiting for the mat.")
    seconds = float(frames.time_s[-1] - frames.time_s[0])
    rate = (len(frames) - 1) / seconds
    recording = recording_of(replace(head, rate_hz=rate), frames)
    try:
        ground = describe_by_limbs(recording, player.feet, handed=player.handed, mass_kg=player.mass_kg)
    except EvengroundError as exc:
        return LiveSay(trouble=f"{exc.what} {exc.do}".strip(), seconds=seconds)
    return LiveSay(ground=_live_grade(ground), seconds=seconds, basis=_both_feet(recording))


def _both_feet(recording: MatRecording) -> LiveBasis | None:
    """Where two feet stand; None for a player of one, whose load is all on it."""
    try:
        return live_basis(recording)
    except MeasureError:
        return None


def _live_grade(ground: Ground) -> Ground:
    """The grade without what is only said of a recording that was meant to be whole."""
    flags: tuple[Flag, ...] = tuple(f for f in ground.grade.flags if f.code not in _NOT_LIVE)
    return replace(ground, grade=Grade(usable=ground.grade.usable, flags=flags))
