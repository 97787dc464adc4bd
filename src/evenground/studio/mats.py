"""The studio's live mat: found, watched while somebody looks, recorded whether or not anybody does.

One thread minds it: it looks for streams, opens the one that is meant, opens it again when it was lost, looks
into the watched folder, and lets everything go some seconds after the last look. A recording that runs is
never let go.
"""

import logging
import time
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from threading import Event, RLock, Thread
from typing import Any
from uuid import UUID

from evenground.assess.live import Player
from evenground.assess.live_desk import LiveDesk, LiveView
from evenground.capture.frames import MatHead
from evenground.capture.layout import Layout, load_layout
from evenground.capture.live_inlet import LslSource, MatStream, SeveralMatsError, StreamsInReach, choose
from evenground.capture.watched_folder import WatchedFolder
from evenground.errors import EvengroundError, StudioError
from evenground.studio.live import MOST_CELLS
from evenground.studio.waiting import About, WaitingShelf, journal_name

__all__ = ["MatBusyError", "MatHub", "MatPlace", "MatQuietError", "MatState"]

log = logging.getLogger(__name__)

IDLE_S = 20.0
"""So long after the last look the mat is let go (ours: a page that lost its connection is back by then)."""
_MIND_S = 0.2
_TROUBLE_S = 4.0
_LONGEST_S = 600.0
_QUIET_S = 10.0
"""A mat that is quiet for so long is looked for anew: another may have taken its place (ours)."""


class MatBusyError(StudioError):
    """The mat records already."""

    do = "Wait until that recording is over, or stop it there."

    def __init__(self) -> None:
        super().__init__()
        self.where = "mat"
        self.what = "The mat is recording already."


class MatQuietError(StudioError):
    """No mat sends."""

    do = "Switch the mat and its sender on, and wait for the picture."

    def __init__(self) -> None:
        super().__init__()
        self.where = "mat"
        self.what = "No mat sends, so nothing can be recorded."


@dataclass(frozen=True, slots=True, kw_only=True)
class MatPlace:
    """Where mats are looked for: see `home.ConfigFile`. `folder` takes the journals."""

    folder: Path
    network: bool = False
    watch: Path | None = None
    layout: Path | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MatState:
    """How the mat is, apart from its pictures.

    Attributes
    ----------
    says
        In a sentence what is the matter while there is no picture; empty while there is one.
    head
        The mat that sends; None while none does.
    streams
        Names to choose from, when several send and none was chosen.
    network
        Whether streams of other machines are found.
    watching
        The folder that is watched, for a person; empty when none is.
    note
        What came in that folder and could not be read; empty otherwise.
    recording
        What is recorded now.
    """

    says: str = "Looking for a mat."
    head: MatHead | None = None
    streams: tuple[str, ...] = ()
    network: bool = False
    watching: str = ""
    note: str = ""
    recording: About | None = None


class MatHub:
    """Minds the mat of one studio; see the top of this module."""

    def __init__(self, place: MatPlace) -> None:
        self.place = place
        self.waiting = WaitingShelf(place.folder)
        self._lock = RLock()
        self._state = MatState(network=place.network, watching=str(place.watch or ""))
        self._desk: LiveDesk | None = None
        self._chosen: str | None = None
        self._player = Player()
        self._touched_s = 0.0
        self._stop = Event()
        self._thread: Thread | None = None
        self._clerk = ThreadPoolExecutor(max_workers=1, thread_name_prefix="mat-clerk")
        self._reach: StreamsInReach | None = None
        self._folder: WatchedFolder | None = None
        self._rest_until_s = 0.0
        self._heard_s = 0.0
        self.waiting.recover()

    # Asked from pages -------------------------------------------------------------------------------------

    @property
    def state(self) -> MatState:
        """How the mat is."""
        return self._state

    @property
    def view(self) -> LiveView | None:
        """What there is to see; None without a mat."""
        desk = self._desk
        return None if desk is None else desk.view

    def look(self) -> None:
        """Say that somebody looks; wakes the mat's thread."""
        self._touched_s = time.monotonic()
        with self._lock:
            if self._thread is None or not self._thread.is_alive():
                self._stop.clear()
                self._thread = Thread(target=self._mind, name="mat-hub", daemon=True)
                self._thread.start()

    def choose(self, name: str) -> None:
        """Take the stream of that name from now on; refused while it would cut a recording off.

        Raises
        ------
        MatBusyError
            When a recording runs.
        """
        with self._lock:
            if self._state.recording is not None:
                raise MatBusyError
            self._chosen = name
            self._let_desk_go()
        self.look()

    def record(self, about: About) -> None:
        """Begin a recording; asked again for the same one it changes nothing.

        Raises
        ------
        MatQuietError, MatBusyError
            When no mat sends, or it records already.
        JournalStoppedError
            When the disk refuses.
        """
        with self._lock:
            running = self._state.recording
            if running is not None and running.id == about.id:
                return
            if running is not None:
                raise MatBusyError
            desk = self._desk
            if desk is None or desk.view.quiet or desk.view.ended is not None:
                raise MatQuietError
            self.place.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            about = about.model_copy(update={"seconds": _seconds(about, desk.head)})
            path = self.place.folder / journal_name(about)
            desk.player(about.player)
            desk.record(path, _plain(about), about.seconds)
            self._state = replace(self._state, recording=about)

    def stop(self, recording: UUID) -> None:
        """End a recording that runs; ended already it changes nothing."""
        with self._lock:
            running, desk = self._state.recording, self._desk
            if running is None or running.id != recording or desk is None:
                return
            path = desk.end()
        if path is not None:
            self._ended(path)

    def player(self, player: Player) -> None:
        """Say who is looked at, for the live figures."""
        self._player = player
        desk = self._desk
        if desk is not None and self._state.recording is None:
            desk.player(player)

    def settle(self) -> None:
        """Wait until what has ended is on the shelf."""
        self._clerk.submit(int).result()

    def close(self) -> None:
        """Let everything go; a recording that runs is ended and kept for the next start."""
        self._stop.set()
        thread = self._thread
        if thread is not None:
            thread.join()
        with self._lock:
            self._let_desk_go()
        self._clerk.shutdown()

    # The mat's own thread -----------------------------------------------------------------------------------

    def _mind(self) -> None:
        while not self._stop.wait(_MIND_S):
            idle = time.monotonic() - self._touched_s > IDLE_S
            with self._lock:
                if idle and self._state.recording is None:
                    self._let_desk_go()
                    self._reach = self._folder = None
                    self._thread = None
                    return
            self._turn()

    def _turn(self) -> None:
        """One look at everything; what goes wrong is said and tried again a little later."""
        if time.monotonic() < self._rest_until_s:
            return
        try:
            self._look_into_folder()
            self._look_at_mat()
        except EvengroundError as exc:
            self._trouble(f"{exc.what} {exc.do}".strip())
        except Exception:
            log.exception("live mat")
            self._trouble("Looking for the mat failed; the app's log says more.")

    def _trouble(self, says: str) -> None:
        self._say(says=says)
        self._rest_until_s = time.monotonic() + _TROUBLE_S

    def _say(self, **changed: Any) -> None:
        with self._lock:
            self._state = replace(self._state, **changed)

    def _look_at_mat(self) -> None:
        desk = self._desk
        if desk is not None:
            self._look_at_desk(desk)
            return
        if self._reach is None:
            self._reach = StreamsInReach(network=self.place.network)
        layout = None if self.place.layout is None else load_layout(self.place.layout)
        streams = self._reach.now()
        try:
            found = self._meant(streams, layout)
        except SeveralMatsError as exc:
            self._say(says=exc.what, streams=tuple(s.name for s in streams))
            return
        if found is None:
            self._say(says="Looking for a mat.", streams=())
            return
        self._open(found, layout)

    def _look_at_desk(self, desk: LiveDesk) -> None:
        """Let a mat go that has ended, or has long been quiet while nothing is recorded."""
        view, now = desk.view, time.monotonic()
        if not view.quiet:
            self._heard_s = now
        quiet = now - self._heard_s > _QUIET_S and self._state.recording is None
        if view.ended is None and not quiet:
            return
        with self._lock:
            self._let_desk_go()
        if view.ended is not None:
            raise view.ended

    def _meant(self, streams: tuple[MatStream, ...], layout: Layout | None) -> MatStream | None:
        """The chosen stream, else the one that says it is a mat, else the one that fits the layout."""
        own = choose(streams, self._chosen, None)
        return own if own is not None or layout is None else choose(streams, self._chosen, layout)

    def _open(self, found: MatStream, layout: Layout | None) -> None:
        source = LslSource(found, network=self.place.network, layout=None if found.is_mat else layout)
        with self._lock:
            self._desk = LiveDesk(source, self._player, ended=self._ended)
            self._reach = None
            self._heard_s = time.monotonic()
            self._state = replace(self._state, says="", head=source.head, streams=())

    def _let_desk_go(self) -> None:
        desk, self._desk = self._desk, None
        if desk is not None:
            desk.close()
        self._state = replace(self._state, says="Looking for a mat.", head=None, streams=())

    def _ended(self, path: Path) -> None:
        """A recording is over, however that came; its journal goes on the shelf."""
        self._clerk.submit(self._shelve, path)

    def _shelve(self, path: Path) -> None:
        try:
            self.waiting.take_journal(path)
        except Exception:
            log.exception("recording %s", path.name)
            self._say(
                says=f"The recording {path.stem} could not be read back; it is tried again at the next start."
            )
        finally:
            self._say(recording=None)

    def _look_into_folder(self) -> None:
        if self.place.watch is None:
            return
        if self._folder is None:
            self._folder = WatchedFolder(self.place.watch)
        settled = self._folder.look(time.monotonic())
        unread = []
        for file in settled:
            try:
                self.waiting.take_file(file.path, self.place.layout)
            except EvengroundError as exc:
                unread.append(str(exc))
        if settled:
            self._say(note=" ".join(unread))


def _seconds(about: About, head: MatHead) -> float:
    """How long a recording may get: as was asked, and no more than can be looked over in memory."""
    most = MOST_CELLS / (head.cells * head.rate_hz)
    return round(min(about.seconds or _LONGEST_S, most), 1)


def _plain(about: About) -> Mapping[str, Any]:
    return about.model_dump(mode="json")
