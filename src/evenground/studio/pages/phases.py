"""Which phase the next hip-line trial belongs to, as far as a run of the routine says it."""

from evenground.studio.pages.scene import Scene
from evenground.visit import Phase

__all__ = ["routine_phase"]


def routine_phase(scene: Scene) -> Phase | None:
    """*after* when the routine was done to its end since the last trial, None when no run says anything."""
    order = {entry.id: entry.seq for entry in scene.log.entries}

    def latest(kind: str, outcome: str | None = None) -> int:
        slots = [s for s in scene.log.of(kind) if outcome in (None, s.values.get("outcome"))]
        return max((order.get(r, 0) for s in slots for r in s.readings), default=0)

    run = latest("routine", "done")
    return "after" if run > latest("hip-line trial") else None
