"""What the placements say together, beside the mat: ways of standing compared, and the player weighed."""

from evenground.assess.standing import Weighed
from evenground.measure.ground_change import GroundChange
from evenground.report.ground_words import FIGURE_WORDS, signed_text
from evenground.report.words import estimate_text
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import Fact
from evenground.units import LengthSystem

__all__ = ["standing_facts"]


def standing_facts(scene: Scene) -> tuple[Fact, ...]:
    """Comparisons with each figure that differs, then the weight by the mat; nothing without findings."""
    if scene.findings is None:
        return ()
    changes = [
        fact
        for finding in scene.findings.findings
        if isinstance(finding.value, GroundChange)
        for fact in _compared(finding.kind, finding.value, scene.system)
    ]
    weighed = scene.findings.value("weight")
    return (*changes, *(_weight(weighed) if isinstance(weighed, Weighed) else ()))


def _compared(kind: str, change: GroundChange, system: LengthSystem) -> list[Fact]:
    under = ", ".join(kind.split(".")[2:])
    what = f"from {change.before} to {change.after}, {under}"
    shown = [f for f in change.figures if f.shown]
    rest = len(change.figures) - len(shown)
    if not shown:
        return [Fact(what=what, figure="no difference shows", note=f"{rest} figures compared")]
    facts = [
        Fact(what=f"{what}: {FIGURE_WORDS[f.figure]}", figure=signed_text(f.difference, system))
        for f in shown
    ]
    facts[-1] = Fact(
        what=facts[-1].what, figure=facts[-1].figure, note=f"no difference shows in {rest} others"
    )
    return facts


def _weight(weighed: Weighed) -> tuple[Fact, ...]:
    forces = [e for e in (weighed.barefoot_n, weighed.shod_n) if e is not None]
    figure = ", ".join(estimate_text(e, decimals=0) for e in forces)
    said = " ".join(m.text for m in weighed.mismatches)
    return (Fact(what=f"the mat beside {weighed.mass_kg:g} kg", figure=figure, note=said or "they agree"),)
