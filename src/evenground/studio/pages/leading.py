"""What the protocol says of an open check, in the shapes of its page: the same as `evenground next` says."""

from evenground.assess.known import known_of
from evenground.fit.hour import Progress
from evenground.fit.protocol import progress_of_step, visit_step
from evenground.fit.protocol_types import Step
from evenground.records.reading_kinds import KINDS
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import Doing
from evenground.visit import Check

__all__ = ["doing", "progress", "step_of"]

ASKED_FIRST = ("player", "shoes", "safety", "hip-line set-up", "grip set-up", "aim set-up")
"""Kinds that say how a check is taken, not yet that it was begun."""


def step_of(scene: Scene, check: Check) -> Step:
    """The check's next step as the visit stands."""
    known = known_of(scene.visit, scene.studio, scene.findings, settling=not scene.fresh)
    return visit_step(scene.visit, check, known)


def doing(scene: Scene, check: Check) -> Doing:
    """What to do next, as the page's head shows it; what gives readings away is marked for blind screens."""
    step = step_of(scene, check)
    return Doing(
        what=step.what,
        why=step.why,
        enough=step.enough,
        rest=step.rest,
        tells=step.repeats,
        costs="" if step.ended else step.ending,
        ended=bool(step.ended),
    )


def progress(scene: Scene, check: Check) -> Progress:
    """How far a check is; one with half-entered readings only was begun."""
    found = progress_of_step(step_of(scene, check))
    if found.state == "waiting" and _entered(scene, check):
        return Progress(state="partly", count=found.count, enough=found.enough)
    return found


def _entered(scene: Scene, check: Check) -> bool:
    kinds = (k.name for k in KINDS.values() if k.check == check and k.name not in ASKED_FIRST)
    return any(scene.log.of(name) for name in kinds)
