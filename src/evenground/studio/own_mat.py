"""The studio's own mat, and the recordings that wait in its visits."""

import atexit
from pathlib import Path
from threading import RLock
from uuid import UUID

from django.conf import settings

from evenground.records.models import Reading, Visit
from evenground.studio.mats import MatHub, MatPlace
from evenground.studio.waiting import Waiting

__all__ = ["the_hub", "waiting_count", "waiting_for"]

_hubs: dict[Path, MatHub] = {}
_hubs_lock = RLock()


def the_hub() -> MatHub:
    """The hub of this studio's data folder; made, and what was left behind recovered, at the first call."""
    folder: Path = settings.LIVE_FOLDER
    with _hubs_lock:
        hub = _hubs.get(folder)
        if hub is None:
            hub = _hubs[folder] = MatHub(
                MatPlace(
                    folder=folder,
                    network=settings.MATS_FROM_NETWORK,
                    watch=settings.MAT_FOLDER,
                    layout=settings.MAT_LAYOUT,
                )
            )
        return hub


def waiting_for(visit: UUID) -> tuple[Waiting, ...]:
    """What waits for a visit; what was kept just before the app was killed is let go.

    So is what belongs to visits that are not there any more, of players who were erased.
    """
    shelf = the_hub().waiting
    visits = shelf.visits()
    for gone in visits - set(Visit.objects.filter(pk__in=visits).values_list("pk", flat=True)):
        shelf.let_all_go(gone)
    found = shelf.for_visit(visit)
    kept = set(Reading.objects.filter(pk__in=[w.id for w in found]).values_list("pk", flat=True))
    for one in found:
        if one.id in kept:
            shelf.let_go(one.id)
    return tuple(w for w in found if w.id not in kept)


def waiting_count(visit: UUID) -> int:
    """How many recordings wait for a visit."""
    return len(waiting_for(visit))


@atexit.register
def _close_all() -> None:
    for hub in _hubs.values():
        hub.close()
