"""All that the pages of one visit draw from: its log, the visit folded from it, findings, studio, time."""

from collections import OrderedDict
from dataclasses import dataclass
from datetime import datetime
from threading import Lock
from uuid import UUID

from django.utils import timezone

from evenground.assess.known import seed_of
from evenground.capture.studio_file import studio_from
from evenground.capture.visit_file import visit_from
from evenground.findings import Findings
from evenground.records.assemble import Folded, fold_merged
from evenground.records.log import VisitNotFoundError, entries_of
from evenground.records.merge import Merged, merged
from evenground.records.models import Visit as VisitRow
from evenground.records.visits import studio_file
from evenground.studio.working import WORKBENCH, Standing
from evenground.units import LengthSystem
from evenground.visit import StudioSnapshot, Visit

__all__ = ["Scene", "log_of", "scene_of", "system_of", "visit_of", "visit_row"]

KEPT = 16
NO_READINGS = ("visit", "player", "shoes", "skip", "card line", "cue choice")
PATIENCE_S = 0.02
"""What a page waits for findings before it shows what it has: under what a person notices (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Log:
    """What only depends on the log."""

    merged: Merged
    folded: Folded
    visit: Visit
    begun: datetime | None
    last: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """One visit as it stands now. `begun` and `last` are when a check's first and last reading were taken."""

    row: VisitRow
    log: Merged
    folded: Folded
    visit: Visit
    begun: datetime | None
    last: datetime | None
    standing: Standing
    studio: StudioSnapshot
    now: datetime

    @property
    def id(self) -> UUID:
        """Which visit."""
        return self.row.pk

    @property
    def seq(self) -> int:
        """How far the log has come."""
        return self.row.last_seq

    @property
    def findings(self) -> Findings | None:
        """The latest findings, perhaps of a slightly older log."""
        return self.standing.findings

    @property
    def fresh(self) -> bool:
        """Whether the findings stand on the log as it is."""
        return self.standing.seq >= self.seq

    @property
    def system(self) -> LengthSystem:
        """How the studio likes its lengths."""
        return self.studio.settings.units

    @property
    def seed(self) -> int:
        """The visit's own number, for everything that is left to chance."""
        return seed_of(self.visit)


_kept: OrderedDict[tuple[UUID, int], _Log] = OrderedDict()
_lock = Lock()


def visit_row(visit_id: UUID) -> VisitRow:
    """The row of a visit with its player and snapshot.

    Raises
    ------
    VisitNotFoundError
        When there is none.
    """
    row = VisitRow.objects.select_related("player", "snapshot").filter(pk=visit_id).first()
    if row is None:
        raise VisitNotFoundError(str(visit_id))
    return row


def scene_of(row: VisitRow, *, patience_s: float = PATIENCE_S) -> Scene:
    """The visit as it stands, its findings as far as they are worked out."""
    log = _log_of(row)
    return Scene(
        row=row,
        log=log.merged,
        folded=log.folded,
        visit=log.visit,
        begun=log.begun,
        last=log.last,
        standing=WORKBENCH.standing(row.pk, row.last_seq, patience_s=patience_s),
        studio=studio_from(studio_file(row.snapshot)),
        now=timezone.now(),
    )


def log_of(row: VisitRow) -> Merged:
    """The visit's log alone, for whoever only adds to it."""
    return _log_of(row).merged


def visit_of(row: VisitRow) -> Visit:
    """The visit as its log has it, without findings."""
    return _log_of(row).visit


def system_of(row: VisitRow) -> LengthSystem:
    """How the studio liked its lengths when the visit began."""
    return studio_file(row.snapshot).settings.units


def _log_of(row: VisitRow) -> _Log:
    """The log read and folded, kept while it does not grow: ten screens of one visit share it."""
    key = (row.pk, row.last_seq)
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            return _kept[key]
    log = merged(e for e in entries_of(row.pk) if e.seq <= row.last_seq)
    folded = fold_merged(log)
    times = _times(log)
    begun, last = min(times, default=None), max(times, default=None)
    found = _Log(merged=log, folded=folded, visit=visit_from(folded.file), begun=begun, last=last)
    with _lock:
        _kept[key] = found
        while len(_kept) > KEPT:
            _kept.popitem(last=False)
    return found


def _times(log: Merged) -> list[datetime]:
    """When readings of a check were taken; deciding a card or leaving a check out is none."""
    return [e.at for e in log.entries if e.kind not in NO_READINGS]
