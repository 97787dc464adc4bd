"""Practice between visits as figures beside the aims that let one expect it."""

from evenground.assess.extras import PracticeFinding
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import Fact

__all__ = ["practice_facts"]


def practice_facts(scene: Scene) -> tuple[Fact, ...]:
    """One fact a gate: how many passed, and what this visit's aims let one expect."""
    findings = () if scene.findings is None else scene.findings.findings
    return tuple(_fact(f.value) for f in findings if isinstance(f.value, PracticeFinding))


def _fact(found: PracticeFinding) -> Fact:
    score = found.score
    note = "no aims to hold it against"
    if found.compared is not None:
        note = f"expected {100.0 * found.compared.expected:.0f} in 100: {found.compared.word}"
    return Fact(
        what=f"practice, gate {score.gate_mm:g} mm at {score.distance_m:g} m",
        figure=f"{score.passed} of {score.rolled}",
        note=note,
    )
