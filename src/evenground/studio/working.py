"""Findings worked out behind the pages: a page shows the latest at once and is told when there are newer.

One thread works, one visit at a time; a visit that changed while it was worked on is taken again. What is
worked out is a cache: losing it costs a moment.
"""

import logging
import time
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field
from threading import Lock
from uuid import UUID

from django.db import connections

from evenground.findings import Findings
from evenground.records.assessing import findings_of
from evenground.records.models import Visit

__all__ = ["WORKBENCH", "Standing", "Workbench"]

log = logging.getLogger(__name__)
KEPT = 32
REST_S = 1.0
"""Least time between two beginnings for one visit, so that ten hands leave the pages their share (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What is known of a visit: the latest findings and the place in the log that they stand on.

    `failed` says that the newest readings could not be worked out at all, which is a fault of the program.
    """

    findings: Findings | None = None
    seq: int = 0
    failed: bool = False


@dataclass(slots=True)
class Workbench:
    """Keeps the standing of the visits that are open."""

    work: Callable[[UUID], Findings] = findings_of
    _lock: Lock = field(default_factory=Lock)
    _known: OrderedDict[UUID, Standing] = field(default_factory=OrderedDict)
    _busy: dict[UUID, Future[None]] = field(default_factory=dict)
    _last_s: dict[UUID, float] = field(default_factory=dict)
    _pool: ThreadPoolExecutor | None = None

    def standing(self, visit_id: UUID, seq: int, *, patience_s: float = 0.0) -> Standing:
        """The standing of a visit whose log has come to `seq`.

        Parameters
        ----------
        visit_id
            Which visit.
        seq
            Where its log is now; older findings are given, and newer ones begun.
        patience_s
            How long to wait for newer ones before giving the older.
        """
        with self._lock:
            known = self._known.get(visit_id, Standing())
            if known.seq >= seq:
                return known
            job = self._begun(visit_id)
        wait([job], timeout=patience_s)
        with self._lock:
            return self._known.get(visit_id, Standing())

    def known(self, visit_id: UUID) -> Standing:
        """What is known of a visit already; nothing is begun."""
        with self._lock:
            return self._known.get(visit_id, Standing())

    def settle(self) -> None:
        """Wait until nothing is being worked on."""
        while True:
            with self._lock:
                jobs = list(self._busy.values())
            if not jobs:
                return
            wait(jobs)

    def close(self) -> None:
        """Finish what is being worked on and forget everything."""
        self.settle()
        with self._lock:
            pool, self._pool = self._pool, None
            self._known.clear()
            self._last_s.clear()
        if pool is not None:
            pool.shutdown()

    def _begun(self, visit_id: UUID) -> "Future[None]":
        """The job that works on a visit, started when there is none; holds the lock."""
        job = self._busy.get(visit_id)
        if job is None:
            if self._pool is None:
                self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="findings")
            job = self._busy[visit_id] = self._pool.submit(self._job, visit_id)
        return job

    def _job(self, visit_id: UUID) -> None:
        time.sleep(max(0.0, self._last_s.get(visit_id, -REST_S) + REST_S - time.monotonic()))
        self._last_s[visit_id] = time.monotonic()
        seq = 0
        try:
            seq = Visit.objects.values_list("last_seq", flat=True).get(pk=visit_id)
            done = Standing(findings=self.work(visit_id), seq=seq)
        except Exception:  # the page says so, and the next reading tries again
            log.exception("findings of visit %s", visit_id)
            done = Standing(seq=seq, failed=True)
        finally:
            connections.close_all()
        with self._lock:
            self._keep(visit_id, done)
            del self._busy[visit_id]

    def _keep(self, visit_id: UUID, done: Standing) -> None:
        before = self._known.get(visit_id)
        if done.failed and before is not None:
            done = Standing(findings=before.findings, seq=done.seq, failed=True)
        self._known[visit_id] = done
        self._known.move_to_end(visit_id)
        while len(self._known) > KEPT:
            gone, _ = self._known.popitem(last=False)
            self._last_s.pop(gone, None)


WORKBENCH = Workbench()
