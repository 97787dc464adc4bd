"""Two threads at a live mat: one journals frames and makes pictures of them, one grades the last seconds.

Whoever wants to see the mat waits for the next `LiveView`; slow lookers miss pictures, never frames.
"""

import logging
import time
from collections.abc import Callable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from threading import Condition, Event, Thread
from typing import Any

from evenground.assess.live import PICTURE_S, SAY_S, LivePicture, LiveSay, LiveWatch, Player, said_of
from evenground.capture.feed import Feed
from evenground.capture.frames import FrameSource, MatFrames, MatHead
from evenground.capture.journal import JournalStoppedError
from evenground.errors import CaptureError, EvengroundError

__all__ = ["QUIET_S", "LiveDesk", "LiveView", "MatReadingError"]

log = logging.getLogger(__name__)

QUIET_S = 1.0
"""Without a frame for so long the mat counts as quiet (ours)."""


class MatReadingError(CaptureError):
    """The program itself failed while it read a mat."""

    do = "What was recorded is kept. Connect the mat again; the log says more."

    def __init__(self, mat: str) -> None:
        super().__init__(mat)
        self.where = mat
        self.what = "Reading this mat failed."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LiveView:
    """All that there is to see just now.

    Attributes
    ----------
    picture
        The latest; None before the first frame.
    say
        What the last seconds say.
    recorded
        Frames of the running recording; None when none runs.
    quiet
        No frame has come for a while.
    left_out
        Frames that held no pressure.
    refused
        Why the last recording ended before its time; None when it did not.
    ended
        Why nothing comes any more; None while something may.
    """

    picture: LivePicture | None = None
    say: LiveSay
    recorded: int | None = None
    quiet: bool = True
    left_out: int = 0
    refused: EvengroundError | None = None
    ended: EvengroundError | None = None


class LiveDesk:
    """A live mat that is looked at and recorded.

    Parameters
    ----------
    source
        Where frames come from; the desk closes it.
    player
        Who stands there.
    ended
        Called once, from the desk's thread, with the journal that was being written when a recording ended by
        itself: it had its seconds, or the disk or the mat gave up.
    """

    def __init__(
        self,
        source: FrameSource,
        player: Player | None = None,
        *,
        ended: Callable[[Path], object] | None = None,
    ) -> None:
        self.feed = Feed(source)
        self._player = player or Player()
        self._ended = ended
        self._watch = LiveWatch(head=source.head)
        self._view = LiveView(say=LiveSay(trouble="Waiting for the mat."))
        self._changed = Condition()
        self._stop = Event()
        self._path: Path | None = None
        self._most: int | None = None
        self._graders = ThreadPoolExecutor(max_workers=1, thread_name_prefix="mat-grade")
        self._grading: Future[LiveSay] | None = None
        self._asked_s = float("-inf")
        self._thread = Thread(target=self._run, name="mat", daemon=True)
        self._thread.start()

    @property
    def head(self) -> MatHead:
        """What the frames are of."""
        return self.feed.source.head

    @property
    def view(self) -> LiveView:
        """What there is to see."""
        return self._view

    def player(self, player: Player) -> None:
        """Say who stands there from now on."""
        self._player = player

    def next_view(self, after: LiveView | None, wait_s: float) -> LiveView:
        """Wait for another view than `after`, no longer than that."""
        with self._changed:
            self._changed.wait_for(lambda: self._view is not after or self._stop.is_set(), wait_s)
            return self._view

    def record(self, path: Path, about: Mapping[str, Any], seconds: float | None) -> None:
        """Record from the next frame on; ends by itself after so many seconds of frames.

        Raises
        ------
        JournalStoppedError
            When the journal cannot be begun.
        """
        self._path = path
        self._most = None if seconds is None else max(2, round(seconds * self.head.rate_hz))
        self._publish(refused=None)
        self.feed.record(path, about)

    def end(self) -> Path | None:
        """End the recording that runs, and give its journal."""
        self._most = None
        return self.feed.end()

    def close(self) -> None:
        """Stop looking; what was being recorded is ended and kept."""
        self._stop.set()
        self._thread.join()
        self._graders.shutdown()

    # The desk's own thread ---------------------------------------------------------------------------------

    def _run(self) -> None:
        try:
            self._look()
        except EvengroundError as exc:
            self._publish(ended=exc, quiet=True)
        except Exception:
            log.exception("live mat")
            self._publish(ended=MatReadingError(self.head.name), quiet=True)
        finally:
            self._let_go()

    def _look(self) -> None:
        next_at, heard_at = time.monotonic(), time.monotonic()
        while not self._stop.wait(max(0.0, next_at - time.monotonic())):
            began = time.monotonic()
            next_at = max(next_at + PICTURE_S, began)
            try:
                frames = self.feed.pull(0.0)
            except JournalStoppedError as exc:
                self._refused(exc)
                continue
            if len(frames):
                heard_at = began
                self._show(frames)
                self._maybe_over()
            elif began - heard_at > QUIET_S and not self._view.quiet:
                self._publish(quiet=True)

    def _show(self, frames: MatFrames) -> None:
        say = self._heard()
        picture = self._watch.take(frames, say.basis)
        self._publish(picture=picture, say=say, quiet=False)
        self._ask(picture.time_s)

    def _heard(self) -> LiveSay:
        """What the grader has said last."""
        if self._grading is None or not self._grading.done():
            return self._view.say
        return self._grading.result()

    def _ask(self, time_s: float) -> None:
        """Have the last seconds graded, once a second, one at a time."""
        due = time_s - self._asked_s >= SAY_S
        if due and (self._grading is None or self._grading.done()):
            self._asked_s = time_s
            self._grading = self._graders.submit(said_of, self._watch.window(), self.head, self._player)

    def _maybe_over(self) -> None:
        most, count = self._most, self.feed.recorded
        if most is not None and count is not None and count >= most:
            self._over()

    def _refused(self, why: JournalStoppedError) -> None:
        """Go on without recording; what was recorded before is there."""
        self._publish(refused=why)
        if self._path is not None and self._ended is not None:
            self._ended(self._path)

    def _over(self) -> None:
        """End the recording from here, and tell whoever began it."""
        path = self.end()
        if path is not None and self._ended is not None:
            self._ended(path)
        self._publish()

    def _publish(self, **changed: Any) -> None:
        with self._changed:
            self._view = replace(
                self._view,
                recorded=self.feed.recorded,
                left_out=self.feed.source.left_out,
                **changed,
            )
            self._changed.notify_all()

    def _let_go(self) -> None:
        try:
            self._over()
        finally:
            self.feed.close()
