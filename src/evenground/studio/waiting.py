"""Recordings that wait for a teacher's word: just made, left by an app that was killed, or come in a folder.

A recording made here stays in its journal until it is kept, so that nothing is lost whatever happens in
between; a file from a folder is only read, never changed or deleted.
"""

import io
import logging
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from threading import Lock
from typing import Any
from uuid import UUID, uuid4, uuid5

from django.conf import settings
from pydantic import AwareDatetime, BaseModel, ConfigDict, ValidationError

from evenground.assess.live import Player
from evenground.capture.disk import sync_folder
from evenground.capture.journal import JOURNAL_SUFFIX, left_journals, put_recording, read_journal
from evenground.capture.layout import load_layout
from evenground.capture.recording import load_recording
from evenground.errors import EvengroundError, RecordsError
from evenground.floor import Handed, Side
from evenground.measure.ground import Ground
from evenground.measure.one_foot import FootState, describe_by_limbs
from evenground.measure.recording import FloatArray, MatRecording
from evenground.measure.sums import mean_map
from evenground.records.models import Visit
from evenground.visit import Family, Footwear, StanceTime

__all__ = ["About", "NotWaitingError", "Waiting", "WaitingShelf", "forget_visit", "journal_name", "kept_id"]

log = logging.getLogger(__name__)


class NotWaitingError(RecordsError):
    """A recording that was kept or let go already."""

    do = "Look at the placements so far; record again if it is not there."

    def __init__(self, recording: str) -> None:
        super().__init__(recording)
        self.where = f"recording {recording}"
        self.what = "This recording does not wait any more."


class About(BaseModel):
    """What a recording of the app's is about: written into its journal, read back at the next start."""

    model_config = ConfigDict(frozen=True, extra="ignore")

    id: UUID
    visit: UUID
    by: str = ""
    begun_at: AwareDatetime
    stance: StanceTime
    footwear: Footwear
    family: Family | None = None
    seconds: float | None = None
    handed: Handed = "right"
    mass_kg: float | None = None
    feet: dict[Side, FootState] = {}

    @property
    def player(self) -> Player:
        """Who stands there."""
        return Player(handed=self.handed, mass_kg=self.mass_kg, feet=self.feet)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Waiting:
    """One recording that waits.

    Attributes
    ----------
    id
        What it is kept under; the same however often it is asked for.
    visit
        Whose it is; None for a file from the folder, which any visit may take.
    about
        As it was begun; None for a file.
    at
        When it was begun, or came.
    mean
        (R, C) mean map, and the pitch of its columns and rows.
    seconds
        How long it is.
    ground, trouble
        Its figures and grade, or in a sentence why there are none.
    cut_off
        The app ended before the recording did.
    path, layout
        The journal, or the file and what it is read by.
    """

    id: UUID
    visit: UUID | None
    about: About | None
    at: datetime
    mean: FloatArray
    pitch_mm: tuple[float, float]
    seconds: float
    ground: Ground | None
    trouble: str
    cut_off: bool
    path: Path
    layout: Path | None = None


@dataclass(slots=True)
class WaitingShelf:
    """All that waits, in the order it came. `folder` holds the journals."""

    folder: Path
    _lock: Lock = field(default_factory=Lock)
    _all: dict[UUID, Waiting] = field(default_factory=dict)
    _gone: set[Path] = field(default_factory=set)

    def for_visit(self, visit: UUID) -> tuple[Waiting, ...]:
        """What may be kept in a visit."""
        with self._lock:
            return tuple(w for w in self._all.values() if w.visit in (visit, None))

    def visits(self) -> set[UUID]:
        """The visits that something waits for."""
        with self._lock:
            return {w.visit for w in self._all.values() if w.visit is not None}

    def recover(self) -> None:
        """Put on the shelf what an earlier run of the app left behind."""
        for path in left_journals(self.folder):
            with self._lock:
                known = any(w.path == path for w in self._all.values()) or path in self._gone
            if not known:
                self.take_journal(path)

    def take_journal(self, path: Path) -> Waiting | None:
        """Put a journal on the shelf, described; None when it is not one of ours, or holds no frame."""
        try:
            found = read_journal(path)
            about = About.model_validate(dict(found.about))
        except (EvengroundError, ValidationError):
            log.warning("%s is left as it is: it is no journal of this app", path.name)
            return None
        if len(found.frames) == 0:
            self._forget(path)
            return None
        try:
            looked = _looked(found.recording, about.player)
        except EvengroundError:
            log.warning("%s is left as it is: its frames are no recording", path.name)
            return None
        return self._put(
            Waiting(
                id=about.id,
                visit=about.visit,
                about=about,
                at=about.begun_at,
                cut_off=not found.ended,
                path=path,
                **looked,
            )
        )

    def take_file(self, path: Path, layout: Path | None) -> Waiting:
        """Put a file that came in the folder on the shelf, described.

        Raises
        ------
        CaptureError, MeasureError
            When it is no recording.
        """
        read_by = None if path.suffix.lower() == ".parquet" else layout
        recording = load_recording(path, layout=None if read_by is None else load_layout(read_by))
        return self._put(
            Waiting(
                id=uuid4(),
                visit=None,
                about=None,
                at=datetime.fromtimestamp(path.stat().st_mtime, tz=UTC),
                cut_off=False,
                path=path,
                layout=read_by,
                **_looked(recording, Player()),
            )
        )

    def files_of(self, waiting: Waiting) -> dict[str, tuple[str, Any]]:
        """What keeping a recording stores: the file itself, or the journal as Parquet.

        Raises
        ------
        CaptureError, MeasureError
            When it cannot be read any more.
        """
        if waiting.about is None:
            files: dict[str, tuple[str, Any]] = {
                "recording": (waiting.path.name, io.BytesIO(waiting.path.read_bytes()))
            }
            if waiting.layout is not None:
                files["layout"] = (waiting.layout.name, io.BytesIO(waiting.layout.read_bytes()))
            return files
        made = waiting.path.with_suffix(".parquet")
        put_recording(read_journal(waiting.path).recording, made)
        try:
            return {"recording": (f"live-{waiting.id.hex[:6]}.parquet", io.BytesIO(made.read_bytes()))}
        finally:
            made.unlink()

    def get(self, recording: UUID) -> Waiting:
        """One that waits.

        Raises
        ------
        NotWaitingError
            When it does not.
        """
        with self._lock:
            found = self._all.get(recording)
        if found is None:
            raise NotWaitingError(str(recording))
        return found

    def let_go(self, recording: UUID) -> None:
        """Take one off the shelf; a journal is forgotten, a folder's file stays where it is."""
        with self._lock:
            found = self._all.pop(recording, None)
        if found is not None and found.about is not None:
            self._forget(found.path)

    def let_all_go(self, visit: UUID) -> None:
        """Forget everything that waits for a visit which is not there any more."""
        for waiting in self.for_visit(visit):
            if waiting.visit == visit:
                self.let_go(waiting.id)

    def _put(self, waiting: Waiting) -> Waiting:
        with self._lock:
            self._all[waiting.id] = waiting
        return waiting

    def _forget(self, path: Path) -> None:
        self._gone.add(path)
        path.unlink(missing_ok=True)
        sync_folder(path.parent)


def journal_name(about: About) -> str:
    """The file of a recording: when, for which visit, under which id."""
    return f"{about.begun_at:%Y%m%d-%H%M%S}-{about.visit.hex}-{about.id.hex}{JOURNAL_SUFFIX}"


def forget_visit(*, instance: Visit, **_more: Any) -> None:
    """Delete the recordings that wait in a visit, when the visit itself is deleted."""
    folder: Path = settings.LIVE_FOLDER
    for path in folder.glob(f"*-{instance.pk.hex}-*{JOURNAL_SUFFIX}"):
        path.unlink(missing_ok=True)


def kept_id(waiting: Waiting, visit: UUID) -> UUID:
    """The reading's id; a folder's file kept in two visits is two readings."""
    return waiting.id if waiting.about is not None else uuid5(waiting.id, str(visit))


def _looked(recording: MatRecording, player: Player) -> dict[str, Any]:
    """What is shown of a recording before it is kept; its frames are not held in memory."""
    ground, trouble = None, ""
    try:
        ground = describe_by_limbs(recording, player.feet, handed=player.handed, mass_kg=player.mass_kg)
    except EvengroundError as exc:
        trouble = f"{exc.what} {exc.do}".strip()
    return {
        "mean": mean_map(recording.cells),
        "pitch_mm": (recording.pitch_x_mm, recording.pitch_y_mm),
        "seconds": recording.duration_s or 0.0,
        "ground": ground,
        "trouble": trouble,
    }
